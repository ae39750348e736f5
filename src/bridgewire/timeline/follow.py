"""Run one firing once more in one tolerance scenario, stopping at every time that is wanted.

The solver stops at switching times only, so the wanted times are handed to it as further ones;
no value is interpolated.
"""

from __future__ import annotations

import math

import numpy as np
from attrs import define, evolve, field, frozen

from bridgewire.circuit.layout import Layout
from bridgewire.physics.bridges import Bridges
from bridgewire.physics.network import Bools, Floats, Ints, Network, Solution
from bridgewire.physics.transient import run_transient
from bridgewire.timeline.batch import (
    boundaries_of,
    build_forest,
    build_mesh_network,
    columns_of,
)
from bridgewire.timeline.jobs import Job, Supplies
from bridgewire.timeline.passed_on import PassedOn

TOLERANCE = 1e-6
"""Error of x allowed in one step of a trace."""
SAME_S = 1e-10
"""Times nearer than this are one time, s."""


@define(eq=False)
class _Cut(PassedOn):
    """A network whose segments are cut into shorter ones; remembers the last source voltage."""

    segment_of: Ints
    """Segment of the network inside for each short one."""
    latest_V: list[float] = field(factory=lambda: [math.nan])

    def solve(self, string_ohm: Floats, segment: Ints, emf_V: Floats) -> Solution:
        self.latest_V[0] = float(emf_V[0])
        return self.inner.solve(string_ohm, self.segment_of[segment], emf_V)

    def take(self, circuits: Ints) -> Network:
        return _Cut(self.inner.take(circuits), self.segment_of, self.latest_V)


@frozen(eq=False)
class Sample:
    """All bridges of a firing at one time, with the currents just before and after."""

    time_s: float
    x: Floats
    before_A: Floats
    after_A: Floats
    supply_V: float


@frozen(eq=False)
class Followed:
    """One firing, followed closely. Arrays run over the bridges of the firing."""

    bridges: Ints
    """Numbers of the bridges in their component."""
    samples: tuple[Sample, ...]
    light_s: Floats
    part_s: Floats
    lit_before: Bools
    parted_before: Bools
    tau_s: Floats
    pairs: Floats
    """Threshold current and time constant of each bridge: shape (bridges, 2)."""


def follow(
    layout: Layout,
    job: Job,
    supplies: Supplies,
    row: int,
    grid: Floats,
    window: tuple[float, float],
) -> Followed:
    """Run one firing in one scenario.

    Parameters
    ----------
    layout : Layout
    job : Job
        With the state at the firing's start; it is not changed.
    supplies : Supplies
    row : int
        The scenario.
    grid : array
        Wanted times, s on the show's clock.
    window : tuple of float
        Start and end of the span that is sampled, s on the show's clock.

    Returns
    -------
    Followed
        Sampled on the grid and at every switching, ignition and burn-open in the window.
    """
    network, bridges, bounds = _one_scenario(layout, job, supplies, row)
    lit_before, parted_before = bridges.lit.copy(), bridges.parted.copy()
    first = bridges.take(np.arange(bridges.x.size), bridges.string)
    events = run_transient(network, first, bounds[None, :], tolerance=TOLERANCE)
    start = job.firing.start_s
    low, high = (max(min(w - start, bounds[-1]), 0.0) for w in window)
    wanted = np.concatenate([grid - start, events.light_s, [low, high]])
    wanted = wanted[(wanted > low - SAME_S) & (wanted < high + SAME_S)]
    fine = _merged(bounds, wanted)
    segment_of = np.clip(np.searchsorted(bounds, fine[:-1], side="right") - 1, 0, bounds.size - 2)
    cut = _Cut(network, segment_of)
    states: list[tuple[float, Floats, float]] = [(0.0, bridges.x.copy(), float(network.emf_V[0]))]

    def note(t: Floats, _: Ints, x: Floats, __: Floats) -> None:
        states.append((float(t[0]), x.copy(), cut.latest_V[0]))

    run = bridges.take(np.arange(bridges.x.size), bridges.string)
    out = run_transient(cut, run, fine[None, :], tolerance=TOLERANCE, trace=note)
    keep = [*fine.tolist(), *out.part_s[~np.isnan(out.part_s)].tolist()]
    keep_s = np.array([t for t in keep if low - SAME_S <= t <= high + SAME_S])
    samples = tuple(
        _sample(network, bridges, bounds, out.part_s, parted_before, state, start)
        for state in states
        if keep_s.size and np.min(np.abs(keep_s - state[0])) < SAME_S
    )
    return Followed(
        bridges=columns_of(job).bridges,
        samples=samples,
        light_s=start + events.light_s,
        part_s=start + out.part_s,
        lit_before=lit_before,
        parted_before=parted_before,
        tau_s=bridges.tau_s,
        pairs=np.stack([bridges.threshold_A, bridges.tau_s], axis=1),
    )


def _one_scenario(
    layout: Layout, job: Job, supplies: Supplies, row: int
) -> tuple[Network, Bridges, Floats]:
    """The network and bridges of one scenario of a firing, and its switching times."""
    network: Network
    if job.mesh is None:
        forest = build_forest(layout, [job], supplies)
        network, bridges = forest.network, forest.bridges
    else:
        network, bridges, _ = build_mesh_network(layout, job, supplies)
    width = columns_of(job).bridges.size
    mine = np.arange(row * width, (row + 1) * width)
    strings = np.flatnonzero(network.circuit_of_string == row)
    bounds = boundaries_of(job, len(job.firing.active()))[row]
    one = bridges.take(mine, bridges.string[mine] - strings[0])
    return network.take(np.array([row], dtype=np.intp)), one, bounds


def _merged(bounds: Floats, wanted: Floats) -> Floats:
    """Switching times and wanted times, rising, those that nearly coincide taken as one."""
    extra = [t for t in wanted.tolist() if np.min(np.abs(bounds - t)) > SAME_S]
    times = np.sort(np.concatenate([bounds, extra]))
    return times[np.concatenate(([True], np.diff(times) > SAME_S))]


def _sample(
    network: Network,
    bridges: Bridges,
    bounds: Floats,
    part_s: Floats,
    parted_before: Bools,
    state: tuple[float, Floats, float],
    start_s: float,
) -> Sample:
    """Currents just before and just after a time."""
    time, x, emf_V = state
    segment = int(np.searchsorted(bounds, time + SAME_S, side="right")) - 1
    earlier = int(np.searchsorted(bounds, time - SAME_S, side="right")) - 1
    with np.errstate(invalid="ignore"):
        was, now = (
            parted_before | (part_s < time - SAME_S),
            parted_before | (part_s <= time + SAME_S),
        )
    before, _ = _currents(network, bridges, x, was, earlier, bounds.size - 2, emf_V)
    after, supply_V = _currents(network, bridges, x, now, segment, bounds.size - 2, emf_V)
    return Sample(start_s + time, x, before, after, supply_V)


def _currents(
    network: Network,
    bridges: Bridges,
    x: Floats,
    parted: Bools,
    segment: int,
    last: int,
    emf_V: float,
) -> tuple[Floats, float]:
    """Current of each bridge and the supply's voltage; none before the start and after the end."""
    if not 0 <= segment <= last:
        return np.zeros(x.size), emf_V
    now = evolve(bridges, parted=parted)
    heads = np.flatnonzero(np.concatenate(([True], np.diff(bridges.string) != 0)))
    solution = network.solve(
        np.add.reduceat(now.resistance(x), heads),
        np.array([segment], dtype=np.intp),
        np.array([emf_V]),
    )
    return solution.string_A[bridges.string], float(solution.supply_V[0])
