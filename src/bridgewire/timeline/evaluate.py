"""From a simulation to outcomes: one for every cue and for every igniter under it."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping

import numpy as np
from attrs import evolve

from bridgewire.circuit.layout import Layout, PlacedIgniter, ResolvedCue
from bridgewire.circuit.supplies import diode_drop
from bridgewire.timeline.corners import TYPICAL_ROW
from bridgewire.timeline.fired import Fired, ignition_A, margin_of, row_times, worst_row
from bridgewire.timeline.interplay import broken_by, loaded_by, spread, strays, waits_for
from bridgewire.timeline.loads import cue_loads, voltage_drops
from bridgewire.timeline.outcomes import CueOutcome, EndState, IgniterOutcome, Times, Verdict
from bridgewire.timeline.results import FiringResult
from bridgewire.timeline.sag import least_supply_V
from bridgewire.timeline.schedule import cue_igniters, fuse_delay_s, intended
from bridgewire.timeline.simulate import Simulation

_AFTER = {"open": EndState.OPEN, "shorted": EndState.SHORTED, "residual": EndState.RESIDUAL}


def evaluate(simulation: Simulation, needed_pulse_s: Mapping[int, float]) -> tuple[CueOutcome, ...]:
    """Outcomes of all cues, in the show's order.

    Parameters
    ----------
    simulation : Simulation
    needed_pulse_s : mapping of cue index to s
        Pulse that lights all at the worst corner, where it was sought.
    """
    fired: dict[int, list[Fired]] = defaultdict(list)
    for result in simulation.results:
        for pulse in result.firing.pulses:
            fired[pulse.cue].append(Fired(result, pulse))
    return tuple(
        _cue(simulation, cue, fired.get(cue.index, []), needed_pulse_s)
        for cue in simulation.layout.cues
    )


def _cue(
    simulation: Simulation,
    cue: ResolvedCue,
    fired: list[Fired],
    needed_pulse_s: Mapping[int, float],
) -> CueOutcome:
    """Outcome of one cue; without a firing its igniters are unlit or unknown."""
    layout, schedule = simulation.layout, simulation.schedule
    switch, pulse = schedule.switch_s[cue.index], schedule.pulse_s[cue.index]
    wanted = intended(layout, cue)
    placed = cue_igniters(layout, cue)
    missing = simulation.unknown.get(cue.way, ()) if cue.way is not None else ()
    if not fired:
        reach = {p.index for p in placed}
        unknown = tuple(
            IgniterOutcome(
                p.index,
                p.id,
                p.index in wanted,
                Verdict.UNKNOWN if cue.way in simulation.unknown or pulse is None else Verdict.NO,
            )
            for p in placed
        )
        elsewhere = _elsewhere(layout, wanted - reach)
        return CueOutcome(
            cue.index, cue.cue.id, cue.way, switch, pulse, unknown + elsewhere, missing=missing
        )
    igniters = tuple(
        _igniter(layout, p, p.index in wanted, fired, switch) for p in placed
    ) + _elsewhere(layout, wanted - {p.index for p in placed})
    typical, worst = spread(cue, igniters, fired, switch)
    results = tuple(f.result for f in fired)
    if _rests_on_faulty_model(simulation, results):
        igniters = tuple(evolve(i, verdict=Verdict.UNKNOWN) for i in igniters)
    first = results[0]
    return CueOutcome(
        cue.index,
        cue.cue.id,
        cue.way,
        switch,
        pulse,
        igniters,
        strays=strays(layout, cue, wanted, fired),
        spread_typical_s=typical,
        spread_worst_s=worst,
        needed_pulse_s=needed_pulse_s.get(cue.index),
        start_V=first.emf_V,
        lowest_V=min(_lowest_V(simulation, layout, r) for r in results),
        lowest_typical_V=float(min(r.lowest_supply_V[TYPICAL_ROW] for r in results)),
        peak_A=float(max(r.peak_supply_A.max() for r in results)),
        limited=bool(any(r.limited[TYPICAL_ROW] for r in results)),
        limited_ever=bool(any(r.limited.any() for r in results)),
        charge_C=float(sum(r.charge_C[TYPICAL_ROW] for r in results)),
        used_before_C=first.used_before_C,
        loads=cue_loads(results, cue.way),
        results=results,
    )


def _lowest_V(simulation: Simulation, layout: Layout, result: FiringResult) -> float:
    """Lowest voltage at the supply's terminals in one firing within the tolerances."""
    box = result.firing.box
    supply = simulation.supplies[box][0]
    assert supply is not None
    drop, worst = diode_drop(layout.boxes[box][1]), result.emf_V.worst
    least = least_supply_V(supply, drop, worst, result.firing, simulation.ways)
    return min(float(result.lowest_supply_V.min()), least)


