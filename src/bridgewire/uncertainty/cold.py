"""The same show in other weather: a sweep over ambient temperatures.

Every step computes the whole show anew with the site, and every box, at exactly that temperature;
all other tolerances stay. The boxes switch when they do at the show's own temperature. A box whose
supply the kit does not describe at a temperature makes its igniters *unknown* there.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from typing import Literal

from attrs import evolve, frozen

from bridgewire.circuit.layout import Layout, WayKey
from bridgewire.circuit.ways import CircuitBuilder
from bridgewire.model.band import Band
from bridgewire.timeline.evaluate import evaluate
from bridgewire.timeline.outcomes import Assessment, CueOutcome, Verdict
from bridgewire.timeline.simulate import simulate
from bridgewire.timeline.supply_log import cue_sags, supply_logs
from bridgewire.uncertainty.battery_range import Knowledge, knowledge

RESOLUTION_K = 0.5
"""How close the temperature of a failure is bracketed."""
MOST_STEPS = 200
"""Most temperatures of one sweep."""

Failing = Literal["verdict", "supply"]
State = Failing | Literal["unknown"] | None
"""What is wrong with a cue; None where it is well."""
Progress = Callable[[int, int], None]


@frozen
class ColdBox:
    """One box at one temperature."""

    box: str
    lowest_V: float | None
    """Lowest voltage at its terminals in the show, worst corner; None where not known."""
    lowest_typical_V: float | None
    lowest_cue: str | None
    below_minimum: bool
    """Whether some cue leaves it less than `min_supply_V`, worst corner."""
    capacity_Ah: float | None
    """Least charge of the full battery at the temperature, Ah."""
    left_Ah: float | None
    """Charge left after the show from the least state of charge, Ah; not below 0."""
    left_pct: float | None
    """The same in % of `capacity_Ah`."""
    unknown: str | None
    """Why nothing can be said."""
    note: str | None


@frozen
class ColdStep:
    """One temperature."""

    at_C: float
    verdicts: Mapping[Verdict, int]
    """How many igniter entries have each verdict (the best over all cues that mean them)."""
    margin: float | None
    """Least margin of all igniters meant, worst corner."""
    margin_cue: str | None
    margin_igniter: str | None
    boxes: tuple[ColdBox, ...]


@frozen
class ColdFailure:
    """The first cues to fail on the way from the show's temperature to one end."""

    at_C: float
    """A temperature at which they fail."""
    still_well_C: float
    """A temperature at most 0.5 K away at which none of them fails."""
    cues: tuple[tuple[str, Verdict | None, Failing], ...]
    """Id, verdict at `at_C`, and what fails: no longer *sure*, or the supply below its minimum."""


@frozen
class ColdSweep:
    """A show over a range of temperatures."""

    start_C: float
    """Typical ambient of the show, or the end of the range that is nearest to it."""
    steps: tuple[ColdStep, ...]
    """Coldest first; `start_C` is among them."""
    failing_at_start: tuple[str, ...]
    """Cues that are not well at `start_C` already."""
    colder: ColdFailure | None
    """None where no further cue fails down to the coldest step known."""
    warmer: ColdFailure | None


@frozen
class _Seen:
    """What is kept of one temperature."""

    step: ColdStep
    states: Mapping[int, State]
    verdicts: Mapping[int, Verdict | None]


def _seen(assessment: Assessment, at_C: float) -> _Seen:
    return _Seen(
        _step(assessment, at_C),
        _states(assessment),
        {c.cue: c.verdict for c in assessment.cues},
    )


