"""The tolerance box of a component, and what points in it do in all its firings."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

import numpy as np
from attrs import define

from bridgewire.circuit.layout import Layout
from bridgewire.circuit.supplies import SupplyData, diode_drop
from bridgewire.circuit.ways import AfterOhm
from bridgewire.model.band import Band
from bridgewire.physics.bridges import Bridges
from bridgewire.physics.igniter_data import Heating
from bridgewire.physics.laws import FaultLog
from bridgewire.physics.network import Bools, Floats, Network
from bridgewire.physics.nodal import NodalNetwork
from bridgewire.physics.supply import SupplyArrays
from bridgewire.physics.transient import run_transient
from bridgewire.timeline.batch import (
    boundaries_of,
    bridges_of,
    build_forest,
    columns_of,
    supply_laws,
)
from bridgewire.timeline.corners import Component, Values
from bridgewire.timeline.jobs import Job, State, Supplies
from bridgewire.timeline.results import FiringResult

HEATS = 3
"""Coordinates of an igniter's heating."""


@define(eq=False)
class Rows(Component):
    """A component in as many scenarios as there are points to try."""

    count: int

    @property
    def scenarios(self) -> int:
        """Count of points."""
        return self.count


@define(eq=False)
class Points:
    """Values of a component at some points of its tolerance box; first axis: point."""

    values: Values
    emf_V: Floats
    """Of the full supply."""
    emf_share: Floats
    """Where between the worst and the best voltage of each firing, 0 to 1."""
    internal_ohm: Floats
    limit_A: Floats
    short_circuit_A: Floats
    capacitance_F: Floats
    recharge_s: Floats
    drop_V: Floats
    mesh_ohm: dict[int, Floats]
    """For firings whose network is no tree, by place in time: resistances of the branches."""

    @property
    def count(self) -> int:
        """Count of points."""
        return self.emf_V.size


@define(eq=False)
class Happened:
    """One firing at all points: arrays of points by bridges of the firing."""

    light_s: Floats
    peak_x: Floats
    lit_before: Bools


def run_points(
    layout: Layout,
    supplies: Supplies,
    results: Sequence[FiringResult],
    points: Points,
    tolerance: float = 1e-4,
) -> list[Happened]:
    """Run all firings of a component at some points.

    Parameters
    ----------
    layout : Layout
    supplies : Supplies
    results : sequence of FiringResult
        All firings of the component, in order of time.
    points : Points
    tolerance : float
        See `run_transient`.
    """
    first = results[0]
    component = Rows(first.component.ways, False, points.count)
    shape = points.values.bridge_ohm.shape
    state = State(
        component,
        points.values,
        np.zeros(shape),
        np.zeros(shape, dtype=bool),
        np.zeros(shape, dtype=bool),
        points.values.after_ohm.copy(),
    )
    data = supplies[first.firing.box][0]
    assert data is not None
    left_V: Floats | None = None
    ended_s = 0.0
    found: list[Happened] = []
    for place, result in enumerate(results):
        emf_V = result.emf_V.worst + points.emf_share * (result.emf_V.best - result.emf_V.worst)
        if data.capacitance_F is not None and left_V is not None:
            gain_V = (result.firing.start_s - ended_s) * points.emf_V / points.recharge_s
            emf_V = np.minimum(left_V + gain_V, points.emf_V)
        state.cool_until(result.firing)
        job = Job(result.firing, state, result.mesh, result.emf_V, 0.0, FaultLog())
        happened, left_V = _run(layout, supplies, data, job, points, place, emf_V, tolerance)
        ended_s = result.firing.end_s
        found.append(happened)
    return found


