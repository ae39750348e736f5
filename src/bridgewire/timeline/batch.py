"""Many firings in all their scenarios as one network for the solver."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

import numpy as np
from attrs import define
from numpy.typing import NDArray

from bridgewire.circuit.layout import Layout
from bridgewire.circuit.supplies import SupplyData, diode_drop
from bridgewire.model.band import Band
from bridgewire.physics.bridges import Bridges
from bridgewire.physics.laws import Law, join_laws
from bridgewire.physics.network import Bools, Floats, Ints
from bridgewire.physics.nodal import NodalNetwork
from bridgewire.physics.supply import SupplyArrays
from bridgewire.physics.tree import TreeNetwork
from bridgewire.timeline.corners import Component, scenario_values
from bridgewire.timeline.jobs import Job, Supplies
from bridgewire.timeline.schedule import Firing


@define(eq=False)
class Columns:
    """Which nodes, strings and bridges of a component take part in a firing."""

    ways: list[int]
    nodes: Ints
    strings: Ints
    bridges: Ints


def columns_of(job: Job) -> Columns:
    """What of its component takes part in a job's firing."""
    return firing_columns(job.state.component, job.firing)


def firing_columns(c: Component, firing: Firing) -> Columns:
    """What of a component takes part in a firing."""
    wanted = set(firing.ways)
    ways = [i for i, w in enumerate(c.ways) if w.key in wanted]

    def gather(starts: Sequence[int], counts: Sequence[int]) -> Ints:
        return np.concatenate([np.arange(starts[i], starts[i] + counts[i]) for i in ways])

    return Columns(
        ways,
        gather(c.node_start, [len(w.nodes) for w in c.ways]),
        gather(c.string_start, [len(w.strings) for w in c.ways]),
        gather(c.bridge_start, [len(w.bridge_igniter) for w in c.ways]),
    )


def boundaries_of(job: Job, segments: int) -> Floats:
    """Switching times of a firing from its start, s: shape (scenarios, segments + 1).

    Padded with the last time where the firing has fewer segments.
    """
    times = job.firing.boundaries_s()
    row = times + [times[-1]] * (segments + 1 - len(times))
    return np.tile(np.array(row), (job.state.component.scenarios, 1))


def _supply_arrays(
    layout: Layout, job: Job, data: SupplyData, corner: Ints
) -> tuple[SupplyArrays, Floats]:
    """Supply of each scenario of a firing, and its diode drop."""

    def pick(band: Band | None, absent: float, weak_high: bool = False) -> Floats:
        if band is None:
            return np.full(corner.size, absent)
        order = (
            (band.max, band.typical, band.min) if weak_high else (band.min, band.typical, band.max)
        )
        return np.array(order)[corner]

    drop = pick(diode_drop(layout.boxes[job.firing.box][1]), 0.0, weak_high=True)
    arrays = SupplyArrays(
        emf_V=np.array(job.emf_V)[corner],
        internal_ohm=pick(data.internal_ohm, 0.0, weak_high=True),
        limit_A=pick(data.limit_A, np.inf),
        short_circuit_A=pick(data.short_circuit_A, np.inf),
        nominal_V=pick(data.emf_V, np.inf),
        capacitance_F=pick(data.capacitance_F, np.inf),
        laws=supply_laws(data, corner.size),
        faults=job.faults,
    )
    return arrays, drop


def supply_laws(data: SupplyData, count: int) -> tuple[Law, ...]:
    """The model that a supply obeys, on `count` scenarios; empty for a built-in supply."""
    if data.model is None:
        return ()
    parameters = {k: np.full(count, data.parameters[k]) for k in data.model.parameters}
    return (Law(data.model, np.arange(count), parameters),)