def _rests_on_faulty_model(simulation: Simulation, results: tuple[FiringResult, ...]) -> bool:
    """Whether a model whose answers could not be used had a part in some firings."""
    faulty = {f.model for f in simulation.model_faults}
    if not faulty:
        return False
    used = {d.model.name for r in results for d in r.component.data if d.model is not None}
    for r in results:
        data, _ = simulation.supplies[r.firing.box]
        if data is not None and data.model is not None:
            used.add(data.model.name)
    return bool(used & faulty)


def _elsewhere(layout: Layout, indexes: set[int]) -> tuple[IgniterOutcome, ...]:
    """Igniters a cue names that are not on its way: it does not light them."""
    ids = layout.names
    return tuple(IgniterOutcome(i, ids[i], True, Verdict.NO) for i in sorted(indexes))


def _end_state(fired: list[Fired], p: PlacedIgniter, row: int, all_bridges: bool) -> EndState:
    """What an igniter is after the cue in one scenario; unlit where one of its bridges is."""
    r = fired[-1].result
    c = r.component
    bridges = (
        np.flatnonzero(c.bridge_igniter == p.index).tolist()
        if all_bridges
        else [c.targets[p.index]]
    )
    columns = [r.columns[b] for b in bridges]
    if not all(r.lit_after[row, k] for k in columns):
        return EndState.UNLIT
    if all(r.parted_after[row, k] for k in columns):
        return _AFTER[p.klass.after_fire or "open"]
    return EndState.CLOSED


def _igniter(
    layout: Layout, p: PlacedIgniter, wanted: bool, fired: list[Fired], switch_s: float
) -> IgniterOutcome:
    """Outcome of one igniter on the way of a cue that fires."""
    c = fired[0].result.component
    slow = worst_row(fired, p.index, switch_s)
    latest, slow_before = row_times(fired, p.index, slow, switch_s, False)
    typical, before = row_times(fired, p.index, TYPICAL_ROW, switch_s, True)
    earliest = min(
        row_times(fired, p.index, row, switch_s, False)[0] for row in c.fast_rows(p.index)
    )
    worst = ignition_A(fired, p.index, slow)
    proven = slow_before or (math.isfinite(latest) and worst >= _sure_from_A(fired, p))
    if not (before or math.isfinite(typical)):
        verdict = Verdict.NO
    else:
        verdict = Verdict.SURE if proven else Verdict.MARGINAL
    light = Times(min(earliest, typical), typical, max(latest, typical))
    fuse = fuse_delay_s(p.igniter.fuse)
    effect = None
    if fuse is not None and not before:
        effect = light.shifted(*(switch_s + f for f in fuse))
    bridge = c.targets[p.index]
    peak = max(float(f.result.peak_x[TYPICAL_ROW, f.result.columns[bridge]]) for f in fired)
    rise = c.data[bridge].heating.theta_lit_K
    ambient = layout.show.site.ambient_C
    current = ignition_A(fired, p.index, TYPICAL_ROW)
    return IgniterOutcome(
        p.index,
        p.id,
        wanted,
        verdict,
        lit_before=before,
        light=light,
        effect=effect,
        margin=margin_of(fired, p.index, slow),
        margin_typical=margin_of(fired, p.index, TYPICAL_ROW),
        end_state=_end_state(fired, p, TYPICAL_ROW, True),
        worst_end_state=_end_state(fired, p, slow, False),
        terminal_A=current,
        terminal_V=current * _string_ohm(fired[0].result, bridge, min(peak, 1.0)),
        worst_A=worst,
        best_A=max(
            float(f.result.peak_A[row, f.result.columns[bridge]])
            for f in fired
            for row in c.fast_rows(p.index)
        ),
        peak_rise=peak,
        peak_C=None if rise is None or ambient is None else ambient.typical + peak * rise.typical,
        drops=voltage_drops(
            layout,
            fired[0].result,
            bridge,
            diode_drop(layout.boxes[fired[0].result.firing.box][1]).typical,
        ),
        waits_for=waits_for(layout, fired, p, typical, switch_s),
        broken_by=broken_by(layout, fired, p, slow),
        loaded_by=loaded_by(layout, fired, p),
    )


def _sure_from_A(fired: list[Fired], p: PlacedIgniter) -> float:
    """Least current at which the class's data promise ignition, A; 0 where they always do."""
    component = fired[0].result.component
    return component.data[component.targets[p.index]].heating.sure_from_A or 0.0


def _string_ohm(r: FiringResult, bridge: int, x: float) -> float:
    """Typical resistance between the terminals of a bridge's string."""
    c = r.component
    string = int(c.bridge_string[bridge])
    way = r.strings[string][1]
    total = float(c.ways[way].string_ohm[string - c.string_start[way], 1])
    for b in np.flatnonzero(c.bridge_string == string).tolist():
        data = c.data[b]
        total += data.bridge_ohm.typical * (1.0 + data.rise_per_x * x)
    return total
