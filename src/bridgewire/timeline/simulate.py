"""Run a schedule: every firing in every tolerance scenario, state carried from cue to cue.

Firings that do not depend on one another are solved together in one batch.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection
from typing import TypeVar

import numpy as np
from attrs import define, field
from numpy.typing import NDArray

from bridgewire.circuit.elements import Missing
from bridgewire.circuit.layout import Layout, WayKey
from bridgewire.circuit.mesh import build_mesh
from bridgewire.circuit.supplies import SupplyData, diode_drop, site_ambient, supply_data
from bridgewire.circuit.ways import CircuitBuilder, WayCircuit
from bridgewire.model.band import Band
from bridgewire.model.kit import BatterySupply, RegulatedSupply
from bridgewire.physics.bridges import Bridges
from bridgewire.physics.laws import FaultLog, ModelFault
from bridgewire.physics.network import Floats, Ints
from bridgewire.physics.outcome import Outcome
from bridgewire.physics.transient import run_transient
from bridgewire.timeline.batch import Columns, boundaries_of, build_forest, build_mesh_network
from bridgewire.timeline.charge import BoxLedger, Volts, recharged_V
from bridgewire.timeline.corners import TYPICAL_ROW
from bridgewire.timeline.jobs import Job, Supplies, components_of
from bridgewire.timeline.results import FiringResult
from bridgewire.timeline.schedule import Schedule

T = TypeVar("T", bound=np.generic)

UNKNOWN_AMBIENT_C = Band(-10.0, 20.0, 40.0)
"""Ambient where the show states none: wide, and reported."""
TOLERANCE = 1e-4
"""Error of x allowed in one step of a check; event times are then good to 4e-5 at worst and
typically to 2e-6 (64 networks against a 1e-10 reference, tests/oracles)."""


@define(eq=False)
class Simulation:
    """All results of a schedule."""

    layout: Layout
    schedule: Schedule
    ambient_C: Band
    ways: dict[WayKey, WayCircuit]
    supplies: Supplies
    results: list[FiringResult]
    """In order of time."""
    unknown: dict[WayKey, tuple[Missing, ...]]
    """Ways that could not be computed, and why."""
    ledgers: dict[str, BoxLedger]
    faults: FaultLog = field(factory=FaultLog)
    """Answers of models that could not be used, in this and any other run on the same builder."""

    @property
    def model_faults(self) -> tuple[ModelFault, ...]:
        """The faults so far."""
        return tuple(self.faults.faults)


Progress = Callable[[int, int], None]
"""Called with firings done and firings in all."""
Observe = Callable[[Job, Supplies], None]
"""Called with each firing just before it is run: its state is that at the firing's start and
changes when the firing runs, so an observer copies what it wants to keep."""


def simulate(
    layout: Layout,
    builder: CircuitBuilder,
    schedule: Schedule,
    *,
    quick_cues: Collection[int] = (),
    only_ways: Collection[WayKey] | None = None,
    tolerance: float = TOLERANCE,
    progress: Progress | None = None,
    observe: Observe | None = None,
) -> Simulation:
    """Run every firing of a schedule.

    Parameters
    ----------
    layout : Layout
    builder : CircuitBuilder
        Shared between runs so that circuits are built once.
    schedule : Schedule
    quick_cues : collection of int
        Cues (by index) whose igniters need the *quick* scenarios (those with a spread to judge).
    only_ways : collection of WayKey, optional
        Leave out components that touch none of these ways (but keep all of a capacitor box).
    tolerance : float
        See `run_transient`.
    progress : callable, optional
    observe : callable, optional
        See `Observe`.

    Returns
    -------
    Simulation
    """
    ways: dict[WayKey, WayCircuit] = {}
    for firing in schedule.firings:
        for key in firing.ways:
            if key not in ways:
                ways[key] = builder.way(key)
    supplies = {
        box: supply_data(
            layout,
            box,
            site_ambient(layout, layout.show.box[layout.boxes[box][0]]) or UNKNOWN_AMBIENT_C,
        )
        for box in layout.boxes
    }
    unknown = _unknown_ways(layout, schedule, ways, supplies)
    ledgers = {
        box: _ledger(layout, box, data) for box, (data, _) in supplies.items() if data is not None
    }
    if only_ways is not None:
        kept = {
            w[0]
            for w in only_ways
            if (data := supplies[w[0]][0]) is not None and data.capacitance_F is not None
        }
        only_ways = {*only_ways, *(k for k in ways if k[0] in kept)}
    jobs = _jobs(layout, builder, schedule, ways, unknown, ledgers, set(quick_cues), only_ways)
    results = _run_jobs(layout, jobs, supplies, tolerance, progress, observe)
    results.sort(key=lambda r: r.firing.start_s)
    return Simulation(
        layout,
        schedule,
        builder.ambient_C,
        ways,
        supplies,
        results,
        unknown,
        ledgers,
        builder.faults,
    )


def _unknown_ways(
    layout: Layout,
    schedule: Schedule,
    ways: dict[WayKey, WayCircuit],
    supplies: Supplies,
) -> dict[WayKey, tuple[Missing, ...]]:
    """Ways with a value missing, and ways that fire together with such a way."""
    unknown: dict[WayKey, tuple[Missing, ...]] = {}
    for key, way in ways.items():
        data, lacks = supplies[key[0]]
        missing = [m for m in way.missing if m.blocks]
        if data is None:
            missing += [m for m in lacks if m.blocks]
        if missing:
            unknown[key] = tuple(missing)
    changed = True
    while changed:
        changed = False
        for firing in schedule.firings:
            bad = [w for w in firing.ways if w in unknown]
            for way_key in firing.ways:
                if bad and way_key not in unknown:
                    unknown[way_key] = unknown[bad[0]]
                    changed = True
    return unknown


def _ledger(layout: Layout, box: str, data: SupplyData) -> BoxLedger:
    index, kind, _ = layout.boxes[box]
    standby = 0.0
    if isinstance(kind.supply, BatterySupply | RegulatedSupply):
        standby = kind.supply.standby_A or 0.0
    drop = diode_drop(kind)
    waits_s = layout.show.box[index].standby_s or 0.0
    return BoxLedger(data, drop.typical, drop.min, standby, waits_s)


def _jobs(
    layout: Layout,
    builder: CircuitBuilder,
    schedule: Schedule,
    ways: dict[WayKey, WayCircuit],
    unknown: dict[WayKey, tuple[Missing, ...]],
    ledgers: dict[str, BoxLedger],
    quick_cues: set[int],
    only_ways: Collection[WayKey] | None,
) -> list[Job]:
    """All firings that can be computed, each with the component whose state it carries on."""
    states = components_of(schedule, ways, unknown, quick_cues, only_ways)
    jobs: list[Job] = []
    on_capacitor: dict[str, Job] = {}
    for firing in schedule.firings:
        if any(w in unknown for w in firing.ways):
            continue
        ledger = ledgers[firing.box]
        emf, used = ledger.before(firing.start_s)
        ledger.after(firing, ways, emf)
        state = states.get(firing.ways[0])
        if state is None:
            continue
        mesh = None
        if firing.meshed:
            circuits = tuple(w for w in state.component.ways if w.key in firing.ways)
            mesh = build_mesh(builder, circuits, firing.active())
        job = Job(firing, state, mesh, emf, used, builder.faults)
        jobs.append(job)
        if ledger.supply.capacitance_F is not None:
            full = ledger.supply.emf_V
            if emf != (full.min, full.typical, full.max):
                job.follows = on_capacitor.get(firing.box)
            on_capacitor[firing.box] = job
    return jobs


def _run_jobs(
    layout: Layout,
    jobs: list[Job],
    supplies: Supplies,
    tolerance: float,
    progress: Progress | None,
    observe: Observe | None,
) -> list[FiringResult]:
    """Run jobs in rounds: each component's next firing, all components together.

    A firing on a capacitor that may not be full waits for the one before it on that box.
    """
    queues: dict[int, list[Job]] = defaultdict(list)
    for job in jobs:
        queues[id(job.state)].append(job)
    done: dict[int, FiringResult] = {}
    waiting = list(queues.values())
    while waiting:
        ready = [
            queue.pop(0)
            for queue in waiting
            if queue[0].follows is None or id(queue[0].follows) in done
        ]
        for job in ready:
            job.state.cool_until(job.firing)
            if job.follows is not None:
                _start_from(job, done[id(job.follows)], supplies)
            if observe is not None:
                observe(job, supplies)
        trees = [j for j in ready if j.mesh is None]
        if trees:
            found = _run_trees(layout, trees, supplies, tolerance)
            done.update((id(j), r) for j, r in zip(trees, found, strict=True))
        for job in ready:
            if job.mesh is not None:
                done[id(job)] = _run_mesh(layout, job, supplies, tolerance)
        if progress is not None:
            progress(len(done), len(jobs))
        waiting = [queue for queue in waiting if queue]
    return list(done.values())


def _start_from(job: Job, before: FiringResult, supplies: Supplies) -> None:
    """Set the voltage at which a capacitor starts a firing from what the one before left."""
    data = supplies[job.firing.box][0]
    assert data is not None
    gap = job.firing.start_s - before.firing.end_s
    job.emf_V = recharged_V(data, before.end_V, gap)


def _run_trees(
    layout: Layout,
    jobs: list[Job],
    supplies: Supplies,
    tolerance: float,
) -> list[FiringResult]:
    """Solve the firings of one round whose networks are trees, as one forest."""
    forest = build_forest(layout, jobs, supplies)
    bridges = forest.bridges
    watch = np.zeros(bridges.x.size, dtype=bool)
    start = 0
    for job, cols in zip(jobs, forest.columns, strict=True):
        width = cols.bridges.size
        watch[start + TYPICAL_ROW * width : start + (TYPICAL_ROW + 1) * width] = True
        start += job.state.component.scenarios * width
    out = run_transient(
        forest.network, bridges, forest.boundaries_s, tolerance=tolerance, watch=watch
    )
    results: list[FiringResult] = []
    circuit = bridge = 0
    for job, cols, branches in zip(jobs, forest.columns, forest.branches, strict=True):
        results.append(_collect(job, cols, out, bridges, circuit, bridge, branches))
        circuit += job.state.component.scenarios
        bridge += job.state.component.scenarios * cols.bridges.size
    return results


def _run_mesh(
    layout: Layout,
    job: Job,
    supplies: Supplies,
    tolerance: float,
) -> FiringResult:
    """Solve one firing whose network is no tree."""
    network, bridges, cols = build_mesh_network(layout, job, supplies)
    boundaries = boundaries_of(job, len(job.firing.active()))
    watch = np.zeros(bridges.x.size, dtype=bool)
    watch[: cols.bridges.size] = True
    out = run_transient(network, bridges, boundaries, tolerance=tolerance, watch=watch)
    assert job.mesh is not None
    branches = np.arange(job.state.component.scenarios * job.mesh.branch_ohm.shape[0])
    return _collect(job, cols, out, bridges, 0, 0, branches)


def _collect(
    job: Job,
    cols: Columns,
    out: Outcome,
    bridges: Bridges,
    circuit: int,
    bridge: int,
    branches: Ints,
) -> FiringResult:
    """Cut a firing's results out of a batch and carry its state on."""
    state = job.state
    scenarios, width = state.component.scenarios, cols.bridges.size
    b = slice(bridge, bridge + scenarios * width)
    c = slice(circuit, circuit + scenarios)

    def table(values: NDArray[T]) -> NDArray[T]:
        return values[b].reshape(scenarios, width)

    k = cols.bridges
    lit_before, parted_before = state.lit[:, k].copy(), state.parted[:, k].copy()
    state.x[:, k], state.lit[:, k] = table(bridges.x), table(bridges.lit)
    state.parted[:, k] = table(bridges.parted)
    state.after_ohm[:, k] = table(bridges.after_ohm)
    strings: dict[int, tuple[int, int]] = {}
    for n, string in enumerate(cols.strings.tolist()):
        way = int(np.searchsorted(state.component.string_start, string, side="right")) - 1
        strings[string] = (n, way)
    first = bridge + TYPICAL_ROW * width
    snapshots = {
        int(k[n - first]): snapshot
        for n, snapshot in out.snapshots.items()
        if first <= n < first + width
    }
    return FiringResult(
        firing=job.firing,
        component=state.component,
        bridges=k,
        columns={int(q): n for n, q in enumerate(k)},
        tau_s=table(bridges.tau_s),
        light_s=table(out.light_s),
        part_s=table(out.part_s),
        light_A=table(out.light_A),
        light_u=table(out.light_u),
        peak_x=table(out.peak_x),
        peak_A=table(out.peak_A),
        lit_before=lit_before,
        parted_before=parted_before,
        lit_after=state.lit[:, k].copy(),
        parted_after=state.parted[:, k].copy(),
        peak_supply_A=out.peak_supply_A[c],
        lowest_supply_V=out.lowest_supply_V[c],
        limited=out.limited[c],
        charge_C=out.charge_C[c],
        emf_V=job.emf_V,
        end_V=_end_V(out.end_emf_V[c]),
        used_before_C=job.used_C,
        peak_branch_A=out.peak_branch_A[branches].reshape(scenarios, -1),
        mesh=job.mesh,
        strings=strings,
        snapshots=snapshots,
    )


def _end_V(rows_V: Floats) -> Volts:
    """Source voltage at the end of a firing: lowest at any corner, typical, highest."""
    return Volts(float(rows_V.min()), float(rows_V[TYPICAL_ROW]), float(rows_V.max()))