def bridges_of(job: Job, cols: Columns, string_offset: int) -> Bridges:
    """All scenarios of a firing, one after the other."""
    s, v, c = job.state, job.state.values, job.state.component
    k = cols.bridges
    scenarios = c.scenarios
    place = np.full(c.string_node.size, -1, dtype=np.intp)
    place[cols.strings] = np.arange(cols.strings.size)
    string = place[c.bridge_string[k]]
    offsets = np.arange(scenarios)[:, None] * cols.strings.size + string_offset
    return Bridges(
        string=(string[None, :] + offsets).ravel(),
        cold_ohm=v.bridge_ohm[:, k].ravel(),
        rise_per_x=np.tile(c.rise_per_x[k], scenarios),
        threshold_A=v.threshold_A[:, k].ravel(),
        tau_s=v.tau_s[:, k].ravel(),
        burn_open=v.burn_open[:, k].ravel(),
        after_ohm=s.after_ohm[:, k].ravel(),
        x=s.x[:, k].ravel(),
        lit=s.lit[:, k].ravel(),
        parted=s.parted[:, k].ravel(),
        laws=_bridge_laws(job, k),
        faults=job.faults,
    )


def _bridge_laws(job: Job, bridges: Ints) -> tuple[Law, ...]:
    """Igniter models of a firing's bridges, over all scenarios."""
    data = [job.state.component.data[b] for b in bridges.tolist()]
    scenarios = job.state.component.scenarios
    by_name: dict[str, list[int]] = defaultdict(list)
    for place, one in enumerate(data):
        if one.model is not None:
            by_name[one.model.name].append(place)
    laws: list[Law] = []
    for places in by_name.values():
        model = data[places[0]].model
        assert model is not None
        rows = np.arange(scenarios)[:, None] * len(data)
        parameters = {
            k: np.tile([data[p].parameters[k] for p in places], scenarios) for k in model.parameters
        }
        laws.append(Law(model, (rows + np.array(places)[None, :]).ravel(), parameters))
    return tuple(laws)


def _join(parts: Sequence[Bridges]) -> Bridges:
    """Bridges of several firings, one after the other."""

    def all_of(name: str) -> NDArray[Any]:
        return np.concatenate([getattr(p, name) for p in parts])

    starts = np.cumsum([0, *(p.x.size for p in parts)])[:-1].tolist()
    return Bridges(
        string=all_of("string"),
        cold_ohm=all_of("cold_ohm"),
        rise_per_x=all_of("rise_per_x"),
        threshold_A=all_of("threshold_A"),
        tau_s=all_of("tau_s"),
        burn_open=all_of("burn_open"),
        after_ohm=all_of("after_ohm"),
        x=all_of("x"),
        lit=all_of("lit"),
        parted=all_of("parted"),
        laws=join_laws([(at, p.laws) for at, p in zip(starts, parts, strict=True)]),
        faults=parts[0].faults,
    )


@define(eq=False)
class Forest:
    """All scenarios of some firings as one network of trees."""

    network: TreeNetwork
    bridges: Bridges
    boundaries_s: Floats
    """Switching times of each circuit from the start of its firing."""
    columns: list[Columns]
    """Of each firing."""
    branches: list[Ints]
    """Places in the network of each firing's branches, scenario by scenario."""