def _run(
    layout: Layout,
    supplies: Supplies,
    data: SupplyData,
    job: Job,
    points: Points,
    place: int,
    emf_V: Floats,
    tolerance: float,
) -> tuple[Happened, Floats]:
    supply = SupplyArrays(
        emf_V=emf_V,
        internal_ohm=points.internal_ohm,
        limit_A=points.limit_A,
        short_circuit_A=points.short_circuit_A,
        nominal_V=points.emf_V,
        capacitance_F=points.capacitance_F,
        laws=supply_laws(data, points.count),
        faults=job.faults,
    )
    cols, state = columns_of(job), job.state
    network: Network
    bridges: Bridges
    if job.mesh is None:
        forest = build_forest(layout, [job], supplies)
        network, bridges, bounds = forest.network, forest.bridges, forest.boundaries_s
        network.supply, network.drop_V = supply, points.drop_V
    else:
        network = NodalNetwork(
            job.mesh.topology,
            points.mesh_ohm[place],
            points.values.string_ohm[:, cols.strings],
            points.drop_V,
            supply,
        )
        bridges = bridges_of(job, cols, 0)
        bounds = boundaries_of(job, len(job.firing.active()))
    before = state.lit[:, cols.bridges].copy()
    out = run_transient(network, bridges, bounds, tolerance=tolerance)
    shape = before.shape
    k = cols.bridges
    state.x[:, k], state.lit[:, k] = bridges.x.reshape(shape), bridges.lit.reshape(shape)
    state.parted[:, k] = bridges.parted.reshape(shape)
    state.after_ohm[:, k] = bridges.after_ohm.reshape(shape)
    happened = Happened(out.light_s.reshape(shape), out.peak_x.reshape(shape), before)
    return happened, out.end_emf_V


@define(eq=False)
class Box:
    """The tolerance box of a component as a unit cube: 0 is the low end of a value, 1 the high.

    Coordinates in order: resistance of nodes, strings, bridges; three of each bridge's heating;
    burn-open levels and resistances after that; seven of the supply; branches of each firing that
    is no tree.
    """

    layout: Layout
    results: Sequence[FiringResult]
    supply: SupplyData

    @property
    def component(self) -> Component:
        """The component."""
        return self.results[0].component

    @cached_property
    def sizes(self) -> list[int]:
        """Count of coordinates in each block."""
        c = self.component
        bridges = len(c.data)
        meshes = [r.mesh.branch_ohm.shape[0] for r in self.results if r.mesh is not None]
        return [
            c.parent.size,
            c.string_node.size,
            bridges,
            HEATS * bridges,
            bridges,
            bridges,
            7,
            *meshes,
        ]

    @property
    def width(self) -> int:
        """Count of coordinates."""
        return sum(self.sizes)

    def slow(self, bridge: int, path: float, beside: float) -> Floats:
        """Where a bridge may be lit late: a slow one, its mates quick, the supply weak.

        The resistance of its path is at `path` (0 low, 1 high), and of what stands beside it at
        `beside`.
        """
        c = self.component
        string = int(c.bridge_string[bridge])
        node = np.full(c.parent.size, beside)
        at = int(c.string_node[string])
        while at >= 0:
            node[at] = path
            at = int(c.parent[at])
        strings = np.where(np.arange(c.string_node.size) == string, path, beside)
        in_string = c.bridge_string == string
        ohm = np.where(in_string, path, beside)
        mate = in_string & (np.arange(in_string.size) != bridge)
        heat = np.repeat(np.where(mate, 0.0, 1.0), HEATS)
        supply = np.array([0.0, 1.0, 0.0, 0.0, 0.0, 1.0, 1.0])
        meshes: list[Floats] = []
        for r in self.results:
            if r.mesh is not None:
                place = r.strings.get(string)
                mine = np.full(r.mesh.branch_ohm.shape[0], path)
                if place is not None:
                    mine = np.where(r.mesh.string_path[place[0]], path, beside)
                meshes.append(mine)
        last, rest = np.where(mate, 0.0, 1.0), np.where(mate, 1.0, 0.0)
        return np.concatenate([node, strings, ohm, heat, last, rest, supply, *meshes])

    def points(self, cube: Floats) -> Points:
        """Values at some points of the cube, shape (points, width)."""
        c = self.component
        parts = np.split(cube, np.cumsum(self.sizes)[:-1], axis=1)
        heat = parts[3].reshape(cube.shape[0], len(c.data), HEATS)
        pairs = np.stack(
            [np.stack(heating_at(d.heating, heat[:, b]), axis=1) for b, d in enumerate(c.data)],
            axis=1,
        )
        values = Values(
            node_ohm=_between(np.concatenate([w.node_ohm for w in c.ways]), parts[0]),
            string_ohm=_between(np.concatenate([w.string_ohm for w in c.ways]), parts[1]),
            bridge_ohm=_bands([d.bridge_ohm for d in c.data], parts[2]),
            threshold_A=pairs[:, :, 0],
            tau_s=pairs[:, :, 1],
            burn_open=_bands([d.burn_open for d in c.data], parts[4]),
            after_ohm=_bands([d.after_ohm for d in c.data], parts[5]),
            supply=np.ones(cube.shape[0], dtype=np.intp),
        )
        s, where = self.supply, parts[6]
        drop = diode_drop(self.layout.boxes[self.results[0].firing.box][1])
        meshed = [n for n, r in enumerate(self.results) if r.mesh is not None]
        mesh_ohm: dict[int, Floats] = {}
        for n, part in zip(meshed, parts[7:], strict=True):
            mesh = self.results[n].mesh
            assert mesh is not None
            mesh_ohm[n] = _between(mesh.branch_ohm, part)
        return Points(
            values=values,
            emf_V=_band(s.emf_V, where[:, 0], 0.0),
            emf_share=where[:, 0],
            internal_ohm=_band(s.internal_ohm, where[:, 1], 0.0),
            limit_A=_band(s.limit_A, where[:, 2], np.inf),
            short_circuit_A=_band(s.short_circuit_A, where[:, 3], np.inf),
            capacitance_F=_band(s.capacitance_F, where[:, 4], np.inf),
            recharge_s=_band(s.recharge_s, where[:, 5], 1e-9),
            drop_V=_band(drop, where[:, 6], 0.0),
            mesh_ohm=mesh_ohm,
        )


