"""All firings of a show once more in their typical scenario, in one batch, stopped many times.

Between two events of a firing its bridges are looked at some ten times; at each time stand the
currents just before and just after it.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from attrs import define, evolve, field, frozen

from bridgewire.circuit.layout import Layout
from bridgewire.circuit.ways import CircuitBuilder
from bridgewire.physics.bridges import Bridges
from bridgewire.physics.network import Bools, Floats, Ints, Network, Solution
from bridgewire.physics.transient import run_transient
from bridgewire.timeline.batch import build_forest, build_mesh_network, columns_of
from bridgewire.timeline.corners import TYPICAL_ROW, Component, Values
from bridgewire.timeline.jobs import Job, Supplies
from bridgewire.timeline.outcomes import Assessment
from bridgewire.timeline.passed_on import PassedOn
from bridgewire.timeline.results import FiringResult
from bridgewire.timeline.simulate import simulate

_UNIFORM = 7
"""Sampled times between two events, evenly spread."""
_EARLY = (0.004, 0.012, 0.03, 0.06)
"""Further ones soon after an event, as parts of the time to the next one."""
_MOST_EVENTS = 14
"""From this many events on, fewer times are sampled between them."""


class _OneScenario(Component):
    """A component of which only the typical scenario is wanted."""

    @property
    def scenarios(self) -> int:
        return 1


@define(eq=False)
class _Fine(PassedOn):
    """A network whose segments are cut into short ones, of their own in each circuit."""

    segment_of: Ints
    """Segment of the network inside for each circuit and short one."""
    ids: Ints
    latest_V: Floats
    """Last source voltage of each circuit of the whole batch."""

    def solve(self, string_ohm: Floats, segment: Ints, emf_V: Floats) -> Solution:
        self.latest_V[self.ids] = emf_V
        return self.inner.solve(
            string_ohm, self.segment_of[np.arange(segment.size), segment], emf_V
        )

    def take(self, circuits: Ints) -> Network:
        return _Fine(
            self.inner.take(circuits),
            self.segment_of[circuits],
            self.ids[circuits],
            self.latest_V,
        )


@define(eq=False)
class _Recorder:
    """Keeps the state of every bridge at the wanted times of its circuit."""

    times: Floats
    """Shape (circuits, times), padded with the last one."""
    circuit_of_bridge: Ints
    network: _Fine
    x: Floats
    emf_V: Floats
    at: Ints = field(init=False)

    def __attrs_post_init__(self) -> None:
        self.at = np.ones(self.times.shape[0], dtype=np.intp)

    def __call__(self, t: Floats, circuits: Ints, x: Floats, _: Floats) -> None:
        last = self.times.shape[1] - 1
        k = np.minimum(self.at[circuits], last)
        hit = t >= self.times[circuits, k]
        if not hit.any():
            return
        reached = circuits[hit]
        here = np.full(self.times.shape[0], -1, dtype=np.intp)
        here[circuits] = np.where(hit, k, -1)
        active = np.zeros(self.times.shape[0], dtype=bool)
        active[circuits] = True
        bridges = np.flatnonzero(active[self.circuit_of_bridge])
        slot = here[self.circuit_of_bridge[bridges]]
        kept = slot >= 0
        self.x[slot[kept], bridges[kept]] = x[kept]
        self.emf_V[reached, k[hit]] = self.network.latest_V[reached]
        self.at[reached] += 1


@frozen(eq=False)
class Followed:
    """One firing: times by row, bridges by column."""

    result: FiringResult
    time_s: Floats
    """From the start of the firing."""
    x: Floats
    before_A: Floats
    after_A: Floats


def follow_all(assessment: Assessment) -> list[Followed]:
    """Run every firing that could be computed.

    Parameters
    ----------
    assessment : Assessment

    Returns
    -------
    list of Followed
        In order of time.
    """
    results = {_key(r): r for r in assessment.simulation.results}
    jobs, supplies = _typical_jobs(assessment)
    wanted = [j for j in jobs if (j.firing.box, j.firing.start_s) in results]
    found: list[Followed] = []
    layout = assessment.layout
    trees = [j for j in wanted if j.mesh is None]
    if trees:
        forest = build_forest(layout, trees, supplies)
        network, bridges = forest.network, forest.bridges
        found += _follow(trees, network, bridges, results)
    for job in wanted:
        if job.mesh is not None:
            found += _follow([job], *_meshed(layout, job, supplies), results)
    return sorted(found, key=lambda f: f.result.firing.start_s)


def _key(result: FiringResult) -> tuple[str, float]:
    return result.firing.box, result.firing.start_s


def _typical_jobs(assessment: Assessment) -> tuple[list[Job], Supplies]:
    """Every firing as it stood when its turn came, cut down to the typical scenario."""
    jobs: list[Job] = []
    data: list[Supplies] = []
    components: dict[int, tuple[Component, Component, Values]] = {}

    def observe(job: Job, supplies: Supplies) -> None:
        data[:] = [supplies]
        s = job.state
        row = slice(TYPICAL_ROW, TYPICAL_ROW + 1)
        if job.mesh is not None:
            component, values = s.component, s.values
            row = slice(None)
        else:
            if id(s.component) not in components:
                components[id(s.component)] = (
                    s.component,
                    _OneScenario(s.component.ways, s.component.quick),
                    _rows(s.values, row),
                )
            _, component, values = components[id(s.component)]
        state = evolve(
            s,
            component=component,
            values=values,
            x=s.x[row].copy(),
            lit=s.lit[row].copy(),
            parted=s.parted[row].copy(),
            after_ohm=s.after_ohm[row].copy(),
        )
        jobs.append(evolve(job, state=state))

    simulation = assessment.simulation
    builder = CircuitBuilder(assessment.layout, simulation.ambient_C)
    simulate(assessment.layout, builder, assessment.schedule, observe=observe)
    return jobs, data[0] if data else simulation.supplies


def _rows(values: Values, row: slice) -> Values:
    return Values(
        values.node_ohm[row],
        values.string_ohm[row],
        values.bridge_ohm[row],
        values.threshold_A[row],
        values.tau_s[row],
        values.burn_open[row],
        values.after_ohm[row],
        values.supply[row],
    )


def _meshed(layout: Layout, job: Job, supplies: Supplies) -> tuple[Network, Bridges]:
    """The typical scenario of a firing whose network is no tree."""
    network, bridges, _ = build_mesh_network(layout, job, supplies)
    width = columns_of(job).bridges.size
    rows = np.arange(TYPICAL_ROW * width, (TYPICAL_ROW + 1) * width)
    strings = np.flatnonzero(network.circuit_of_string == TYPICAL_ROW)
    one = bridges.take(rows, bridges.string[rows] - strings[0])
    return network.take(np.array([TYPICAL_ROW], dtype=np.intp)), one


def _follow(
    jobs: Sequence[Job],
    network: Network,
    bridges: Bridges,
    results: dict[tuple[str, float], FiringResult],
) -> list[Followed]:
    """Run firings, one circuit each, and keep what their bridges do."""
    matching = [results[j.firing.box, j.firing.start_s] for j in jobs]
    rows = [_times(r) for r in matching]
    most = max(row.size for row in rows)
    times = np.stack([np.pad(row, (0, most - row.size), mode="edge") for row in rows])
    segment_of = np.stack([_segments(r, row) for r, row in zip(matching, times, strict=True)])
    circuit = network.circuit_of_string[bridges.string]
    fine = _Fine(network, segment_of, np.arange(len(jobs)), network.emf_V.copy())
    x = np.tile(bridges.x, (most, 1))
    emf_V = np.repeat(network.emf_V[:, None], most, axis=1)
    recorder = _Recorder(times, circuit, fine, x, emf_V)
    start = bridges.take(np.arange(bridges.x.size), bridges.string)
    run_transient(fine, start, times, trace=recorder)
    part_s = np.concatenate([_typical(r.part_s, r) for r in matching])
    before, after = _currents(network, bridges, recorder, segment_of, part_s)
    found: list[Followed] = []
    first = 0
    for result, row in zip(matching, rows, strict=True):
        k = slice(first, first + result.bridges.size)
        n = slice(0, row.size)
        found.append(Followed(result, row, x[n, k], before[n, k], after[n, k]))
        first = k.stop
    return found


def _typical(values: Floats, result: FiringResult) -> Floats:
    return values[TYPICAL_ROW, : result.bridges.size]


def _times(result: FiringResult) -> Floats:
    """Times at which a firing is stopped: every event, and some in between."""
    bounds = np.array(result.firing.boundaries_s())
    own = np.concatenate([_typical(result.light_s, result), _typical(result.part_s, result)])
    own = own[(own > 0.0) & (own < bounds[-1])]
    # Events that nearly coincide are one: alike igniters light and part together.
    events = np.unique(np.concatenate([bounds, own]))
    events = events[np.concatenate(([True], np.diff(events) > 1e-9 * bounds[-1]))]
    gaps = np.diff(events)
    uniform = _UNIFORM if gaps.size < _MOST_EVENTS else 2
    early = _EARLY if gaps.size < _MOST_EVENTS else ()
    parts = np.array(sorted({*early, *(np.arange(1, uniform + 1) / (uniform + 1)).tolist()}))
    inner = (events[:-1, None] + gaps[:, None] * parts[None, :]).ravel()
    return np.unique(np.concatenate([events, inner]))


def _segments(result: FiringResult, times: Floats) -> Ints:
    """Segment of the firing in which each short one lies."""
    bounds = np.array(result.firing.boundaries_s())
    found = np.searchsorted(bounds, times[:-1], side="right") - 1
    return np.clip(found, 0, max(bounds.size - 2, 0)).astype(np.intp)


def _currents(
    network: Network, bridges: Bridges, kept: _Recorder, segment_of: Ints, part_s: Floats
) -> tuple[Floats, Floats]:
    """Current of each bridge just before and just after each time; none outside the firing."""
    heads = np.flatnonzero(np.concatenate(([True], np.diff(bridges.string) != 0)))
    most = kept.times.shape[1]
    parting = np.where(np.isnan(part_s), np.inf, part_s)
    before, after = np.zeros((most, bridges.x.size)), np.zeros((most, bridges.x.size))

    def solve(k: int, segment: Ints, parted: Bools) -> Floats:
        now = evolve(bridges, parted=bridges.parted | parted)
        string_ohm = np.add.reduceat(now.resistance(kept.x[k]), heads)
        return network.solve(string_ohm, segment, kept.emf_V[:, k]).string_A[bridges.string]

    for k in range(most):
        t = kept.times[:, k][kept.circuit_of_bridge]
        slack = 1e-9 * kept.times[:, -1][kept.circuit_of_bridge]
        if k > 0:
            before[k] = solve(k, segment_of[:, k - 1], parting < t - slack)
        if k < most - 1:
            ended = kept.times[:, k] >= kept.times[:, -1]
            flowing = solve(k, segment_of[:, k], parting <= t + slack)
            after[k] = np.where(ended[kept.circuit_of_bridge], 0.0, flowing)
    return before, after
