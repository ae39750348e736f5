"""Many draws of one firing, handed to the solver as one batch. First axis of arrays: draw."""

from __future__ import annotations

import numpy as np
from attrs import define, evolve, frozen

from bridgewire.physics.bridges import Bridges
from bridgewire.physics.compiled import best_run_draws
from bridgewire.physics.draws import CircuitShape, Draws, DrawValues
from bridgewire.physics.laws import FaultLog, Law
from bridgewire.physics.network import Bools, Floats, Ints
from bridgewire.physics.nodal import NodalNetwork
from bridgewire.physics.supply import SupplyArrays
from bridgewire.physics.transient import run_transient
from bridgewire.physics.tree import TreeNetwork
from bridgewire.uncertainty.plan import BridgePlan, ComponentPlan, FiringPlan


@define(eq=False)
class BridgeDraws:
    """Values and state of all bridges of a component: arrays of shape (draws, bridges)."""

    cold_ohm: Floats
    rise_per_x: Floats
    threshold_A: Floats
    tau_s: Floats
    burn_open: Floats
    after_ohm: Floats
    x: Floats
    lit: Bools
    parted: Bools


@frozen(eq=False)
class Fired:
    """What one firing did: arrays of shape (draws, bridges of the firing)."""

    light_s: Floats
    light_u: Floats
    peak_x: Floats
    tau_s: Floats
    lit_before: Bools
    end_emf_V: Floats
    """Shape (draws,)."""
    part_s: Floats
    """``nan`` where it does not part in this firing."""
    peak_A: Floats


def tree_template(parent: Ints) -> tuple[list[Ints], list[Ints]]:
    """Nodes of a tree by depth, and for each depth the places of their parents in the one above.

    >>> levels, parents = tree_template(np.array([-1, 0, 0, 1]))
    >>> [v.tolist() for v in levels], [v.tolist() for v in parents]
    ([[0], [1, 2], [3]], [[], [0, 0], [0]])
    """
    levels = [np.flatnonzero(parent < 0)]
    parents: list[Ints] = [np.empty(0, dtype=np.intp)]
    while True:
        above = levels[-1]
        place = np.full(parent.size, -1, dtype=np.intp)
        place[above] = np.arange(above.size)
        here = np.flatnonzero((parent >= 0) & (place[parent] >= 0))
        if not here.size:
            return levels, parents
        here = here[np.argsort(place[parent[here]], kind="stable")]
        levels.append(here)
        parents.append(place[parent[here]])


def _rooted(firing: FiringPlan, component: ComponentPlan) -> tuple[Ints, Ints]:
    """Place of each of the component's nodes in the firing, and the parents of those places.

    Place 0 is the supply's terminals, where all ways of the firing begin.
    """
    place = np.zeros(component.parent.size, dtype=np.intp)
    place[firing.nodes] = np.arange(1, firing.nodes.size + 1)
    up = component.parent[firing.nodes]
    parent = np.concatenate([[-1], np.where(up < 0, 0, place[up])])
    return place, parent.astype(np.intp)


def _tree(
    firing: FiringPlan,
    component: ComponentPlan,
    node_ohm: Floats,
    string_ohm: Floats,
    drop_V: Floats,
    supply: SupplyArrays,
) -> TreeNetwork:
    """All draws of a firing as one forest, for models from outside; nodes by depth, then draw."""
    draws = drop_V.size
    place, parent = _rooted(firing, component)
    ohm = np.concatenate([np.zeros((1, draws)), node_ohm[firing.nodes]])
    levels, parents = tree_template(parent)
    new_parent: list[Ints] = []
    new_ohm: list[Floats] = []
    circuit: list[Ints] = []
    where = np.empty((draws, parent.size), dtype=np.intp)
    start = before = 0
    each = np.arange(draws)[:, None]
    for depth, (here, above) in enumerate(zip(levels, parents, strict=True)):
        width = here.size
        where[:, here] = start + each * width + np.arange(width)
        if depth == 0:
            new_parent.append(np.full(draws, -1, dtype=np.intp))
        else:
            new_parent.append((before + each * levels[depth - 1].size + above).ravel())
        new_ohm.append(ohm[here].T.ravel())
        circuit.append(np.repeat(np.arange(draws), width))
        before, start = start, start + draws * width
    string_node = where[:, place[component.string_node[firing.strings]]]
    return TreeNetwork(
        parent=np.concatenate(new_parent),
        branch_ohm=np.concatenate(new_ohm),
        circuit_of_node=np.concatenate(circuit),
        string_node=string_node.ravel(),
        string_fixed_ohm=string_ohm[firing.strings].T.ravel(),
        string_on=np.tile(firing.on, (draws, 1)),
        drop_V=drop_V,
        supply=supply,
    )


def _bridges(
    firing: FiringPlan, component: ComponentPlan, b: BridgeDraws, faults: FaultLog
) -> Bridges:
    k = firing.bridges
    draws = b.x.shape[0]
    place = np.full(component.string_node.size, -1, dtype=np.intp)
    place[firing.strings] = np.arange(firing.strings.size)
    string = place[component.bridge_string[k]]
    offset = np.arange(draws)[:, None] * firing.strings.size
    return Bridges(
        string=(string[None, :] + offset).ravel(),
        cold_ohm=b.cold_ohm[:, k].ravel(),
        rise_per_x=b.rise_per_x[:, k].ravel(),
        threshold_A=b.threshold_A[:, k].ravel(),
        tau_s=b.tau_s[:, k].ravel(),
        burn_open=b.burn_open[:, k].ravel(),
        after_ohm=b.after_ohm[:, k].ravel(),
        x=b.x[:, k].ravel(),
        lit=b.lit[:, k].ravel(),
        parted=b.parted[:, k].ravel(),
        laws=_laws([component.bridges[i] for i in k.tolist()], draws),
        faults=faults,
    )