def heating_at(heating: Heating, where: Floats) -> tuple[Floats, Floats]:
    """Threshold current and time constant at points of a class's data, shape (points, 3).

    Thermal data: heat capacity, loss, rise over resistance. Thresholds: current and time constant.
    Data sheets: current and impulse, between those of the fast and the slow igniter.
    """
    (slow_A, slow_s), (fast_A, fast_s) = heating.slow, heating.fast
    a, b, c = where[:, 0], where[:, 1], where[:, 2]
    if heating.basis == "threshold":
        return fast_A + b * (slow_A - fast_A), fast_s + a * (slow_s - fast_s)
    if heating.basis == "thermal":
        # In units in which the highest loss is 1.
        capacity = heating.tau_s.min + a * (slow_s - heating.tau_s.min)
        least = slow_s / heating.tau_s.max
        loss = least + b * (1.0 - least)
        low = fast_A**2 / least
        level = low + c * (slow_A**2 - low)
        return np.sqrt(loss * level), capacity / loss
    current = fast_A + b * (slow_A - fast_A)
    low, high = fast_A**2 * fast_s, slow_A**2 * slow_s
    return current, (low + a * (high - low)) / current**2


def _between(table: Floats, where: Floats) -> Floats:
    return np.asarray(table[:, 0] + where * (table[:, 2] - table[:, 0]))


def _bands(bands: Sequence[Band | AfterOhm], where: Floats) -> Floats:
    low, high = np.array([(b.min, b.max) for b in bands]).T
    same = low == high  # also where both are infinite
    return np.asarray(low + where * np.where(same, 0.0, high - np.where(same, 0.0, low)))


def _band(band: Band | None, where: Floats, absent: float) -> Floats:
    if band is None:
        return np.full(where.size, absent)
    return band.min + where * (band.max - band.min)