def build_forest(layout: Layout, jobs: Sequence[Job], supplies: Supplies) -> Forest:
    """One forest of all scenarios of some firings, firing after firing."""
    columns = [columns_of(job) for job in jobs]
    segments = max(len(job.firing.boundaries_s()) for job in jobs) - 1
    parents, ohms, circuits, string_nodes, string_ohms, string_on = [], [], [], [], [], []
    supply_parts: list[SupplyArrays] = []
    drops, bounds, bridge_parts, branch_places = [], [], [], []
    node_base = circuit_base = string_base = 0
    for job, cols in zip(jobs, columns, strict=True):
        c, v = job.state.component, job.state.values
        scenarios, nodes = c.scenarios, cols.nodes.size
        place = np.full(c.parent.size + 1, 0, dtype=np.intp)
        place[cols.nodes] = np.arange(1, nodes + 1)
        local = np.concatenate(
            ([-1], np.where(c.parent[cols.nodes] < 0, 0, place[c.parent[cols.nodes]]))
        )
        offset = node_base + np.arange(scenarios)[:, None] * (nodes + 1)
        parents.append(np.where(local[None, :] < 0, -1, local[None, :] + offset).ravel())
        ohms.append(
            np.concatenate([np.zeros((scenarios, 1)), v.node_ohm[:, cols.nodes]], axis=1).ravel()
        )
        circuits.append(np.repeat(np.arange(circuit_base, circuit_base + scenarios), nodes + 1))
        string_nodes.append((place[c.string_node[cols.strings]][None, :] + offset).ravel())
        string_ohms.append(v.string_ohm[:, cols.strings].ravel())
        string_on.append(np.tile(strings_on(c, job.firing, cols, segments), (scenarios, 1)))
        data = supplies[job.firing.box][0]
        assert data is not None
        arrays, drop = _supply_arrays(layout, job, data, v.supply)
        supply_parts.append(arrays)
        drops.append(drop)
        bounds.append(boundaries_of(job, segments))
        bridge_parts.append(bridges_of(job, cols, string_base))
        branch_places.append(np.arange(scenarios * (nodes + 1)) + node_base)
        node_base += scenarios * (nodes + 1)
        circuit_base += scenarios
        string_base += scenarios * cols.strings.size
    network, new_place = TreeNetwork.in_any_order(
        parent=np.concatenate(parents),
        branch_ohm=np.concatenate(ohms),
        circuit_of_node=np.concatenate(circuits),
        string_node=np.concatenate(string_nodes),
        string_fixed_ohm=np.concatenate(string_ohms),
        string_on=np.concatenate(string_on),
        drop_V=np.concatenate(drops),
        supply=_join_supplies(supply_parts),
    )
    return Forest(
        network,
        _join(bridge_parts),
        np.concatenate(bounds),
        columns,
        [new_place[b] for b in branch_places],
    )


def _join_supplies(parts: Sequence[SupplyArrays]) -> SupplyArrays:
    """Supplies of several firings, one after the other."""

    def all_of(name: str) -> NDArray[Any]:
        return np.concatenate([getattr(p, name) for p in parts])

    starts = np.cumsum([0, *(p.emf_V.size for p in parts)])[:-1].tolist()
    return SupplyArrays(
        emf_V=all_of("emf_V"),
        internal_ohm=all_of("internal_ohm"),
        limit_A=all_of("limit_A"),
        short_circuit_A=all_of("short_circuit_A"),
        nominal_V=all_of("nominal_V"),
        capacitance_F=all_of("capacitance_F"),
        laws=join_laws([(at, p.laws) for at, p in zip(starts, parts, strict=True)]),
        faults=parts[0].faults,
    )


def strings_on(c: Component, firing: Firing, cols: Columns, segments: int) -> Bools:
    """Whether each string's way is on in each segment."""
    active = firing.active()
    on = np.zeros((cols.strings.size, segments), dtype=bool)
    row = 0
    for i in cols.ways:
        way = c.ways[i]
        for segment, keys in enumerate(active):
            on[row : row + len(way.strings), segment] = way.key in keys
        row += len(way.strings)
    return on


def build_mesh_network(
    layout: Layout,
    job: Job,
    supplies: Supplies,
) -> tuple[NodalNetwork, Bridges, Columns]:
    """The nodal network of all scenarios of one firing."""
    mesh, state = job.mesh, job.state
    assert mesh is not None
    cols = columns_of(job)
    first = np.fromiter(state.component.targets.values(), dtype=np.intp)
    place = np.full(state.component.string_node.size, -1, dtype=np.intp)
    place[cols.strings] = np.arange(cols.strings.size)
    string = place[state.component.bridge_string[first]]
    path = np.where((string >= 0)[:, None], mesh.string_path[string], False)
    values = scenario_values(state.component, path, mesh.branch_ohm)
    data = supplies[job.firing.box][0]
    assert data is not None
    arrays, drop = _supply_arrays(layout, job, data, values.supply)
    network = NodalNetwork(
        mesh.topology, values.node_ohm, values.string_ohm[:, cols.strings], drop, arrays
    )
    return network, bridges_of(job, cols, 0), cols