def _laws(bridges: list[BridgePlan], draws: int) -> tuple[Law, ...]:
    names = {b.model.name for b in bridges if b.model is not None}
    laws: list[Law] = []
    for name in sorted(names):
        places = [i for i, b in enumerate(bridges) if b.model is not None and b.model.name == name]
        model = bridges[places[0]].model
        assert model is not None
        members = (np.arange(draws)[:, None] * len(bridges) + np.array(places)[None, :]).ravel()
        given = [dict(bridges[p].parameters) for p in places]
        parameters = {
            key: np.tile([float(g[key]) for g in given], draws) for key in model.parameters
        }
        laws.append(Law(model, members, parameters))
    return tuple(laws)


def _fire_tree(
    firing: FiringPlan,
    component: ComponentPlan,
    node_ohm: Floats,
    string_ohm: Floats,
    drop_V: Floats,
    supply: SupplyArrays,
    state: BridgeDraws,
    tolerance: float,
) -> Fired:
    """A firing whose network is a tree without models from outside: the fast path."""
    k = firing.bridges
    place, parent = _rooted(firing, component)
    string_place = np.full(component.string_node.size, -1, dtype=np.intp)
    string_place[firing.strings] = np.arange(firing.strings.size)
    shape = CircuitShape(
        parent,
        place[component.string_node[firing.strings]],
        string_place[component.bridge_string[k]],
        firing.on,
    )
    root = np.zeros((1, drop_V.size))
    values = DrawValues(
        branch_ohm=np.concatenate([root, node_ohm[firing.nodes]]).T,
        string_fixed_ohm=string_ohm[firing.strings].T,
        drop_V=drop_V,
        supply=supply,
        cold_ohm=state.cold_ohm[:, k],
        rise_per_x=state.rise_per_x[:, k],
        threshold_A=state.threshold_A[:, k],
        tau_s=state.tau_s[:, k],
        burn_open=state.burn_open[:, k],
        after_ohm=state.after_ohm[:, k],
        x=state.x[:, k],
        lit=state.lit[:, k],
        parted=state.parted[:, k],
    )
    draws = Draws(shape, values, firing.boundaries_s)
    out = best_run_draws()(draws, tolerance=tolerance)
    state.x[:, k], state.lit[:, k], state.parted[:, k] = out.x, out.lit, out.parted
    return Fired(
        out.light_s,
        out.light_u,
        out.peak_x,
        state.tau_s[:, k],
        out.lit,
        out.end_emf_V,
        out.part_s,
        out.peak_A,
    )


def fire(
    firing: FiringPlan,
    component: ComponentPlan,
    node_ohm: Floats,
    string_ohm: Floats,
    branch_ohm: Floats,
    drop_V: Floats,
    supply: SupplyArrays,
    state: BridgeDraws,
    tolerance: float,
    faults: FaultLog,
) -> Fired:
    """Run one firing in every draw and carry the bridges' state on.

    Parameters
    ----------
    firing : FiringPlan
    component : ComponentPlan
    node_ohm, string_ohm, branch_ohm : arrays, shape (count, draws)
        `branch_ohm` where the firing is no tree, `node_ohm` where it is.
    drop_V : array, shape (draws,)
    supply : SupplyArrays
        One for each draw.
    state : BridgeDraws
        Replaced by the state at the end.
    tolerance : float
        See `bridgewire.physics.transient.run_transient`.
    faults : FaultLog

    Returns
    -------
    Fired
    """
    lit_before = state.lit[:, firing.bridges].copy()
    modelled = supply.laws or any(
        component.bridges[i].model is not None for i in firing.bridges.tolist()
    )
    if firing.topology is None and not modelled:
        done = _fire_tree(firing, component, node_ohm, string_ohm, drop_V, supply, state, tolerance)
        return evolve(done, lit_before=lit_before)
    draws = drop_V.size
    k = firing.bridges
    network: TreeNetwork | NodalNetwork
    if firing.topology is None:
        network = _tree(firing, component, node_ohm, string_ohm, drop_V, supply)
    else:
        network = NodalNetwork(
            firing.topology,
            np.ascontiguousarray(branch_ohm.T),
            np.ascontiguousarray(string_ohm[firing.strings].T),
            drop_V,
            supply,
        )
    bridges = _bridges(firing, component, state, faults)
    bounds = np.tile(firing.boundaries_s, (draws, 1))
    out = run_transient(network, bridges, bounds, tolerance=tolerance)
    shape = (draws, k.size)
    state.x[:, k] = bridges.x.reshape(shape)
    state.lit[:, k] = bridges.lit.reshape(shape)
    state.parted[:, k] = bridges.parted.reshape(shape)
    state.after_ohm[:, k] = bridges.after_ohm.reshape(shape)
    return Fired(
        out.light_s.reshape(shape),
        out.light_u.reshape(shape),
        out.peak_x.reshape(shape),
        state.tau_s[:, k],
        lit_before,
        out.end_emf_V,
        out.part_s.reshape(shape),
        out.peak_A.reshape(shape),
    )
