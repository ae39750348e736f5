"""What igniters do to one another: wait, break, load, light apart, carry current unmeant."""

from __future__ import annotations

import math

import numpy as np

from bridgewire.circuit.layout import Layout, PlacedIgniter, ResolvedCue
from bridgewire.timeline.corners import TYPICAL_ROW, UNPARTED_ROW
from bridgewire.timeline.fired import Fired, row_times
from bridgewire.timeline.outcomes import IgniterOutcome, Stray
from bridgewire.timeline.schedule import cue_igniters, intended


def _names(layout: Layout, indexes: list[int]) -> tuple[str, ...]:
    ids = layout.names
    return tuple(dict.fromkeys(ids[i] for i in indexes))


def waits_for(
    layout: Layout, fired: list[Fired], p: PlacedIgniter, typical_s: float, switch_s: float
) -> tuple[str, ...]:
    """Igniters whose parting lets this one light: it does not light if nothing ever parts."""
    if not math.isfinite(typical_s) or typical_s <= 0.0:
        return ()
    without, _ = row_times(fired, p.index, UNPARTED_ROW, switch_s, True)
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


def broken_by(layout: Layout, fired: list[Fired], p: PlacedIgniter, row: int) -> tuple[str, ...]:
    """Igniters in series with one that part in a scenario while it is not lit."""
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


def loaded_by(layout: Layout, fired: list[Fired], p: PlacedIgniter) -> tuple[str, ...]:
    """Igniters lit by an earlier cue that stayed closed and typically draw current beside one."""
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


def spread(
    cue: ResolvedCue, igniters: tuple[IgniterOutcome, ...], fired: list[Fired], switch_s: float
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
        i.igniter: row_times(fired, i.igniter, c.row(i.igniter, "quick"), switch_s, False)[0]
        for i in several
    }
    worst = spread
    for late in several:
        for early in several:
            if early is not late:
                gap = late.light.latest - min(quick[early.igniter], early.light.typical)
                worst = max(worst, math.inf if math.isnan(gap) else gap)
    return spread, worst


def strays(
    layout: Layout, cue: ResolvedCue, wanted: set[int], fired: list[Fired]
) -> tuple[Stray, ...]:
    """Igniters that carry current although no cue of the firing means to light them."""
    found: dict[int, Stray] = {}
    spent: dict[int, bool] = {}
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
            # As the cue found it: repeats of the cue may run beside other ways.
            spent.setdefault(igniter, bool(r.lit_before[TYPICAL_ROW, column]))
            peak = float(r.peak_A[:, column].max())
            if peak <= 1e-6 or r.lit_before[:, column].all():
                continue
            lights = not bool(np.isnan(r.light_s[:, column]).all())
            if igniter in found:
                peak, lights = max(peak, found[igniter].peak_A), lights or found[igniter].lights
            on_way = igniter in own
            found[igniter] = Stray(igniter, ids[igniter], peak, lights, on_way, spent[igniter])
    return tuple(found.values())
