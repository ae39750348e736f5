"""Follow one cue closely: currents and bridge temperatures of its igniters over time.

The show is run up to the cue as in a check, so that what earlier cues left (spent, closed, warm,
a drained supply) is in it. The cue's own firings are then run once more in one tolerance scenario
and stopped at every time that is wanted, so that no value is interpolated.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Literal

import numpy as np
from attrs import evolve, frozen

from bridgewire.circuit.catalogue import nearest
from bridgewire.circuit.layout import PlacedIgniter
from bridgewire.circuit.ways import CircuitBuilder
from bridgewire.errors import BridgewireError
from bridgewire.physics.network import Floats
from bridgewire.timeline.corners import TYPICAL_ROW, Component
from bridgewire.timeline.follow import SAME_S, TOLERANCE, Followed, Sample, follow
from bridgewire.timeline.jobs import Job, Supplies
from bridgewire.timeline.outcomes import Assessment
from bridgewire.timeline.schedule import Pulse, cue_igniters
from bridgewire.timeline.simulate import simulate
from bridgewire.units import seconds

Corner = Literal["typical", "slow", "fast"]
CORNERS: dict[str, Corner] = {"typical": "typical", "slow": "slow", "fast": "fast"}
"""By the word that a person gives."""

MAX_ROWS = 50_000
"""Most sampled times of a trace."""


class TraceError(BridgewireError):
    """A cue cannot be traced; the text says why."""


@frozen(eq=False)
class IgniterTrace:
    """One igniter over the times of a trace.

    Values stand just after each time: where something switches, after the switching.
    `before_A` is the current just before it.
    """

    id: str
    current_A: Floats
    before_A: Floats
    rise: Floats
    """Temperature rise over the rise that lights it."""
    temperature_C: Floats | None
    """None where the igniter's class or the show gives no temperature."""
    lights_at_C: float | None
    state: tuple[str, ...]
    """``unlit``, ``closed`` (lit, still conducting) or what the class is after parting."""
    light_s: float | None
    """None where it is not lit in this cue."""
    part_s: float | None


@frozen(eq=False)
class CueTrace:
    """One cue in one tolerance scenario. Times count from the moment its box switches, s."""

    show: str
    cue: str
    way: str
    corner: Corner
    target: str
    """The igniter whose latest (slow) or earliest (fast) light the scenario stands for."""
    time_s: Floats
    supply_V: Floats
    """At the supply's terminals; its source voltage while nothing is switched on."""
    pulses_s: tuple[tuple[float, float], ...]
    """Start and end of each pulse of the cue."""
    igniters: tuple[IgniterTrace, ...]


def trace_cue(
    assessment: Assessment,
    cue_id: str,
    *,
    igniters: Sequence[str] = (),
    corner: Corner = "typical",
    step_s: float | None = None,
) -> CueTrace:
    """Compute one cue's currents and bridge temperatures over time.

    Parameters
    ----------
    assessment : Assessment
        Of the show that the cue is in.
    cue_id : str
    igniters : sequence of str
        Ids to follow; all on the cue's way where empty. The first one is the target of the
        ``slow`` and ``fast`` corners; where none is named, that is the one with the least margin.
    corner : str
        ``typical``, ``slow`` (the target's latest light) or ``fast`` (its earliest).
    step_s : float, optional
        Time between samples, s, above 0. A 1, 2 or 5 in its first digit that gives about 400
        samples where absent.

    Returns
    -------
    CueTrace
        At every step, at every switching, ignition and burn-open, and for some time after the
        pulse while the bridges cool.

    Raises
    ------
    TraceError
        If there is no such cue or igniter, if the cue cannot be computed, or if the step is too
        small for the time to be covered.
    """
    return _Tracer(assessment, cue_id, igniters, corner).run(step_s)


def nice_step_s(span_s: float) -> float:
    """A round step that cuts a span into 250 to 500 pieces, s.

    >>> nice_step_s(2.0), nice_step_s(0.02)
    (0.005, 5e-05)
    """
    raw = span_s / 500.0
    scale = 10.0 ** math.floor(math.log10(raw) + 1e-12)
    factor = next(f for f in (1.0, 2.0, 5.0, 10.0) if raw <= f * scale * (1.0 + 1e-9))
    return float(f"{factor * scale:.6g}")


