"""From answers to a kit profile as plain data, with sources, comments and remarks."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from attrs import define, field, frozen

from bridgewire.authoring.conductor import check_label, loop_ohm_per_m
from bridgewire.authoring.meter import Accuracy, quantity, reading
from bridgewire.authoring.pieces import contact_ohm, igniter_ohms, less_leads
from bridgewire.authoring.questions import SECTIONS, UNKNOWN, Answers, separate, size_of
from bridgewire.authoring.supply import BenchError, LoadReading, SupplyEstimate, supply_estimate
from bridgewire.errors import BridgewireError, ModelRangeError
from bridgewire.model.band import Band

Sheet = dict[str, list[dict[str, str]]]
"""Key of a section -> the answers of each entry. Sections that are asked once have one entry."""

OUTDOORS_C = Band(-20.0, 12.5, 45.0)
"""Counted where nobody noted a cable's temperature; it is not assumed to be 20 °C."""


@frozen
class AnswerProblem:
    """Answers that do not go together."""

    section: str
    index: int
    key: str
    """Empty for the whole entry."""
    message: str


class DraftError(BridgewireError):
    """Answers from which no profile can be made."""

    def __init__(self, problems: Sequence[AnswerProblem]) -> None:
        self.problems = tuple(problems)
        super().__init__("; ".join(p.message for p in problems))


@define
class Entry:
    """One entry of the profile."""

    table: str
    data: dict[str, Any]
    sources: dict[str, str] = field(factory=dict)
    remarks: list[str] = field(factory=list)
    """For the person: what the readings say."""
    unknown: list[str] = field(factory=list)
    """Questions without an answer."""


@define
class Draft:
    """A kit profile before it is written."""

    head: dict[str, Any]
    comments: list[str]
    entries: list[Entry]

    def data(self) -> dict[str, Any]:
        """Plain data of the whole profile, sources included."""
        found: dict[str, Any] = dict(self.head)
        for entry in self.entries:
            sources = {"sources": entry.sources} if entry.sources else {}
            found.setdefault(entry.table, []).append({**entry.data, **sources})
        return found


def draft(sheet: Sheet) -> Draft:
    """Work out a profile from checked answers.

    Parameters
    ----------
    sheet : Sheet

    Returns
    -------
    Draft

    Raises
    ------
    DraftError
        With everything that does not go together.

    Examples
    --------
    >>> found = draft({"kit": [{"id": "club"}], "cable": [{"id": "reel", "metal": "copper",
    ...     "stranding": "solid", "conductors": "8", "size": "24 AWG", "length_m": "50",
    ...     "loop": "13.1", "at_C": "20"}]})
    >>> found.entries[0].data["ohm_per_m"]
    0.131
    """
    problems: list[AnswerProblem] = []
    kit = _one(sheet, "kit")
    bench = Bench.of(kit, _one(sheet, "meter"))
    entries: list[Entry] = []
    seen: set[tuple[str, str]] = set()
    for section in SECTIONS:
        if not section.many:
            continue
        for index, answers in enumerate(sheet.get(section.key, [])):
            if (section.key, answers["id"]) in seen:
                message = f"there are two of the name {answers['id']!r}"
                problems.append(AnswerProblem(section.key, index, "id", message))
            seen.add((section.key, answers["id"]))
            try:
                entries.append(entry(section.key, answers, bench))
            except (BenchError, ModelRangeError) as error:
                problems.append(AnswerProblem(section.key, index, "", str(error)))
    if problems:
        raise DraftError(problems)
    head: dict[str, Any] = {"format": 1, "id": kit["id"]}
    if _has(kit, "title"):
        head["title"] = kit["title"]
    head["version"] = kit["measured_on"] if _has(kit, "measured_on") else "1"
    return Draft(head, bench.comments(), entries)


def entry(section: str, answers: Answers, bench: Bench) -> Entry:
    """Work out one entry.

    Raises
    ------
    BenchError, ModelRangeError
        If the answers do not go together.
    """
    made = Entry(section, {"id": answers["id"]})
    if _has(answers, "title"):
        made.data["title"] = answers["title"]
    _MAKERS[section](made, answers, bench)
    made.unknown = [k for k, v in answers.items() if v == UNKNOWN]
    return made