def temperatures(from_C: float, to_C: float, step_C: float) -> tuple[float, ...]:
    """Temperatures from one to another, both among them, °C.

    Raises
    ------
    ValueError
        If the range is empty, the step is not above 0, or there are more than 200.

    Examples
    --------
    >>> temperatures(-10, 2, 5)
    (-10.0, -5.0, 0.0, 2.0)
    """
    if not (math.isfinite(from_C) and math.isfinite(to_C) and from_C <= to_C):
        raise ValueError("the range of temperatures must begin below its end")
    if not step_C > 0.0:
        raise ValueError("the step must be above 0")
    count = math.floor((to_C - from_C) / step_C + 1e-9) + 1
    if count > MOST_STEPS:
        raise ValueError(f"{count} temperatures are too many; at most {MOST_STEPS}")
    found = [round(float(from_C) + n * step_C, 9) for n in range(count)]
    if to_C - found[-1] > 1e-6:
        found.append(float(to_C))
    return tuple(found)


def cold_sweep(
    assessment: Assessment,
    at_C: Sequence[float],
    *,
    resolution_K: float = RESOLUTION_K,
    progress: Progress | None = None,
) -> ColdSweep:
    """Assess a show again at other temperatures.

    Parameters
    ----------
    assessment : Assessment
        Of the show as it stands. Its switching times are kept.
    at_C : sequence of float
        Temperatures, rising, see `temperatures`.
    resolution_K : float
        How close to bracket the temperature at which the first cue fails.
    progress : callable, optional
        Called with steps done and in all.

    Returns
    -------
    ColdSweep
        Verdicts are those at tolerance corners, as `bridgewire.timeline.assess.assess` gives them.
        Between two steps a cue is taken to change its verdict once.

    Examples
    --------
    >>> from bridgewire.uncertainty.cold import temperatures
    >>> temperatures(-10, 35, 5)[:3]
    (-10.0, -5.0, 0.0)
    """
    typical = assessment.simulation.ambient_C.typical
    start = min(max(typical, at_C[0]), at_C[-1])
    grid = sorted({*at_C, start})
    found: dict[float, _Seen] = {}
    for n, temperature in enumerate(grid):
        found[temperature] = _seen(at_temperature(assessment, temperature), temperature)
        if progress is not None:
            progress(n + 1, len(grid))
    states = found[start].states
    well = {i for i, why in states.items() if why is None}
    here = grid.index(start)
    names = {c.cue: c.id for c in assessment.cues}
    return ColdSweep(
        start,
        tuple(found[t].step for t in grid),
        tuple(names[i] for i, why in states.items() if why is not None and why != "unknown"),
        _first(assessment, found, grid[here::-1], well, resolution_K),
        _first(assessment, found, grid[here:], well, resolution_K),
    )


def at_temperature(
    assessment: Assessment, at_C: float, only_ways: Collection[WayKey] | None = None
) -> Assessment:
    """A show at one ambient temperature everywhere, switching as it does at its own.

    Parameters
    ----------
    assessment : Assessment
    at_C : float
    only_ways : collection of WayKey, optional
        Compute these ways only.

    Returns
    -------
    Assessment
        Igniters on boxes whose supply is not known at the temperature are *unknown*.
    """
    layout = layout_at(assessment.layout, at_C)
    band = Band(at_C, at_C, at_C)
    simulation = simulate(
        layout, CircuitBuilder(layout, band), assessment.schedule, only_ways=only_ways
    )
    for result in simulation.results:
        result.snapshots = {}  # where voltage is lost is not wanted here
    cues = evaluate(simulation, {})
    dark = {box for box, k in _knowledge(layout, at_C).items() if k.unknown is not None}
    if dark:
        cues = tuple(_unknown(c) if c.way and c.way[0] in dark else c for c in cues)
    return Assessment(layout, assessment.schedule, simulation, cues)


def layout_at(layout: Layout, at_C: float) -> Layout:
    """A layout with the site and every box at one temperature."""
    band = Band(at_C, at_C, at_C)
    boxes = tuple(
        evolve(b, ambient_C=None if b.ambient_C is None else band) for b in layout.show.box
    )
    site = evolve(layout.show.site, ambient_C=band)
    return evolve(layout, show=evolve(layout.show, site=site, box=boxes))


def _knowledge(layout: Layout, at_C: float) -> dict[str, Knowledge]:
    return {box: knowledge(kind.supply, at_C, at_C) for box, (_, kind, _) in layout.boxes.items()}