class _Tracer:
    """One cue of a show, and what is to be traced of it."""

    def __init__(
        self, assessment: Assessment, cue_id: str, igniters: Sequence[str], corner: Corner
    ) -> None:
        self.assessment = assessment
        self.layout = assessment.layout
        self.corner: Corner = corner
        found = [c for c in self.layout.cues if c.cue.id == cue_id]
        if not found:
            hint = nearest(cue_id, [c.cue.id for c in self.layout.cues])
            raise TraceError(f"there is no cue {cue_id!r} in this show{hint and '; '}{hint}")
        self.cue = found[0]
        self.outcome = assessment.cues[self.cue.index]
        self.switch_s = assessment.schedule.switch_s[self.cue.index]
        on_way = cue_igniters(self.layout, self.cue)
        if self.cue.way is None or not on_way:
            raise TraceError(f"cue {cue_id!r} has no igniter on its way")
        self.shown = [self._named(on_way, name) for name in igniters] or on_way
        self.target = self.shown[0] if igniters else self._weakest(on_way)
        if self.cue.way in assessment.simulation.unknown:
            lacks = ", ".join(
                f"{m.item} {m.key}" for m in assessment.simulation.unknown[self.cue.way]
            )
            raise TraceError(f"cue {cue_id!r} cannot be computed; missing: {lacks}")

    def _named(self, on_way: list[PlacedIgniter], name: str) -> PlacedIgniter:
        for placed in on_way:
            if placed.id == name:
                return placed
        known = ", ".join(p.id for p in on_way)
        raise TraceError(f"igniter {name!r} is not on the way of this cue; on it: {known}")

    def _weakest(self, on_way: list[PlacedIgniter]) -> PlacedIgniter:
        margins = {i.igniter: i.margin for i in self.outcome.igniters}

        def key(placed: PlacedIgniter) -> float:
            margin = margins.get(placed.index)
            return math.inf if margin is None else margin

        return min(on_way, key=key)

    def _jobs(self) -> tuple[list[Job], Supplies]:
        """The cue's firings as they stood when their turn came."""
        kept: list[Job] = []
        data: list[Supplies] = []

        def observe(job: Job, supplies: Supplies) -> None:
            data[:] = [supplies]
            if any(p.cue == self.cue.index for p in job.firing.pulses):
                s = job.state
                state = evolve(s, x=s.x.copy(), lit=s.lit.copy(), parted=s.parted.copy())
                kept.append(evolve(job, state=state))

        assert self.cue.way is not None
        simulation = self.assessment.simulation
        simulate(
            self.layout,
            CircuitBuilder(self.layout, simulation.ambient_C),
            self.assessment.schedule,
            only_ways={self.cue.way},
            tolerance=TOLERANCE,
            observe=observe,
        )
        if not kept:
            raise TraceError(f"cue {self.cue.cue.id!r} fires nothing: it has no pulse")
        return kept, data[0]

    def run(self, step_s: float | None) -> CueTrace:
        jobs, supplies = self._jobs()
        component = jobs[0].state.component
        pulses = [p for j in jobs for p in j.firing.pulses if p.cue == self.cue.index]
        start, end = self.switch_s, self._end(pulses, component)
        step = nice_step_s(end - start) if step_s is None else step_s
        if not step > 0.0:
            raise TraceError(f"the step must be above 0 s, not {step:g} s")
        if (end - start) / step > MAX_ROWS:
            raise TraceError(
                f"a step of {seconds(step)} over {seconds(end - start)} gives more than {MAX_ROWS} "
                f"rows; take {seconds(nice_step_s((end - start) * 500.0 / MAX_ROWS))} or more"
            )
        steps = math.floor((end - start) / step * (1 + 1e-12)) + 1
        grid: Floats = start + step * np.arange(steps, dtype=np.float64)
        if end - grid[-1] > 1e-9 * end:
            grid = np.append(grid, end)
        runs = [
            [follow(self.layout, job, supplies, row, grid, (start, end)) for job in jobs]
            for row in self._rows(component)
        ]
        followed = max(runs, key=lambda r: self._lateness(component, r))
        return self._assemble(component, jobs, followed, pulses, grid)

    def _rows(self, component: Component) -> list[int]:
        """The scenarios that may be the corner asked for."""
        if self.corner == "typical":
            return [TYPICAL_ROW]
        rows = component.slow_rows if self.corner == "slow" else component.fast_rows
        return rows(self.target.index)

    def _lateness(self, component: Component, followed: list[Followed]) -> tuple[float, float]:
        """How late the target lights; where it does not, how little it is heated."""
        bridge = component.targets[self.target.index]
        light, peak = math.inf, 0.0
        for f in followed:
            column = int(np.flatnonzero(f.bridges == bridge)[0])
            light = min(light, _or_never(f.light_s[column]))
            peak = max([peak, *(float(s.x[column]) for s in f.samples)])
        sign = 1.0 if self.corner == "slow" else -1.0
        return sign * light, -sign * peak

    def _end(self, pulses: list[Pulse], component: Component) -> float:
        """Some time after the last pulse, but before the igniters get current again."""
        last = max(p.end_s for p in pulses)
        wanted = last + 0.25 * (last - self.switch_s)
        own = {w.key for w in component.ways}
        later = [
            f.start_s
            for f in self.assessment.schedule.firings
            if f.start_s >= last - SAME_S and own & set(f.ways)
        ]
        return max(min([wanted, *later]), last)

    def _assemble(
        self,
        component: Component,
        jobs: list[Job],
        followed: list[Followed],
        pulses: list[Pulse],
        grid: Floats,
    ) -> CueTrace:
        samples = list(_with_cooling(jobs, followed, grid))
        times = np.array([t for t, _, _ in samples]) - self.switch_s
        return CueTrace(
            show=self.layout.show.title,
            cue=self.cue.cue.id,
            way="/".join(str(k) for k in self.cue.way or ()),
            corner=self.corner,
            target=self.target.id,
            time_s=np.where(np.abs(times) < SAME_S, 0.0, np.round(times, 10)),
            supply_V=np.array([s.supply_V for _, s, _ in samples]),
            pulses_s=tuple((p.start_s - self.switch_s, p.end_s - self.switch_s) for p in pulses),
            igniters=tuple(self._igniter(p, component, followed, samples) for p in self.shown),
        )

    def _igniter(
        self,
        placed: PlacedIgniter,
        component: Component,
        followed: list[Followed],
        samples: list[tuple[float, Sample, int]],
    ) -> IgniterTrace:
        bridge = component.targets[placed.index]
        columns = [int(np.flatnonzero(f.bridges == bridge)[0]) for f in followed]
        light, part = math.inf, math.inf
        lit_earlier = bool(followed[0].lit_before[columns[0]])
        parted_earlier = bool(followed[0].parted_before[columns[0]])
        for f, k in zip(followed, columns, strict=True):
            light = min(light, _or_never(f.light_s[k]))
            part = min(part, _or_never(f.part_s[k]))
        after = placed.klass.after_fire or "open"

        def state(time_s: float) -> str:
            if parted_earlier or part <= time_s + SAME_S:
                return after
            return "closed" if lit_earlier or light <= time_s + SAME_S else "unlit"

        rise = np.array([s.x[columns[n]] for _, s, n in samples])
        temperature, lights_at = self._temperature(
            component, bridge, rise, followed[0].pairs[columns[0]]
        )
        return IgniterTrace(
            id=placed.id,
            current_A=np.array([s.after_A[columns[n]] for _, s, n in samples]),
            before_A=np.array([s.before_A[columns[n]] for _, s, n in samples]),
            rise=rise,
            temperature_C=temperature,
            lights_at_C=lights_at,
            state=tuple(state(t) for t, _, _ in samples),
            light_s=light - self.switch_s if math.isfinite(light) else None,
            part_s=part - self.switch_s if math.isfinite(part) else None,
        )

    def _temperature(
        self, component: Component, bridge: int, rise: Floats, pair: Floats
    ) -> tuple[Floats | None, float | None]:
        """Temperature of a bridge, °C, and that which lights it, at this scenario's values."""
        heating = component.data[bridge].heating
        ambient = self.layout.show.site.ambient_C
        theta = heating.theta_lit_K
        if theta is None or ambient is None:
            return None, None
        # A slow bridge is one with a high ignition temperature on a cold night.
        base, needed = ambient.typical, theta.typical
        if heating.slow != heating.fast:
            if np.allclose(pair, heating.slow, rtol=1e-12):
                base, needed = ambient.min, theta.max
            elif np.allclose(pair, heating.fast, rtol=1e-12):
                base, needed = ambient.max, theta.min
        return base + needed * rise, base + needed


def _or_never(time_s: float) -> float:
    """A time of the solver, in which ``nan`` is never."""
    return math.inf if math.isnan(time_s) else float(time_s)


def _with_cooling(
    jobs: list[Job], followed: list[Followed], grid: Floats
) -> Iterator[tuple[float, Sample, int]]:
    """All samples in order, with the cooling between and after the firings."""
    ends = [j.firing.end_s for j in jobs]
    starts = [*(j.firing.start_s for j in jobs[1:]), math.inf]
    for n, (f, end, following) in enumerate(zip(followed, ends, starts, strict=True)):
        for sample in f.samples:
            yield sample.time_s, sample, n
        if not f.samples:
            continue
        last = f.samples[-1]
        for time in grid[(grid > end + SAME_S) & (grid < following - SAME_S)].tolist():
            x = last.x * np.exp(-(time - last.time_s) / f.tau_s)
            nothing = np.zeros(x.size)
            yield time, Sample(time, x, nothing, nothing, last.supply_V), n