@frozen
class Bench:
    """What all readings have in common."""

    date: str
    meter: str
    volts: Accuracy | None
    ohms: Accuracy | None
    amperes: Accuracy | None
    leads: Band | None
    leads_text: str

    @classmethod
    def of(cls, kit: Answers, meter: Answers) -> Bench:
        """Read the answers about kit and meter."""

        def accuracy(key: str) -> Accuracy | None:
            return Accuracy.parse(meter[key]) if _has(meter, key) else None

        ohms = accuracy("ohm_accuracy")
        leads = _read(meter["leads"], ohms) if _has(meter, "leads") else None
        if leads is not None and leads.min < 0.0:
            leads = Band(0.0, max(leads.typical, 0.0), leads.max, stated=leads.stated)
        return cls(
            kit["measured_on"] if _has(kit, "measured_on") else "",
            meter["name"] if _has(meter, "name") else "a meter",
            accuracy("volt_accuracy"),
            ohms,
            accuracy("current_accuracy"),
            leads,
            f"meter leads {meter['leads']} ohm taken off"
            if leads is not None
            else "meter leads not taken off",
        )

    def source(self, accuracy: Accuracy | None, what: str) -> str:
        """The source of a measured value."""
        when = f"measured {self.date}" if self.date else "measured, date not noted,"
        how = str(accuracy) if accuracy is not None else "of unknown accuracy"
        return f"{when} with {self.meter} {how}: {what}"

    def comments(self) -> list[str]:
        """What stands at the top of the profile."""
        lines = ["Written by `bridgewire kits new` from measurements and labels. Edit it freely."]
        lines.append(
            "Bands of measured values are intervals: every combination of the meter's stated "
            "limits, not a standard deviation."
        )
        lines.append(
            "A computed verdict is no proof. Keep people clear, and measure on site before firing."
        )
        return lines


def _one(sheet: Sheet, key: str) -> dict[str, str]:
    entries = sheet.get(key, [])
    return entries[0] if entries else {}


def _has(answers: Answers, key: str) -> bool:
    return answers.get(key, UNKNOWN) != UNKNOWN


def _read(text: str, accuracy: Accuracy | None) -> Band:
    return Band.exact(float(text)) if accuracy is None else reading(text, accuracy)


def figure(value: float, digits: int = 4, up: bool | None = None) -> float:
    """Round to significant digits; `up` says which way an end of a band is rounded.

    >>> figure(0.123456), figure(0.123456, up=True), figure(0.123456, up=False)
    (0.1235, 0.1235, 0.1234)
    """
    if value == 0.0:
        return 0.0
    places = digits - 1 - math.floor(math.log10(abs(value)))
    shifted = value * 10.0**places
    near = round(shifted)
    if up is not None and abs(shifted - near) > 1e-6:
        near = math.ceil(shifted) if up else math.floor(shifted)
    return round(near / 10.0**places, max(places, 0))


def band_data(band: Band) -> float | dict[str, float]:
    """Write a band as plain data; its ends are rounded outwards.

    >>> band_data(Band(1.00004, 2.0, 3.00001)), band_data(Band.exact(2.0))
    ({'min': 1.0, 'typical': 2.0, 'max': 3.001}, 2.0)
    """
    if band.min == band.max:
        return figure(band.typical, 6)
    low, high = figure(band.min, up=False), figure(band.max, up=True)
    return {"min": low, "typical": min(max(figure(band.typical), low), high), "max": high}


def _copy(made: Entry, answers: Answers, keys: Sequence[str], *, whole: bool = False) -> None:
    for key in keys:
        if _has(answers, key):
            made.data[key] = int(answers[key]) if whole else answers[key]


def _figures(
    made: Entry, answers: Answers, keys: Sequence[str], *, band: bool, prefix: str = ""
) -> None:
    """Take figures of labels and data sheets over, with their source."""
    table = made.data.setdefault(prefix, {}) if prefix else made.data
    for key in keys:
        if not _has(answers, key):
            continue
        table[key] = band_data(quantity(answers[key])) if band else float(answers[key])
        _label_source(made, answers, f"{prefix}.{key}" if prefix else key)


