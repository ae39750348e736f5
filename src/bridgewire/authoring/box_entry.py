"""Works out the entry of a box, with its supply."""

from __future__ import annotations

from typing import Any

from bridgewire.authoring.entry_data import (
    Entry,
    band_data,
    copy_answers,
    copy_figures,
    has,
    label_source,
)
from bridgewire.authoring.meter import quantity
from bridgewire.authoring.question import Answers, separate
from bridgewire.authoring.readings_in_common import Bench, read
from bridgewire.authoring.supply import LoadReading, SupplyEstimate, supply_estimate
from bridgewire.documents.toml_values import toml_value


def box_entry(made: Entry, answers: Answers, bench: Bench) -> None:
    """Work out a box: what is on its label, and what the readings say of its supply."""
    copy_answers(made, answers, ("outputs", "ways", "max_strips"), whole=True)
    copy_answers(made, answers, ("output_contact",))
    copy_figures(made, answers, ("switch_ohm",), band=True)
    copy_figures(made, answers, ("min_supply_V", "max_output_A"), band=False)
    path: dict[str, Any] = {"map": answers["map"]}
    for key in ("feed_conductors", "return_conductors", "rows", "columns"):
        if has(answers, key):
            path[key] = int(answers[key])
    made.data["path"] = path
    if answers["diode"] == "yes":
        path["diode"] = {
            "drop_V": band_data(quantity(answers["diode_drop_V"])),
            "slope_ohm": band_data(quantity(answers["diode_slope_ohm"])),
        }
        for key in ("path.diode.drop_V", "path.diode.slope_ohm"):
            label_source(made, answers, key)
    made.data["supply"] = {"kind": answers["supply"]}
    if answers["supply"] == "capacitor":
        _capacitor(made, answers, bench)
    else:
        _loaded(made, answers, bench)
    if has(answers, "pulses"):
        made.data["pulses"] = {"offered_s": [float(t) for t in separate(answers["pulses"])]}
        label_source(made, answers, "pulses.offered_s")
    if has(answers, "hold_off_scope") and has(answers, "hold_off_s"):
        scope, time = answers["hold_off_scope"], float(answers["hold_off_s"])
        made.data["hold_off"] = {"scope": scope, "time_s": time}
        label_source(made, answers, "hold_off.time_s")
    test: dict[str, Any] = {}
    if has(answers, "test_current_mA"):
        text = answers["test_current_mA"]
        test["current_A"] = band_data(read(text, bench.amperes).scaled(1e-3))
        what = f"{text} mA into a short circuit"
        made.sources["continuity_test.current_A"] = bench.source(bench.amperes, what)
    if has(answers, "threshold_ohm"):
        test["threshold_ohm"] = float(answers["threshold_ohm"])
        label_source(made, answers, "continuity_test.threshold_ohm")
    if test:
        made.data["continuity_test"] = test


def _capacitor(made: Entry, answers: Answers, bench: Bench) -> None:
    if has(answers, "charged_V"):
        text = answers["charged_V"]
        made.data["supply"]["charged_V"] = band_data(read(text, bench.volts))
        made.sources["supply.charged_V"] = bench.source(bench.volts, f"{text} V without load")
    copy_figures(
        made, answers, ("capacitance_F", "series_ohm", "recharge_s"), band=True, prefix="supply"
    )


def _loaded(made: Entry, answers: Answers, bench: Bench) -> None:
    supply = made.data["supply"]
    copy_figures(made, answers, ("capacity_Ah",), band=True, prefix="supply")
    copy_figures(made, answers, ("standby_A", "min_C", "max_C"), band=False, prefix="supply")
    if not has(answers, "open_V"):
        return
    open_V = read(answers["open_V"], bench.volts)
    what = f"{answers['open_V']} V without load"
    supply["open_circuit_V"] = band_data(open_V)
    made.sources["supply.open_circuit_V"] = bench.source(bench.volts, what)
    loads = []
    for n in (1, 2, 3):
        ohm, volt = f"load_{n}_ohm", f"load_{n}_V"
        if has(answers, ohm) and has(answers, volt):
            loads.append(LoadReading(quantity(answers[ohm]), read(answers[volt], bench.volts)))
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
    if found.limit == "unknown":
        # Without its limit the box would be computed as stronger than it is. A single load may
        # itself be on the limit.
        until = "the kind of limit is known"
        if loads == 1:
            until = "a second, smaller resistor shows whether it limits its current"
        value = supply.pop("internal_ohm", None)
        made.sources.pop("supply.internal_ohm", None)
        made.remarks.append(
            f"the internal resistance ({toml_value(value)} Ω) is left out until {until}, "
            "so that nobody computes with a supply that has no limit"
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
