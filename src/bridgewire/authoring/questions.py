"""What is asked about a kit: one list that drives the interview and the answers file."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Literal

from attrs import frozen

from bridgewire.authoring.meter import Accuracy, quantity, resolution
from bridgewire.documents.ranges import ID_PATTERN, ID_WORDS

UNKNOWN = "-"
"""The answer ``do not know``. It leaves the value out of the profile; nothing is put in its
place."""

Form = Literal[
    "id", "text", "date", "choice", "whole", "number", "numbers", "quantity", "reading",
    "readings", "accuracy", "size",
]  # fmt: skip
"""``reading`` is a figure off a meter, as shown; ``quantity`` one of a label or data sheet, which
may have a tolerance; ``size`` a gauge or an area."""

Answers = Mapping[str, str]
"""Key of a question -> answer as typed."""

_SIZE = re.compile(r"\s*(\d+(?:\.\d+)?)\s*(awg|mm2|mm²)\s*", re.IGNORECASE)
_DATE = re.compile(r"\d{4}-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12]\d|3[01])")


@frozen
class Question:
    """One question.

    Attributes
    ----------
    key : str
        In an answers file.
    prompt : str
        As asked, without unit.
    form : str
    help : str
        How to find out; shown at ``?``.
    unit : str
    choices : tuple of str
        For ``choice``.
    required : bool
        Whether an entry cannot be described without it.
    only_if : tuple
        Key and answers: asked only where that question has one of these answers.
    known : str
        Key of another question: asked only where that one has an answer.
    least, most : float
        Bounds of every number in the answer.
    """

    key: str
    prompt: str
    form: Form
    help: str
    unit: str = ""
    choices: tuple[str, ...] = ()
    required: bool = False
    only_if: tuple[str, tuple[str, ...]] | None = None
    known: str = ""
    least: float = 0.0
    most: float = 1e6

    def applies(self, answers: Answers) -> bool:
        """Tell whether it is asked, given the answers before it."""
        if self.only_if is not None and answers.get(self.only_if[0]) not in self.only_if[1]:
            return False
        return not self.known or answers.get(self.known, UNKNOWN) != UNKNOWN

    def asked(self) -> str:
        """The question with its unit and choices."""
        if self.choices:
            return f"{self.prompt} ({', '.join(self.choices)})"
        return f"{self.prompt}, in {self.unit}" if self.unit else self.prompt

    def checked(self, text: str) -> str:
        """Return the answer tidied.

        Raises
        ------
        ValueError
            If it is no answer to this question, with what is wanted.
        """
        text = text.strip()
        if text == UNKNOWN:
            if self.required:
                raise ValueError("the profile cannot do without this one")
            return UNKNOWN
        if not text:
            raise ValueError('an answer is needed, or "-" for: do not know')
        if not text.isprintable() or len(text) > 500:
            raise ValueError("one line of plain text is needed")
        if self.form == "id" and re.fullmatch(ID_PATTERN, text) is None:
            raise ValueError(f"write {ID_WORDS}")
        if self.form == "date" and _DATE.fullmatch(text) is None:
            raise ValueError("write the date as in 2026-05-31")
        if self.form == "choice" and text not in self.choices:
            raise ValueError(f"write one of: {', '.join(self.choices)}")
        if self.form == "size":
            size_of(text)
        if self.form == "accuracy":
            Accuracy.parse(text)
        for number in self._numbers(text):
            if not self.least <= number <= self.most:
                raise ValueError(
                    f"{number:g} is out of range ({self.least:g} to {self.most:g}"
                    f"{' ' + self.unit if self.unit else ''})"
                )
        return text

    def _numbers(self, text: str) -> list[float]:
        if self.form == "whole":
            if re.fullmatch(r"\d{1,6}", text) is None:
                raise ValueError("write a whole number")
            return [float(text)]
        if self.form in ("number", "reading"):
            resolution(text)
            return [float(text)]
        if self.form in ("numbers", "readings"):
            for part in separate(text):
                resolution(part)
            return [float(part) for part in separate(text)]
        if self.form == "quantity":
            band = quantity(text)
            return [band.min, band.max]
        return []


def separate(text: str) -> list[str]:
    """Split several numbers.

    >>> separate("1.71, 1.69 1.74")
    ['1.71', '1.69', '1.74']
    """
    return [part for part in re.split(r"[\s,;]+", text.strip()) if part]


def size_of(text: str) -> tuple[float | None, float | None]:
    """Read a printed size into gauge and area; one of them is None.

    Raises
    ------
    ValueError
        For any other text.

    >>> size_of("24 AWG"), size_of("0.5 mm2")
    ((24.0, None), (None, 0.5))
    """
    found = _SIZE.fullmatch(text)
    if found is None:
        raise ValueError("write the size with its unit, as in 24 AWG or 0.5 mm2")
    value = float(found[1])
    if found[2].lower() == "awg":
        if not 0 <= value <= 40:
            raise ValueError("gauges go from 0 to 40 AWG")
        return value, None
    if not 0 < value <= 1000:
        raise ValueError("areas go up to 1000 mm2")
    return None, value


@frozen
class Section:
    """A group of questions; `many` where it may be answered several times."""

    key: str
    noun: str
    questions: tuple[Question, ...]
    many: bool = True
    intro: str = ""

    def question(self, key: str) -> Question:
        """The question of a key; KeyError where there is none."""
        return {q.key: q for q in self.questions}[key]

    def asked(self, answers: Answers) -> list[Question]:
        """The questions that apply, given all answers so far, in order."""
        return [q for q in self.questions if q.applies(answers)]


def _source(of: str) -> Question:
    return Question(
        "source",
        "Where do the figures come from that you did not measure",
        "text",
        f"Name the data sheet, the label on the {of}, or the person who told you, so that somebody "
        "can look it up again. The words go into the profile beside each such figure.",
    )


_TITLE = "What it is, in a few words, as you would tell a new crew member."
_ID = "A short name without / and :. Shows refer to the entry by it."
_CONTACT = "The id of a contact that you have described (or will), such as your plug or your clamp."

KIT = Section(
    "kit",
    "kit",
    (
        Question("id", "Short name of the kit", "id", _ID, required=True),
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
            "write 0.00 with as many noughts as it shows. Cheap meters read 0.1 to 0.5 ohm here, "
            "which is more than a plug has.",
            unit="ohm", most=20,
        ),
    ),
    many=False,
    intro="The meter",
)  # fmt: skip

CONTACT = Section(
    "contact",
    "contact",
    (
        Question("id", "Short name of the contact", "id", _ID, required=True),
        Question("title", "What is it", "text", _TITLE),
        Question(
            "pairs", "How many mated pairs did you join in series", "whole",
            "One pair has too little resistance for a hand meter. Wire ten plugs and sockets in a "
            "chain, so that the current passes every pair, and read the whole chain.",
            least=1, most=1000,
        ),
        Question(
            "readings", "Readings of the chain, one for each time you mated it anew", "readings",
            "Read, part all pairs, mate them again, read again: three times at the least. Contacts "
            "differ more from mating to mating than from piece to piece.",
            unit="ohm", known="pairs", most=1000,
        ),
        Question(
            "wire_ohm", "Resistance of the wires within the chain", "quantity",
            "Read the same wires without the contacts, or short pieces of known cable: length "
            "times ohm per metre. 0 if they are negligible.",
            unit="ohm", known="readings", most=1000,
        ),
        Question(
            "rated_A", "Rated current of one contact", "number",
            "From its data sheet, for one contact of the plug with all contacts loaded.",
            unit="A", least=0.001, most=1000,
        ),
        _source("contact"),
    ),
)  # fmt: skip

CABLE = Section(
    "cable",
    "cable",
    (
        Question("id", "Short name of the cable", "id", _ID, required=True),
        Question("title", "What is it", "text", _TITLE),
        Question(
            "metal", "Conductor metal, as the seller says", "choice",
            "Copper-clad aluminium is sold as CCA, mostly as cheap network cable. Scrape a cut end "
            "with a knife: copper is red all through, clad aluminium is silver inside.",
            choices=("copper", "copper-clad-aluminium", "aluminium"), required=True,
        ),
        Question(
            "stranding", "Conductors", "choice",
            "Solid: one wire in each conductor. Stranded: several thin ones.",
            choices=("solid", "stranded"), required=True,
        ),
        Question(
            "conductors", "How many conductors", "whole",
            "Count the insulated conductors at a cut end.", required=True, least=1, most=1000,
        ),
        Question(
            "size", "Size printed on the sheath", "size",
            "With its unit, as in 24 AWG or 0.5 mm2.",
        ),
        Question(
            "clad_copper_pct", "Copper share of the clad aluminium", "number",
            "By volume, from the data sheet: 10 or 15.",
            unit="%", only_if=("metal", ("copper-clad-aluminium",)), least=10, most=50,
        ),
        Question(
            "length_m", "Length of the piece that you measured, one way", "quantity",
            "The length of the cable itself, not there and back. Use the longest piece you have; "
            "read the metre marks on the sheath or pace it along a tape. A tolerance helps: 50 ± "
            "0.5.",
            unit="m", least=0.5, most=10000,
        ),
        Question(
            "loop", "Meter reading over two conductors that are joined at the far end", "reading",
            "Twist two conductors of the same thickness together at the far end, bare and tight, "
            "and put the meter across them at the near end. This is there and back; the division "
            "by two is done here.",
            unit="ohm", known="length_m", most=100000,
        ),
        Question(
            "at_C", "Temperature of the cable", "quantity",
            "Let the cable lie for an hour and read a room thermometer beside it. A drum in the "
            "sun is far warmer than the air.",
            unit="°C", known="loop", least=-40, most=80,
        ),
        Question(
            "max_length_m", "Longest single piece in the kit", "number",
            "The longest drum; a run that is longer needs a joint.", unit="m", least=0.1, most=1e5,
        ),
        Question(
            "insulation", "Insulation", "choice",
            "Printed on the sheath or in the data sheet. Ordinary flex and network cable is "
            "pvc-70.",
            choices=("pvc-70", "pvc-90", "xlpe", "rubber-60", "rubber-85", "silicone"),
        ),
        Question(
            "rated_A", "Steady current that one conductor may carry", "number",
            "From the data sheet, for the whole cable loaded.", unit="A", least=0.001, most=1000,
        ),
        _source("cable"),
    ),
)  # fmt: skip

IGNITER = Section(
    "igniter_class",
    "igniter class",
    (
        Question("id", "Short name of the igniter class", "id", _ID, required=True),
        Question("title", "What is it", "text", _TITLE),
        Question(
            "kind", "Kind", "choice",
            "electric-match: lights in milliseconds. clip-on-nichrome: a hot wire that is clipped "
            "over a fuse, lights in seconds. bridge-igniter: others with a bridge wire.",
            choices=("electric-match", "bridge-igniter", "clip-on-nichrome"), required=True,
        ),
        Question(
            "readings", "Readings of whole igniters, cold, one for each piece", "readings",
            "Only with a meter whose test current is known to be far below the no-fire current, "
            "outdoors, the igniter in a steel pipe or behind a shield, nobody near it, and as the "
            "law and the maker demand. An ordinary hand meter may not be fit for it. Ten pieces "
            "are better than three.",
            unit="ohm", least=0.01, most=10000,
        ),
        Question(
            "lead_ohm", "Resistance of both leads of one igniter", "quantity",
            "Cut the leads off a spent one, join them at the far end and read, or work it out: "
            "twice the length times the ohm per metre of the wire.",
            unit="ohm", most=1000,
        ),
        Question(
            "bridge_ohm", "Bridge resistance of the data sheet", "quantity",
            "With its tolerance, without the leads: 1.5 to 1.8.",
            unit="ohm", only_if=("readings", (UNKNOWN,)), least=0.001, most=10000,
        ),
        Question(
            "no_fire_A", "No-fire current", "number",
            "Data sheet: the lasting current that fires not one in a thousand. Never tried out at "
            "home.",
            unit="A", least=0.0001, most=100,
        ),
        Question(
            "all_fire_A", "All-fire current", "number",
            "Data sheet: the current that fires all but one in a thousand. Not the current that "
            "the seller recommends, which is higher.",
            unit="A", least=0.0001, most=1000,
        ),
        Question(
            "all_fire_time_s", "How long the all-fire current must last", "number",
            "Data sheet, with the all-fire current.", unit="s", known="all_fire_A", least=1e-6,
            most=1000,
        ),
        Question(
            "impulse_mJ_per_ohm", "Firing impulse", "quantity",
            "Data sheet, in millijoule per ohm (the same as A² ms), least to largest: 3 to 5.",
            unit="mJ/ohm", least=1e-6, most=1e9,
        ),
        Question(
            "series_fire_A", "Firing current for several in series", "number",
            "Data sheet.", unit="A", least=0.0001, most=1000,
        ),
        Question(
            "after_fire", "What the bridge is after firing", "choice",
            "Read spent ones, cold: no reading is open; much less than before is shorted; another "
            "value is residual.",
            choices=("open", "shorted", "residual"),
        ),
        Question(
            "after_fire_ohm", "Its resistance after firing", "quantity",
            "Of several spent ones, the least to the largest: 0.1 to 0.6.",
            unit="ohm", only_if=("after_fire", ("shorted", "residual")), most=1e6,
        ),
        Question(
            "burn_open", "Heat at which the bridge parts, over the heat that lights", "quantity",
            "Above 1, from trials or the data sheet: 1.5 to 3. Few data sheets have it.",
            least=1.0001, most=1000,
        ),
        Question(
            "default_pulse_s", "Usual length of a pulse", "number",
            "From the maker's instructions.", unit="s", least=1e-6, most=3600,
        ),
        _source("igniter"),
    ),
)  # fmt: skip

STRIP = Section(
    "strip",
    "strip",
    (
        Question("id", "Short name of the strip", "id", _ID, required=True),
        Question("title", "What is it", "text", _TITLE),
        Question("ways", "How many ways", "whole", "Count the terminals.", required=True, least=1,
                 most=1000),
        Question("through", "How many onward connectors", "whole",
                 "Sockets by which the next strip hangs on this one. 0 if there are none.",
                 most=100),
        Question("inlet_contact", "Contact of its inlet", "id", _CONTACT),
        Question("through_contact", "Contact of its onward connectors", "id", _CONTACT),
        Question("terminal_contact", "Contact of its terminals", "id", _CONTACT),
        Question(
            "inner_ohm", "Resistance inside, one leg, inlet to terminal", "quantity",
            "Read from a pin of the inlet to its terminal, the meter's leads taken off. 0.005 to "
            "0.03, for instance.",
            unit="ohm", most=1000,
        ),
        Question("leads_per_terminal", "How many igniters one terminal takes", "whole",
                 "As many leads as sit firmly.", least=1, most=100),
        _source("strip"),
    ),
)  # fmt: skip

SPLITTER = Section(
    "splitter",
    "splitter",
    (
        Question("id", "Short name of the splitter", "id", _ID, required=True),
        Question("title", "What is it", "text", _TITLE),
        Question("outlets", "How many outlets", "whole", "Count the sockets.", required=True,
                 least=1, most=1000),
        Question("inlet_contact", "Contact of its inlet", "id", _CONTACT),
        Question("outlet_contact", "Contact of its outlets", "id", _CONTACT),
        Question(
            "inner_ohm", "Resistance inside, one leg, inlet to outlet", "quantity",
            "Read from a pin of the inlet to that of an outlet, the meter's leads taken off.",
            unit="ohm", most=1000,
        ),
        _source("splitter"),
    ),
)  # fmt: skip

_BATTERY = ("battery",)
_LOADED = ("battery", "regulated")
_CAPACITOR = ("capacitor",)
_LOAD_HELP = (
    "With no igniter connected and the box armed as its manual says. Use a power resistor of known "
    "value that can bear the current for a second, and read the voltage at the output while the "
    "way is on. Where a way has a diode, read at the battery's own terminals instead, or the diode "
    "is counted twice. Read the voltage without load at the same place."
)

BOX = Section(
    "box",
    "box",
    (
        Question("id", "Short name of the box", "id", _ID, required=True),
        Question("title", "What is it", "text", _TITLE),
        Question("outputs", "How many outputs", "whole", "Connectors for strips.", required=True,
                 least=1, most=1000),
        Question("ways", "How many ways each output has", "whole",
                 "Firing circuits of one connector.", required=True, least=1, most=1000),
        Question("max_strips", "How many strips one output addresses", "whole", "From the manual.",
                 least=1, most=1000),
        Question(
            "map", "How feed and return of a way run in the cable", "choice",
            "pair: two conductors for each way. common-return: one for each way and a shared "
            "return. matrix: rows and columns, with a diode in each way.",
            choices=("pair", "common-return", "matrix"), required=True,
        ),
        Question("feed_conductors", "How many conductors in parallel carry the feed", "whole",
                 "Mostly 1.", required=True, least=1, most=100),
        Question("return_conductors", "How many conductors in parallel carry the return", "whole",
                 "Mostly 1; a common return often has 2 or more.", required=True, least=1,
                 most=100),
        Question("rows", "How many rows", "whole", "Feeds of the matrix.", required=True,
                 only_if=("map", ("matrix",)), least=1, most=100),
        Question("columns", "How many columns", "whole", "Returns of the matrix.", required=True,
                 only_if=("map", ("matrix",)), least=1, most=100),
        Question(
            "diode", "Is there a diode in each way", "choice",
            "A matrix needs one. The circuit diagram shows it; so does a way that conducts in one "
            "direction only.",
            choices=("yes", "no"), required=True,
        ),
        Question(
            "diode_drop_V", "Voltage across the diode", "quantity",
            "Constant part: the data sheet of the diode, or read it at a small and at the firing "
            "current. 0.5 to 0.8, for instance.",
            unit="V", required=True, only_if=("diode", ("yes",)), most=10,
        ),
        Question(
            "diode_slope_ohm", "How much that rises per ampere", "quantity",
            "Slope in ohm: 0.02 to 0.05, for instance.",
            unit="ohm", required=True, only_if=("diode", ("yes",)), most=10,
        ),
        Question("output_contact", "Contact of its outputs", "id", _CONTACT),
        Question(
            "switch_ohm", "Resistance of the switch of a way", "quantity",
            "The relay or transistor that switches a way, from its data sheet or from the voltage "
            "across it at a known current. If your load readings below were taken at the output, "
            "they have it in them: answer 0.",
            unit="ohm", most=1000,
        ),
        Question(
            "supply", "Supply", "choice",
            "battery; regulated: a converter or mains supply that holds its voltage; capacitor: "
            "charged, then discharged into the igniter.",
            choices=("battery", "regulated", "capacitor"), required=True,
        ),
        Question(
            "open_V", "Voltage without load", "reading",
            "Full battery, an hour off the charger. Write every digit that the meter shows.",
            unit="V", only_if=("supply", _LOADED), least=0.1, most=1000,
        ),
        Question("load_1_ohm", "First known resistor, the larger one", "quantity",
                 _LOAD_HELP + " Value with its tolerance: 10 ± 1 %.", unit="ohm",
                 only_if=("supply", _LOADED), known="open_V", least=0.001, most=1e5),
        Question("load_1_V", "Voltage on it", "reading", _LOAD_HELP, unit="V", known="load_1_ohm",
                 least=0.001, most=1000),
        Question("load_2_ohm", "Second known resistor, a smaller one", "quantity",
                 "About as much current as your heaviest firing takes. It shows whether the box "
                 "limits the current.", unit="ohm", known="load_1_V", least=0.001, most=1e5),
        Question("load_2_V", "Voltage on it", "reading", _LOAD_HELP, unit="V", known="load_2_ohm",
                 least=0.001, most=1000),
        Question("load_3_ohm", "Third known resistor, smaller again", "quantity",
                 "Needed where the second one shows a limit: it tells constant current from "
                 "fold-back.", unit="ohm", known="load_2_V", least=0.001, most=1e5),
        Question("load_3_V", "Voltage on it", "reading", _LOAD_HELP, unit="V", known="load_3_ohm",
                 least=0.001, most=1000),
        Question("capacity_Ah", "Capacity", "quantity", "Printed on the battery.", unit="Ah",
                 only_if=("supply", _BATTERY), least=0.001, most=10000),
        Question("charged_V", "Voltage of the charged capacitor", "reading",
                 "At the output without load, if the manual allows it; else from the data sheet.",
                 unit="V", only_if=("supply", _CAPACITOR), least=0.1, most=1000),
        Question("capacitance_F", "Capacitance", "quantity",
                 "Printed on the capacitor, in farads: 4700 µF are 0.0047, mostly ± 20 %.",
                 unit="F", only_if=("supply", _CAPACITOR), least=1e-7, most=10000),
        Question("series_ohm", "Resistance in series with the capacitor", "quantity",
                 "Its own and that of the wiring: data sheet.", unit="ohm",
                 only_if=("supply", _CAPACITOR), most=1000),
        Question("recharge_s", "Time from empty to full", "quantity",
                 "Watch the voltage or the ready lamp after firing into a resistor; use a stop "
                 "watch.", unit="s", only_if=("supply", _CAPACITOR), least=0.001, most=10000),
        Question("standby_A", "Current while the box waits", "number",
                 "With a meter in the battery lead, box on, nothing fired.", unit="A",
                 only_if=("supply", _LOADED), most=1000),
        Question("min_C", "Lowest temperature of use", "number", "Data sheet of the battery.",
                 unit="°C", only_if=("supply", _BATTERY), least=-60, most=80),
        Question("max_C", "Highest temperature of use", "number", "Data sheet of the battery.",
                 unit="°C", only_if=("supply", _BATTERY), least=-60, most=120),
        Question("min_supply_V", "Supply voltage below which the box stops working", "number",
                 "Manual, or from a bench supply turned down slowly.", unit="V", most=1000),
        Question("max_output_A", "Largest current of one output", "number", "Manual.", unit="A",
                 least=0.001, most=10000),
        Question("pulses", "Pulses that can be set", "numbers",
                 "All of them, in seconds: 0.5, 1, 2. For a fixed one just that.", unit="s",
                 least=1e-6, most=3600),
        Question("hold_off_scope", "What is blocked after a cue", "choice",
                 "Bring two cues closer together, with lamps for igniters, until the second one is "
                 "dropped: on the same way, on another way of the output, on another output.",
                 choices=("box", "output", "way")),
        Question("hold_off_s", "For how long, from the end of the pulse", "number",
                 "With some to spare.", unit="s", known="hold_off_scope", most=10000),
        Question("test_current_mA", "Current of the continuity test", "reading",
                 "Into a short circuit: the meter on its current range straight across a terminal, "
                 "with no igniter connected anywhere.", unit="mA", most=10000),
        Question("threshold_ohm", "Resistance above which the test reports an open circuit",
                 "number", "Put resistors on a terminal until the lamp changes.", unit="ohm",
                 least=0.001, most=1e6),
        _source("box"),
    ),
)  # fmt: skip

SECTIONS: tuple[Section, ...] = (
    KIT, METER, CONTACT, CABLE, STRIP, SPLITTER, IGNITER, BOX
)  # fmt: skip


def section(key: str) -> Section:
    """The section of a key; KeyError where there is none."""
    return {s.key: s for s in SECTIONS}[key]


def as_typed(value: Any) -> str:
    """Turn a value of an answers file into what a person would have typed.

    Raises
    ------
    ValueError
        For a table or a truth value.

    >>> as_typed([1.7, "1.80"]), as_typed(True)
    Traceback (most recent call last):
        ...
    ValueError: write it as a text in quotes
    """
    if isinstance(value, bool) or not isinstance(value, (str, int, float, list)):
        raise ValueError("write it as a text in quotes")
    if isinstance(value, list):
        return ", ".join(as_typed(item) for item in value)
    return value if isinstance(value, str) else repr(value)