def _label_source(made: Entry, answers: Answers, key: str) -> None:
    if _has(answers, "source"):
        made.sources[key] = answers["source"]


def _contact(made: Entry, answers: Answers, bench: Bench) -> None:
    if _has(answers, "pairs") and _has(answers, "readings"):
        texts = separate(answers["readings"])
        readings = [less_leads(_read(t, bench.ohms), bench.leads) for t in texts]
        wires = quantity(answers["wire_ohm"]) if _has(answers, "wire_ohm") else None
        pairs = int(answers["pairs"])
        made.data["contact_ohm"] = band_data(contact_ohm(readings, pairs, wires))
        what = f"{', '.join(texts)} ohm over {pairs} pairs in series, {bench.leads_text}"
        made.sources["contact_ohm"] = bench.source(bench.ohms, what)
        made.remarks.append("contact_ohm is the mean of the chain; a single pair may be worse")
        if len(texts) < 3:
            made.remarks.append("mated fewer than three times: contacts differ between matings")
        if wires is None:
            made.remarks.append("the wires of the chain were not taken off")
    _figures(made, answers, ("rated_A",), band=False)


def _cable(made: Entry, answers: Answers, bench: Bench) -> None:
    metal: Any = answers["metal"]
    stranding: Any = answers["stranding"]
    made.data |= {"metal": metal, "stranding": stranding, "conductors": int(answers["conductors"])}
    gauge = area = None
    if _has(answers, "size"):
        gauge, area = size_of(answers["size"])
        key = "gauge_awg" if gauge is not None else "area_mm2"
        made.data[key] = gauge if gauge is not None else area
        made.sources[key] = "printed on the cable"
    _figures(made, answers, ("clad_copper_pct",), band=False)
    if _has(answers, "length_m") and _has(answers, "loop"):
        temperature = quantity(answers["at_C"]) if _has(answers, "at_C") else OUTDOORS_C
        per_m = loop_ohm_per_m(
            _read(answers["loop"], bench.ohms),
            quantity(answers["length_m"]),
            metal,
            temperature,
            bench.leads,
        )
        made.data["ohm_per_m"] = band_data(per_m)
        warmth = (
            f"at {answers['at_C']} °C"
            if _has(answers, "at_C")
            else "at a temperature that nobody "
            f"noted ({OUTDOORS_C.min:g} to {OUTDOORS_C.max:g} °C counted)"
        )
        what = (
            f"{answers['loop']} ohm over the loop of {answers['length_m']} m, far end joined, "
            f"{warmth}, {bench.leads_text}; half of it is one conductor, brought to 20 °C"
        )
        made.sources["ohm_per_m"] = bench.source(bench.ohms, what)
        if gauge is not None or area is not None:
            _label(made, per_m, metal, stranding, gauge, area)
    _figures(made, answers, ("max_length_m", "rated_A"), band=False)
    if _has(answers, "insulation"):
        made.data["insulation"] = answers["insulation"]
        _label_source(made, answers, "insulation")


def _label(
    made: Entry,
    per_m: Band,
    metal: Any,
    stranding: Any,
    gauge: float | None,
    area: float | None,
) -> None:
    checked = check_label(per_m, metal, stranding, gauge, area)
    fits = ", ".join(str(f) for f in checked.fits)
    if checked.as_printed:
        made.remarks.append("the reading fits the printed size")
        return
    made.remarks += checked.notes
    if fits:
        made.remarks.append(f"would fit: {fits}")
    made.remarks.append(f"metal = {metal} is what the seller says; correct it once you know")
    # A size that the reading refutes must not be computed with.
    for key in ("gauge_awg", "area_mm2", "clad_copper_pct"):
        if key in made.data:
            made.remarks.append(f"printed {key} = {made.data[key]:g} is left out: it does not fit")
            del made.data[key]
            made.sources.pop(key, None)


