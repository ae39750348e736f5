"""All that is asked about a kit, in order: one list drives the interview and the answers file."""

from __future__ import annotations

from bridgewire.authoring.box_questions import BOX
from bridgewire.authoring.part_questions import CABLE, CONTACT, IGNITER, SPLITTER, STRIP
from bridgewire.authoring.question import Question, Section
from bridgewire.authoring.question_wording import ID_HELP

KIT = Section(
    "kit",
    "kit",
    (
        Question("id", "Short name of the kit", "id", ID_HELP, required=True),
        Question("title", "Title of the kit", "text", "For example: what the club owns, 2026."),
        Question(
            "measured_on", "Date of the measurements", "date",
            "Year, month and day, as in 2026-05-31. It goes into the source of every reading.",
        ),
    ),
    many=False,
)  # fmt: skip

METER = Section(
    "meter",
    "meter",
    (
        Question(
            "name", "What the meter is called in your group", "text",
            "A name by which you find the same meter again, such as: bench meter.",
        ),
        Question(
            "volt_accuracy", "Accuracy on the voltage range", "accuracy",
            "The manual states it as percent of the reading plus digits, such as 0.5 % + 2. "
            "Without it the readings stand in the profile without a tolerance.",
        ),
        Question(
            "ohm_accuracy", "Accuracy on the lowest resistance range", "accuracy",
            "From the manual, such as 0.8 % + 3. The lowest range is the one for leads and "
            "igniters.",
        ),
        Question(
            "current_accuracy", "Accuracy on the current range", "accuracy",
            "From the manual, such as 1 % + 3. Needed only for test currents.",
        ),
        Question(
            "leads", "Reading with the two probe tips pressed together", "reading",
            "On the lowest resistance range. If you zero the meter so that it shows 0 there, "
            "write 0.00 with as many noughts as it shows. Cheap meters read 0.1 to 0.5 Ω here, "
            "which is more than a plug has.",
            unit="ohm", most=20,
        ),
    ),
    many=False,
    intro="The meter",
)  # fmt: skip

SECTIONS: tuple[Section, ...] = (
    KIT, METER, CONTACT, CABLE, STRIP, SPLITTER, IGNITER, BOX
)  # fmt: skip


def section(key: str) -> Section:
    """The section of a key; KeyError where there is none."""
    return {s.key: s for s in SECTIONS}[key]
