"""Questions and words of help that several sections share."""

from __future__ import annotations

from bridgewire.authoring.question import Question


def source_question(of: str) -> Question:
    """Ask where the figures of a part come from that were not measured."""
    return Question(
        "source",
        "Where do the figures come from that you did not measure",
        "text",
        f"Name the data sheet, the label on the {of}, or the person who told you, so that somebody "
        "can look it up again. The words go into the profile beside each such figure.",
    )


TITLE_HELP = "What it is, in a few words, as you would tell a new crew member."
ID_HELP = "A short name without / and :. Shows refer to the entry by it."
CONTACT_HELP = (
    "The id of a contact that you have described (or will), such as your plug or your clamp."
)
