"""From a simulation to outcomes: verdicts, light times, margins, states, voltage lost."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping

import numpy as np
from attrs import define, evolve

from bridgewire.circuit.layout import Layout, PlacedIgniter, ResolvedCue
from bridgewire.circuit.supplies import diode_drop
from bridgewire.timeline.corners import TYPICAL_ROW, UNPARTED_ROW
from bridgewire.timeline.loads import cue_loads, voltage_drops
from bridgewire.timeline.outcomes import CueOutcome, EndState, IgniterOutcome, Stray, Times, Verdict
from bridgewire.timeline.results import FiringResult
from bridgewire.timeline.schedule import Pulse, cue_igniters, fuse_delay_s
from bridgewire.timeline.simulate import Simulation

_AFTER = {"open": EndState.OPEN, "shorted": EndState.SHORTED, "residual": EndState.RESIDUAL}


@define(eq=False)
class _Fired:
    """A pulse of a cue and the firing it belongs to."""

    result: FiringResult
    pulse: Pulse


def evaluate(simulation: Simulation, needed_pulse_s: Mapping[int, float]) -> tuple[CueOutcome, ...]:
    """Outcomes of all cues, in the show's order.

    Parameters
    ----------
    simulation : Simulation
    needed_pulse_s : mapping of cue index to s
        Pulse that lights all at the worst corner, where it was sought.
    """
    fired: dict[int, list[_Fired]] = defaultdict(list)
    for result in simulation.results:
        for pulse in result.firing.pulses:
            fired[pulse.cue].append(_Fired(result, pulse))
    return tuple(
        _cue(simulation, cue, fired.get(cue.index, []), needed_pulse_s)
        for cue in simulation.layout.cues
    )


def intended(layout: Layout, cue: ResolvedCue) -> set[int]:
    """Indexes of the igniters a cue means to light: those it names, else all on its way."""
    if cue.lights is not None:
        return set(cue.lights)
    return {p.index for p in cue_igniters(layout, cue)}


def _cue(
    simulation: Simulation,
    cue: ResolvedCue,
    fired: list[_Fired],
    needed_pulse_s: Mapping[int, float],
) -> CueOutcome:
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
    typical, worst = _spread(cue, igniters, fired, switch)
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
        strays=_strays(layout, cue, wanted, fired),
        spread_typical_s=typical,
        spread_worst_s=worst,
        needed_pulse_s=needed_pulse_s.get(cue.index),
        start_V=Times(*first.emf_V),
        lowest_V=float(min(r.lowest_supply_V.min() for r in results)),
        lowest_typical_V=float(min(r.lowest_supply_V[TYPICAL_ROW] for r in results)),
        peak_A=float(max(r.peak_supply_A.max() for r in results)),
        limited=bool(any(r.limited[TYPICAL_ROW] for r in results)),
        limited_ever=bool(any(r.limited.any() for r in results)),
        charge_C=float(sum(r.charge_C[TYPICAL_ROW] for r in results)),
        used_before_C=first.used_before_C,
        loads=cue_loads(results, cue.way),
        results=results,
    )


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


def _row_times(
    fired: list[_Fired], igniter: int, row: int, switch_s: float, all_bridges: bool
) -> tuple[float, bool]:
    """Light time of an igniter in one scenario and whether it was lit before the cue."""
    component = fired[0].result.component
    bridges = (
        np.flatnonzero(component.bridge_igniter == igniter).tolist()
        if all_bridges
        else [component.targets[igniter]]
    )
    latest, before = -math.inf, True
    for bridge in bridges:
        time = math.inf
        for f in fired:
            t = f.result.light_s[row, f.result.columns[bridge]]
            if not math.isnan(t):
                time = f.result.firing.start_s + float(t) - switch_s
                break
        first = fired[0].result
        # An overlapping cue may have lit it in the same firing, before this cue switches.
        if first.lit_before[row, first.columns[bridge]] or time < 0.0:
            continue
        before = False
        latest = max(latest, time)
    return (0.0 if before else latest), before


def _worst_row(fired: list[_Fired], igniter: int, switch_s: float) -> int:
    """The slow scenario in which an igniter lights latest, or falls shortest of lighting."""

    def badness(row: int) -> tuple[float, float]:
        margin = _margin(fired, igniter, row)
        time, _ = _row_times(fired, igniter, row, switch_s, False)
        return time, -(math.inf if margin is None else margin)

    return max(fired[0].result.component.slow_rows(igniter), key=badness)


def _margin(fired: list[_Fired], igniter: int, row: int) -> float | None:
    """Factor by which the current could fall and still light the igniter in the pulse.

    The square root of the rise reached by the end of the pulse if the current at ignition goes
    on. Exact for constant current and a bridge whose resistance does not change.
    """
    best = 0.0
    for f in fired:
        r = f.result
        bridge = r.component.targets[igniter]
        column = r.columns[bridge]
        if r.lit_before[row, column]:
            return None if best == 0.0 else best
        x = float(r.peak_x[row, column])
        when = float(r.light_s[row, column])
        if not math.isnan(when):
            u = float(r.light_u[row, column])
            left = f.pulse.end_s - r.firing.start_s - when
            decay = math.exp(-max(left, 0.0) / float(r.tau_s[row, column]))
            x = max(u + (1.0 - u) * decay, 1.0)
        best = max(best, math.sqrt(max(x, 0.0)))
    return best


def _current(fired: list[_Fired], igniter: int, row: int) -> float:
    """Current at ignition, or the highest where it is not lit."""
    peak = 0.0
    for f in fired:
        column = f.result.columns[f.result.component.targets[igniter]]
        if not math.isnan(f.result.light_s[row, column]):
            return float(f.result.light_A[row, column])
        peak = max(peak, float(f.result.peak_A[row, column]))
    return peak


def _end_state(fired: list[_Fired], p: PlacedIgniter, row: int, all_bridges: bool) -> EndState:
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
    layout: Layout, p: PlacedIgniter, wanted: bool, fired: list[_Fired], switch_s: float
) -> IgniterOutcome:
    c = fired[0].result.component
    slow = _worst_row(fired, p.index, switch_s)
    latest, slow_before = _row_times(fired, p.index, slow, switch_s, False)
    typical, before = _row_times(fired, p.index, TYPICAL_ROW, switch_s, True)
    earliest = min(
        _row_times(fired, p.index, row, switch_s, False)[0] for row in c.fast_rows(p.index)
    )
    worst = _current(fired, p.index, slow)
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
    current = _current(fired, p.index, TYPICAL_ROW)
    return IgniterOutcome(
        p.index,
        p.id,
        wanted,
        verdict,
        lit_before=before,
        light=light,
        effect=effect,
        margin=_margin(fired, p.index, slow),
        margin_typical=_margin(fired, p.index, TYPICAL_ROW),
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
        waits_for=_waits_for(layout, fired, p, typical, switch_s),
        broken_by=_broken_by(layout, fired, p, slow),
        loaded_by=_loaded_by(layout, fired, p),
    )


def _sure_from_A(fired: list[_Fired], p: PlacedIgniter) -> float:
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


def _names(layout: Layout, indexes: list[int]) -> tuple[str, ...]:
    ids = layout.names
    return tuple(dict.fromkeys(ids[i] for i in indexes))


def _waits_for(
    layout: Layout, fired: list[_Fired], p: PlacedIgniter, typical_s: float, switch_s: float
) -> tuple[str, ...]:
    """Igniters whose parting lets this one light: it does not light if nothing ever parts."""
    if not math.isfinite(typical_s) or typical_s <= 0.0:
        return ()
    without, _ = _row_times(fired, p.index, UNPARTED_ROW, switch_s, True)
    if math.isfinite(without):
        return ()
    earlier: list[tuple[float, int]] = []
    for f in fired:
        r = f.result
        for bridge, column in r.columns.items():
            part = float(r.part_s[TYPICAL_ROW, column])
            when = r.firing.start_s + part - switch_s
            igniter = int(r.component.bridge_igniter[bridge])
            if not math.isnan(part) and when <= typical_s and igniter != p.index:
                earlier.append((when, igniter))
    return _names(layout, [i for _, i in sorted(earlier, reverse=True)])


def _broken_by(layout: Layout, fired: list[_Fired], p: PlacedIgniter, row: int) -> tuple[str, ...]:
    found: list[int] = []
    for f in fired:
        r = f.result
        c = r.component
        target = c.targets[p.index]
        if r.lit_after[row, r.columns[target]]:
            continue
        mates = np.flatnonzero(c.bridge_string == c.bridge_string[target]).tolist()
        found.extend(
            int(c.bridge_igniter[b])
            for b in mates
            if b != target and r.parted_after[row, r.columns[b]]
        )
    return _names(layout, found)


def _loaded_by(layout: Layout, fired: list[_Fired], p: PlacedIgniter) -> tuple[str, ...]:
    r = fired[0].result
    c = r.component
    if r.lit_before[TYPICAL_ROW, r.columns[c.targets[p.index]]]:
        return ()
    found = [
        int(c.bridge_igniter[bridge])
        for bridge, column in r.columns.items()
        if r.lit_before[TYPICAL_ROW, column]
        and not r.parted_before[TYPICAL_ROW, column]
        and int(c.bridge_igniter[bridge]) != p.index
    ]
    return _names(layout, found)


def _spread(
    cue: ResolvedCue, igniters: tuple[IgniterOutcome, ...], fired: list[_Fired], switch_s: float
) -> tuple[float | None, float | None]:
    """Typical and worst difference of light times of the igniters meant to light."""
    group = [i for i in igniters if i.intended and not i.lit_before]
    c = fired[0].result.component
    several = [i for i in group if i.igniter in c.targets]
    if len(several) < 2:
        return None, None
    typical = [i.light.typical for i in several]
    finite = all(math.isfinite(t) for t in typical)
    spread = max(typical) - min(typical) if finite else math.inf
    if not c.quick or not cue.cue.together:
        return spread, None
    quick = {
        i.igniter: _row_times(fired, i.igniter, c.row(i.igniter, "quick"), switch_s, False)[0]
        for i in several
    }
    worst = spread
    for late in several:
        for early in several:
            if early is not late:
                gap = late.light.latest - min(quick[early.igniter], early.light.typical)
                worst = max(worst, math.inf if math.isnan(gap) else gap)
    return spread, worst


def _strays(
    layout: Layout, cue: ResolvedCue, wanted: set[int], fired: list[_Fired]
) -> tuple[Stray, ...]:
    """Igniters that carry current although no cue of the firing means to light them."""
    strays: dict[int, Stray] = {}
    own = {p.index for p in cue_igniters(layout, cue)}
    ids = layout.names
    for f in fired:
        r = f.result
        meant = set(wanted)
        for pulse in r.firing.pulses:
            meant |= intended(layout, layout.cues[pulse.cue])
        for igniter, bridge in r.component.targets.items():
            if igniter in meant or bridge not in r.columns:
                continue
            column = r.columns[bridge]
            peak = float(r.peak_A[:, column].max())
            if peak <= 1e-6 or r.lit_before[:, column].all():
                continue
            lights = not np.isnan(r.light_s[:, column]).all()
            old = strays.get(igniter)
            if old is None or peak > old.peak_A:
                spent = bool(fired[0].result.lit_before[TYPICAL_ROW, column])
                strays[igniter] = Stray(igniter, ids[igniter], peak, lights, igniter in own, spent)
    return tuple(strays.values())