def _unknown(cue: CueOutcome) -> CueOutcome:
    igniters = tuple(
        evolve(i, verdict=Verdict.UNKNOWN, margin=None, margin_typical=None) for i in cue.igniters
    )
    return evolve(cue, igniters=igniters, start_V=None, lowest_V=None, lowest_typical_V=None)


def _states(assessment: Assessment) -> dict[int, State]:
    """What is wrong with each cue that means to light something; None where it is well."""
    return {
        cue.cue: state(assessment.layout, cue) for cue in assessment.cues if cue.verdict is not None
    }


def state(layout: Layout, cue: CueOutcome) -> State:
    """What is wrong with a cue; None where it is sure and its supply stays above the minimum."""
    if cue.verdict is Verdict.UNKNOWN or cue.way is None:
        return "unknown"
    if cue.verdict in (Verdict.NO, Verdict.MARGINAL):
        return "verdict"
    return "supply" if cue_sags(layout.boxes[cue.way[0]][1], cue) else None


def _step(assessment: Assessment, at_C: float) -> ColdStep:
    counts = dict.fromkeys(Verdict, 0)
    for verdict in assessment.verdicts().values():
        counts[verdict] += 1
    margins = [
        (i.margin, cue.id, i.id)
        for cue in assessment.cues
        for i in cue.meant
        if i.margin is not None and i.verdict is not Verdict.UNKNOWN
    ]
    least = min(margins, key=lambda m: m[0]) if margins else (None, None, None)
    boxes = tuple(_boxes(assessment, at_C))
    return ColdStep(at_C, counts, least[0], least[1], least[2], boxes)


def _boxes(assessment: Assessment, at_C: float) -> Iterable[ColdBox]:
    known = _knowledge(assessment.layout, at_C)
    for log in supply_logs(assessment):
        k = known[log.box]
        if k.unknown is not None:
            yield ColdBox(log.box, None, None, None, False, None, None, None, k.unknown, k.note)
            continue
        low = log.lowest
        left = log.left_pct
        unknown = None
        if low is None:
            unknown = log.notes[0] if log.notes else "no cue of it can be computed"
            unknown = unknown if log.entries else None
        said = [k.note] if k.note is not None else []
        said += [n for n in log.notes if n.startswith("waiting")]
        yield ColdBox(
            log.box,
            None if low is None else low.lowest_V,
            None if low is None else low.lowest_typical_V,
            None if low is None else low.id,
            bool(log.below_minimum),
            log.capacity_Ah,
            None if left is None or log.capacity_Ah is None else log.capacity_Ah * left / 100.0,
            left,
            unknown,
            "; ".join(said) or None,
        )


def _first(
    assessment: Assessment,
    found: Mapping[float, _Seen],
    path_C: Sequence[float],
    well: Collection[int],
    resolution_K: float,
) -> ColdFailure | None:
    """Walk along temperatures to the first one at which a cue that was well fails, and bisect."""
    place = next((n for n, t in enumerate(path_C) if _failing(found[t].states, well)), None)
    if place is None:
        return None
    good, bad = path_C[place - 1], path_C[place]
    verdicts = found[bad].verdicts
    failing = _failing(found[bad].states, well)
    while abs(bad - good) > resolution_K:
        middle = 0.5 * (bad + good)
        ways = {w for c in assessment.cues if c.cue in failing and (w := c.way) is not None}
        trial = at_temperature(assessment, middle, ways)
        still = _failing(_states(trial), failing)
        if still:
            bad, failing = middle, still
            verdicts = {c.cue: c.verdict for c in trial.cues}
        else:
            good = middle
    cues = [c for c in assessment.by_time() if c.cue in failing]
    return ColdFailure(bad, good, tuple((c.id, verdicts[c.cue], failing[c.cue]) for c in cues))


def _failing(states: Mapping[int, State], among: Collection[int]) -> dict[int, Failing]:
    return {
        i: why for i, why in states.items() if i in among and why is not None and why != "unknown"
    }