def _igniter(made: Entry, answers: Answers, bench: Bench) -> None:
    made.data["kind"] = answers["kind"]
    lead = quantity(answers["lead_ohm"]) if _has(answers, "lead_ohm") else None
    if _has(answers, "readings"):
        texts = separate(answers["readings"])
        what = f"{', '.join(texts)} ohm, cold, {bench.leads_text}"
        if lead is None:
            made.remarks.append(
                "the bridge cannot be told from its leads: bridge_ohm is left out until lead_ohm "
                f"is known (whole igniters: {what})"
            )
        else:
            readings = [less_leads(_read(t, bench.ohms), bench.leads) for t in texts]
            found = igniter_ohms(readings, lead)
            made.data["bridge_ohm"] = band_data(found.bridge_ohm)
            made.sources["bridge_ohm"] = bench.source(
                bench.ohms, f"{what}, less {answers['lead_ohm']} ohm of the igniter's leads"
            )
            made.remarks += found.notes
    else:
        _figures(made, answers, ("bridge_ohm",), band=True)
    if bench.leads is None and _has(answers, "readings"):
        made.remarks.append("the meter's own leads were not taken off")
    _figures(made, answers, ("lead_ohm",), band=True)
    _figures(
        made,
        answers,
        ("no_fire_A", "all_fire_A", "all_fire_time_s", "series_fire_A", "default_pulse_s"),
        band=False,
    )
    _figures(made, answers, ("impulse_mJ_per_ohm", "burn_open", "after_fire_ohm"), band=True)
    if _has(answers, "after_fire"):
        made.data["after_fire"] = answers["after_fire"]
        _label_source(made, answers, "after_fire")
    _what_follows(made)


def _what_follows(made: Entry) -> None:
    """Say what the data-sheet currents mean for heating and for tests."""
    from bridgewire.documents.structure import structure
    from bridgewire.model.kit import IgniterClass
    from bridgewire.physics.continuity import allowed_test_current_A
    from bridgewire.physics.igniter_data import heating, missing_heating_data

    klass = structure(made.data, IgniterClass, [])
    if klass is None:
        return
    missing = missing_heating_data(klass)
    if missing:
        made.remarks.append(f"verdicts will be unknown until {', '.join(missing)} is known")
    else:
        found = heating(klass, Band.exact(20.0))
        assert found is not None
        made.remarks.append(
            f"follows: sure to light from {found.sure_from_A:.3g} A up; slowest piece: threshold "
            f"current {found.slow[0]:.3g} A, time constant {found.slow[1]:.3g} s"
        )
    if klass.no_fire_A is not None:
        allowed = float(allowed_test_current_A(klass.no_fire_A))
        made.remarks.append(f"follows: test current at most {allowed * 1e3:.3g} mA")


def _strip(made: Entry, answers: Answers, bench: Bench) -> None:
    _copy(made, answers, ("ways", "through"), whole=True)
    _copy(made, answers, ("inlet_contact", "through_contact", "terminal_contact"))
    _figures(made, answers, ("inner_ohm",), band=True)
    _copy(made, answers, ("leads_per_terminal",), whole=True)


def _splitter(made: Entry, answers: Answers, bench: Bench) -> None:
    _copy(made, answers, ("outlets",), whole=True)
    _copy(made, answers, ("inlet_contact", "outlet_contact"))
    _figures(made, answers, ("inner_ohm",), band=True)


