"""The pulses of a cue as they were run: light times, margins and currents read from the results.

A scenario is named by its row, see `bridgewire.timeline.corners.Component`.
"""

from __future__ import annotations

import math

import numpy as np
from attrs import define

from bridgewire.timeline.results import FiringResult
from bridgewire.timeline.schedule import Pulse


@define(eq=False)
class Fired:
    """A pulse of a cue and the firing it belongs to."""

    result: FiringResult
    pulse: Pulse


def row_times(
    fired: list[Fired], igniter: int, row: int, switch_s: float, all_bridges: bool
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


def worst_row(fired: list[Fired], igniter: int, switch_s: float) -> int:
    """The slow scenario in which an igniter lights latest, or falls shortest of lighting."""

    def badness(row: int) -> tuple[float, float]:
        margin = margin_of(fired, igniter, row)
        time, _ = row_times(fired, igniter, row, switch_s, False)
        return time, -(math.inf if margin is None else margin)

    return max(fired[0].result.component.slow_rows(igniter), key=badness)


def margin_of(fired: list[Fired], igniter: int, row: int) -> float | None:
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


def ignition_A(fired: list[Fired], igniter: int, row: int) -> float:
    """Current at ignition, or the highest where it is not lit."""
    peak = 0.0
    for f in fired:
        column = f.result.columns[f.result.component.targets[igniter]]
        if not math.isnan(f.result.light_s[row, column]):
            return float(f.result.light_A[row, column])
        peak = max(peak, float(f.result.peak_A[row, column]))
    return peak
