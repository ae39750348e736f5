"""Works out the entries of contacts, cables, strips, splitters and igniter classes."""

from __future__ import annotations

from typing import Any

from bridgewire.authoring.conductor import check_label, loop_ohm_per_m
from bridgewire.authoring.entry_data import (
    Entry,
    band_data,
    copy_answers,
    copy_figures,
    figure,
    has,
    label_source,
)
from bridgewire.authoring.meter import quantity
from bridgewire.authoring.pieces import contact_ohm, igniter_ohms, less_leads
from bridgewire.authoring.question import Answers, separate, size_of
from bridgewire.authoring.readings_in_common import Bench, read
from bridgewire.model.band import Band
from bridgewire.model.kit import CableSpec
from bridgewire.rules.kit006_resistance_below_physics import least_ohm_per_m

OUTDOORS_C = Band(-20.0, 12.5, 45.0)
"""Counted where nobody noted a cable's temperature; it is not assumed to be 20 °C."""


def contact_entry(made: Entry, answers: Answers, bench: Bench) -> None:
    """Work out a contact from the chain that was measured."""
    if has(answers, "pairs") and has(answers, "readings"):
        texts = separate(answers["readings"])
        readings = [less_leads(read(t, bench.ohms), bench.leads) for t in texts]
        wires = quantity(answers["wire_ohm"]) if has(answers, "wire_ohm") else None
        pairs = int(answers["pairs"])
        made.data["contact_ohm"] = band_data(contact_ohm(readings, pairs, wires))
        what = f"{', '.join(texts)} ohm over {pairs} pairs in series, {bench.leads_text}"
        made.sources["contact_ohm"] = bench.source(bench.ohms, what)
        made.remarks.append("mean of the chain; a single pair may be worse")
        if len(texts) < 3:
            made.remarks.append("mated fewer than three times: contacts differ between matings")
        if contact_ohm(readings, pairs, wires).min == 0.0:
            made.remarks.append("by the meter's accuracy it may be 0: join more pairs in series")
        if wires is None:
            made.remarks.append("the wires of the chain were not taken off")
    copy_figures(made, answers, ("rated_A",), band=False)


def cable_entry(made: Entry, answers: Answers, bench: Bench) -> None:
    """Work out a cable, and hold its reading against the printed size."""
    metal: Any = answers["metal"]
    stranding: Any = answers["stranding"]
    made.data |= {"metal": metal, "stranding": stranding, "conductors": int(answers["conductors"])}
    gauge = area = None
    if has(answers, "size"):
        gauge, area = size_of(answers["size"])
        key = "gauge_awg" if gauge is not None else "area_mm2"
        made.data[key] = gauge if gauge is not None else area
        made.sources[key] = "printed on the cable"
    copy_figures(made, answers, ("clad_copper_pct",), band=False)
    if has(answers, "length_m") and has(answers, "loop"):
        temperature = quantity(answers["at_C"]) if has(answers, "at_C") else OUTDOORS_C
        per_m = loop_ohm_per_m(
            read(answers["loop"], bench.ohms),
            quantity(answers["length_m"]),
            metal,
            temperature,
            bench.leads,
        )
        made.data["ohm_per_m"] = band_data(per_m)
        warmth = (
            f"at {answers['at_C']} °C"
            if has(answers, "at_C")
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
            _cut_at_least_resistance(made, per_m)
    copy_figures(made, answers, ("max_length_m", "rated_A"), band=False)
    if has(answers, "insulation"):
        made.data["insulation"] = answers["insulation"]
        label_source(made, answers, "insulation")


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
    made.remarks.append(f"the seller says metal = {metal}; correct it once you know")
    # A size that the reading refutes must not be computed with.
    for key in ("gauge_awg", "area_mm2", "clad_copper_pct"):
        if key in made.data:
            made.remarks.append(f"printed {key} = {made.data[key]:g} is left out: it does not fit")
            del made.data[key]
            made.sources.pop(key, None)


def _cut_at_least_resistance(made: Entry, per_m: Band) -> None:
    """Take off what the meter's accuracy leaves open and the printed metal cannot have."""
    spec = CableSpec(
        "?",
        made.data["metal"],
        made.data["stranding"],
        1,
        gauge_awg=made.data.get("gauge_awg"),
        area_mm2=made.data.get("area_mm2"),
        clad_copper_pct=made.data.get("clad_copper_pct"),
    )
    least = least_ohm_per_m(spec)
    if least is None or not per_m.min < least <= per_m.typical:
        return
    low = figure(least, up=True)
    made.data["ohm_per_m"] = {
        "min": low,
        "typical": max(figure(per_m.typical), low),
        "max": figure(per_m.max, up=True),
    }
    made.sources["ohm_per_m"] += "; the lower end is what so much metal has at least"
    made.remarks.append("a longer piece would tell more: the meter's last digits are a large part")


def igniter_entry(made: Entry, answers: Answers, bench: Bench) -> None:
    """Work out an igniter class, and say what its data mean."""
    made.data["kind"] = answers["kind"]
    lead = quantity(answers["lead_ohm"]) if has(answers, "lead_ohm") else None
    if has(answers, "readings"):
        texts = separate(answers["readings"])
        what = f"{', '.join(texts)} ohm, cold, {bench.leads_text}"
        if lead is None:
            made.remarks.append(
                "the bridge cannot be told from its leads: bridge_ohm is left out until lead_ohm "
                f"is known (whole igniters: {what})"
            )
        else:
            readings = [less_leads(read(t, bench.ohms), bench.leads) for t in texts]
            found = igniter_ohms(readings, lead)
            made.data["bridge_ohm"] = band_data(found.bridge_ohm)
            made.sources["bridge_ohm"] = bench.source(
                bench.ohms, f"{what}, less {answers['lead_ohm']} ohm of the igniter's leads"
            )
            made.remarks += found.notes
    else:
        copy_figures(made, answers, ("bridge_ohm",), band=True)
    if bench.leads is None and has(answers, "readings"):
        made.remarks.append("the meter's own leads were not taken off")
    copy_figures(made, answers, ("lead_ohm",), band=True)
    copy_figures(
        made,
        answers,
        ("no_fire_A", "all_fire_A", "all_fire_time_s", "series_fire_A", "default_pulse_s"),
        band=False,
    )
    copy_figures(made, answers, ("impulse_mJ_per_ohm", "burn_open", "after_fire_ohm"), band=True)
    if has(answers, "after_fire"):
        made.data["after_fire"] = answers["after_fire"]
        label_source(made, answers, "after_fire")
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


def strip_entry(made: Entry, answers: Answers, bench: Bench) -> None:
    """Take over what is said of a strip."""
    copy_answers(made, answers, ("ways", "through"), whole=True)
    copy_answers(made, answers, ("inlet_contact", "through_contact", "terminal_contact"))
    copy_figures(made, answers, ("inner_ohm",), band=True)
    copy_answers(made, answers, ("leads_per_terminal",), whole=True)


def splitter_entry(made: Entry, answers: Answers, bench: Bench) -> None:
    """Take over what is said of a splitter."""
    copy_answers(made, answers, ("outlets",), whole=True)
    copy_answers(made, answers, ("inlet_contact", "outlet_contact"))
    copy_figures(made, answers, ("inner_ohm",), band=True)