def _box(made: Entry, answers: Answers, bench: Bench) -> None:
    _copy(made, answers, ("outputs", "ways", "max_strips"), whole=True)
    _copy(made, answers, ("output_contact",))
    _figures(made, answers, ("switch_ohm",), band=True)
    _figures(made, answers, ("min_supply_V", "max_output_A"), band=False)
    path: dict[str, Any] = {"map": answers["map"]}
    for key in ("feed_conductors", "return_conductors", "rows", "columns"):
        if _has(answers, key):
            path[key] = int(answers[key])
    made.data["path"] = path
    if answers["diode"] == "yes":
        path["diode"] = {
            "drop_V": band_data(quantity(answers["diode_drop_V"])),
            "slope_ohm": band_data(quantity(answers["diode_slope_ohm"])),
        }
        for key in ("path.diode.drop_V", "path.diode.slope_ohm"):
            _label_source(made, answers, key)
    made.data["supply"] = {"kind": answers["supply"]}
    if answers["supply"] == "capacitor":
        _capacitor(made, answers, bench)
    else:
        _loaded(made, answers, bench)
    if _has(answers, "pulses"):
        made.data["pulses"] = {"offered_s": [float(t) for t in separate(answers["pulses"])]}
        _label_source(made, answers, "pulses.offered_s")
    if _has(answers, "hold_off_scope") and _has(answers, "hold_off_s"):
        scope, time = answers["hold_off_scope"], float(answers["hold_off_s"])
        made.data["hold_off"] = {"scope": scope, "time_s": time}
        _label_source(made, answers, "hold_off.time_s")
    test: dict[str, Any] = {}
    if _has(answers, "test_current_mA"):
        text = answers["test_current_mA"]
        test["current_A"] = band_data(_read(text, bench.amperes).scaled(1e-3))
        what = f"{text} mA into a short circuit"
        made.sources["continuity_test.current_A"] = bench.source(bench.amperes, what)
    if _has(answers, "threshold_ohm"):
        test["threshold_ohm"] = float(answers["threshold_ohm"])
        _label_source(made, answers, "continuity_test.threshold_ohm")
    if test:
        made.data["continuity_test"] = test


def _capacitor(made: Entry, answers: Answers, bench: Bench) -> None:
    if _has(answers, "charged_V"):
        text = answers["charged_V"]
        made.data["supply"]["charged_V"] = band_data(_read(text, bench.volts))
        made.sources["supply.charged_V"] = bench.source(bench.volts, f"{text} V without load")
    _figures(
        made, answers, ("capacitance_F", "series_ohm", "recharge_s"), band=True, prefix="supply"
    )


def _loaded(made: Entry, answers: Answers, bench: Bench) -> None:
    supply = made.data["supply"]
    _figures(made, answers, ("capacity_Ah",), band=True, prefix="supply")
    _figures(made, answers, ("standby_A", "min_C", "max_C"), band=False, prefix="supply")
    if not _has(answers, "open_V"):
        return
    open_V = _read(answers["open_V"], bench.volts)
    what = f"{answers['open_V']} V without load"
    supply["open_circuit_V"] = band_data(open_V)
    made.sources["supply.open_circuit_V"] = bench.source(bench.volts, what)
    loads = []
    for n in (1, 2, 3):
        ohm, volt = f"load_{n}_ohm", f"load_{n}_V"
        if _has(answers, ohm) and _has(answers, volt):
            loads.append(LoadReading(quantity(answers[ohm]), _read(answers[volt], bench.volts)))
            what += f", {answers[volt]} V on {answers[ohm]} ohm"
    if not loads:
        return
    found = supply_estimate(open_V, loads)
    made.remarks += found.notes
    source = bench.source(bench.volts, what)
    if found.internal_ohm is not None:
        supply["internal_ohm"] = band_data(found.internal_ohm)
        made.sources["supply.internal_ohm"] = source
    _limit(made, found, source, len(loads))


def _limit(made: Entry, found: SupplyEstimate, source: str, loads: int) -> None:
    supply = made.data["supply"]
    if found.limit == "unknown" and loads > 1:
        # Without its limit the box would be computed as stronger than it is.
        value = supply.pop("internal_ohm", None)
        made.sources.pop("supply.internal_ohm", None)
        made.remarks.append(
            f"internal_ohm ({value}) is left out until the kind of limit is known, so that nobody "
            "computes with a supply that has none"
        )
    if found.limit_A is None:
        return
    limit: dict[str, Any] = {"kind": found.limit, "limit_A": band_data(found.limit_A)}
    made.sources["supply.limit.limit_A"] = source
    if found.short_circuit_A is not None:
        limit["short_circuit_A"] = band_data(found.short_circuit_A)
        made.sources["supply.limit.short_circuit_A"] = source
    supply["limit"] = limit
    made.remarks.append(f"the supply limits its current: {found.limit}")


_MAKERS: Mapping[str, Callable[[Entry, Answers, Bench], None]] = {
    "contact": _contact,
    "cable": _cable,
    "strip": _strip,
    "splitter": _splitter,
    "igniter_class": _igniter,
    "box": _box,
}
