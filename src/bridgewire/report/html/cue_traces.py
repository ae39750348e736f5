"""Currents and bridge temperatures of every cue of a show, at typical values.

`bridgewire.timeline.trace` follows one cue closely, in any tolerance corner. A page shows hundreds
of cues, so here all of them come from one run of the whole show.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

import numpy as np
from attrs import frozen

from bridgewire.physics.network import Floats
from bridgewire.report.html.typical_run import Followed, follow_all
from bridgewire.timeline.corners import TYPICAL_ROW
from bridgewire.timeline.outcomes import Assessment

_MOST_REPEATS = 4
"""Pulses of a repeated cue that are followed."""


@frozen(eq=False)
class Curve:
    """One igniter over the sampled times; several rows at one time where its current jumps."""

    igniter: int
    """Index in the show."""
    id: str
    time_s: Floats
    """From the switching of the cue."""
    current_A: Floats
    rise: Floats
    """Temperature rise over the rise that lights it."""
    light_s: float | None
    part_s: float | None
    base_C: float | None
    """Temperature at no rise; None where it is not known."""
    rise_K: float | None
    """Rise that lights it."""


@frozen(eq=False)
class CueCurves:
    """One cue at typical values."""

    cue: int
    pulses_s: tuple[tuple[float, float], ...]
    """From the switching of the cue."""
    pulses_in_all: int
    curves: tuple[Curve, ...]


def cue_curves(assessment: Assessment) -> dict[int, CueCurves]:
    """Compute the curves of every cue that could be computed.

    Parameters
    ----------
    assessment : Assessment

    Returns
    -------
    dict
        By index of the cue. Cues that fire nothing, or rest on a missing value, are not in it.
    """
    firings: dict[int, list[Followed]] = defaultdict(list)
    for followed in follow_all(assessment):
        for cue in dict.fromkeys(p.cue for p in followed.result.firing.pulses):
            firings[cue].append(followed)
    return {cue: _cue(assessment, cue, parts) for cue, parts in firings.items()}


def _cue(assessment: Assessment, cue: int, parts: Sequence[Followed]) -> CueCurves:
    outcome = assessment.cues[cue]
    switch = outcome.switch_s
    pulses = sorted(
        (p.start_s - switch, p.end_s - switch)
        for f in parts
        for p in f.result.firing.pulses
        if p.cue == cue
    )
    shown = parts[:_MOST_REPEATS]
    end = pulses[min(len(pulses), _MOST_REPEATS) - 1][1]
    targets = shown[0].result.component.targets
    curves = [
        _curve(assessment, i.igniter, i.id, targets[i.igniter], shown, switch, end)
        for i in outcome.igniters
        if i.igniter in targets and targets[i.igniter] in shown[0].result.columns
    ]
    return CueCurves(cue, tuple(pulses[:_MOST_REPEATS]), len(pulses), tuple(curves))


def _curve(
    assessment: Assessment,
    igniter: int,
    name: str,
    bridge: int,
    parts: Sequence[Followed],
    switch_s: float,
    end_s: float,
) -> Curve:
    times: list[Floats] = []
    currents: list[Floats] = []
    rises: list[Floats] = []
    light = part = np.inf
    for f in parts:
        k = f.result.columns[bridge]
        offset = f.result.firing.start_s - switch_s
        t = f.time_s + offset
        inside = (t >= -1e-9) & (t <= end_s + 1e-9)
        if times and inside.any():
            _cool(times, currents, rises, float(t[inside][0]), f, k)
        times.append(np.repeat(t[inside], 2))
        before, after = f.before_A[inside, k].copy(), f.after_A[inside, k].copy()
        if before.size:
            before[0] = 0.0 if not currents else before[0]
        if after.size and t[inside][-1] >= end_s - 1e-9:
            after[-1] = 0.0
        currents.append(np.stack([before, after], axis=1).ravel())
        rises.append(np.repeat(f.x[inside, k], 2))
        light = min(light, _after(f.result.light_s[TYPICAL_ROW, k], offset))
        part = min(part, _after(f.result.part_s[TYPICAL_ROW, k], offset))
    base, rise = _temperatures(assessment, parts[0], bridge)
    return Curve(
        igniter,
        name,
        np.concatenate(times),
        np.concatenate(currents),
        np.concatenate(rises),
        float(light) if 0.0 <= light <= end_s else None,
        float(part) if 0.0 <= part <= end_s else None,
        base,
        rise,
    )


def _after(time_s: float, offset_s: float) -> float:
    return np.inf if np.isnan(time_s) else float(time_s) + offset_s


def _cool(
    times: list[Floats],
    currents: list[Floats],
    rises: list[Floats],
    until_s: float,
    f: Followed,
    column: int,
) -> None:
    """Cooling between two pulses of a repeated cue."""
    last = float(times[-1][-1])
    gap = until_s - last
    if gap <= 0.0:
        return
    over = gap * np.linspace(0.0, 1.0, 9)[1:-1]
    times.append(last + over)
    currents.append(np.zeros(over.size))
    tau = float(f.result.tau_s[TYPICAL_ROW, column])
    rises.append(float(rises[-1][-1]) * np.exp(-over / tau))


def _temperatures(
    assessment: Assessment, f: Followed, bridge: int
) -> tuple[float | None, float | None]:
    """Ambient temperature and the rise that lights, where both are known."""
    rise = f.result.component.data[bridge].heating.theta_lit_K
    ambient = assessment.layout.show.site.ambient_C
    if rise is None or ambient is None:
        return None, None
    return ambient.typical, rise.typical
