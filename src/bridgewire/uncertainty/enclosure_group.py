"""The arrays of one firing to be enclosed: which end of each tolerance each bound takes.

Why these ends are the extreme ones says `bridgewire.uncertainty.enclosure`.
"""

from __future__ import annotations

import numpy as np
from attrs import define
from numpy.typing import NDArray

from bridgewire.circuit.supplies import SupplyData
from bridgewire.model.band import Band
from bridgewire.physics.network import Bools, Floats, Ints
from bridgewire.physics.supply import SupplyArrays
from bridgewire.timeline.batch import Columns, firing_columns, strings_on
from bridgewire.timeline.corners import Component
from bridgewire.uncertainty.enclosure_task import Task
from bridgewire.uncertainty.envelope_network import EnvelopeBridges, Members

LOW, HIGH = 0, 2


@define(eq=False)
class Group:
    """The arrays of one task, numbered from 0 within it. M inner circuits, T targets here."""

    columns: Ints
    """Targets of the component that take part."""
    parent: Ints
    string_node: Ints
    string_on: Bools
    times_s: list[float]
    node_ohm: Floats
    string_ohm: Floats
    supply: SupplyArrays
    drop_V: Floats
    bridge_string: Ints
    members: Members
    state_inner: Ints
    state_string: Ints
    inner_voltage: Ints
    full_V: Floats
    limiter: Ints
    is_voltage: Bools
    bridges: EnvelopeBridges

    @property
    def inners(self) -> int:
        return self.full_V.size


def group_of(task: Task) -> Group:
    """Values of all inner circuits: L of each target, U of each target, heaviest, lightest."""
    result, c = task.result, task.result.component
    cols = firing_columns(c, result.firing)
    places = {igniter: n for n, igniter in enumerate(c.targets)}
    owner = np.array([places[int(c.bridge_igniter[b])] for b in cols.bridges], dtype=np.intp)
    k = np.unique(owner)
    here = np.searchsorted(k, owner)
    count = k.size
    first = np.fromiter(c.targets.values(), dtype=np.intp)[k]
    own = cols.bridges[None, :] == first[:, None]
    bridge_string = np.searchsorted(cols.strings, c.bridge_string[cols.bridges])
    target_string = np.searchsorted(cols.strings, c.bridge_string[first])
    in_string = bridge_string[None, :] == target_string[:, None]
    own_string = np.arange(cols.strings.size)[None, :] == target_string[:, None]
    path = c.node_path[k][:, cols.nodes]
    capacitor = task.supply.capacitance_F is not None
    folds = _folds(task.supply)
    extra = 2 if capacitor or folds else 0

    def both(mine: Bools) -> Bools:
        """Whether a resistance is high: `mine` in L, the others in U; none, then all."""
        plain = np.arange(extra)[:, None] * np.ones((1, mine.shape[1])) > 0
        return np.concatenate([mine, ~mine, plain])

    node_ohm = np.concatenate([w.node_ohm for w in c.ways])[cols.nodes]
    string_ohm = np.concatenate([w.string_ohm for w in c.ways])[cols.strings]
    inners = 2 * count + extra
    members = _members(c, cols, here, bridge_string, own, in_string, both(in_string))
    supply, drop_V = _supplies(task, count, capacitor, folds)
    voltages = 2 if capacitor else 0
    states = 2 * count + voltages
    state_inner = np.arange(states)
    bound_of = np.concatenate([np.repeat([0, 1], count), np.arange(extra)])
    strings = cols.strings.size
    local = np.full(c.parent.size + 1, 0, dtype=np.intp)
    local[cols.nodes] = np.arange(1, cols.nodes.size + 1)
    up = c.parent[cols.nodes]
    return Group(
        columns=k,
        parent=np.concatenate(([-1], np.where(up < 0, 0, local[up]))),
        string_node=local[c.string_node[cols.strings]],
        string_on=strings_on(c, result.firing, cols, len(result.firing.active())),
        times_s=result.firing.boundaries_s(),
        node_ohm=np.where(both(path), node_ohm[:, HIGH], node_ohm[:, LOW]),
        string_ohm=np.where(both(own_string), string_ohm[:, HIGH], string_ohm[:, LOW]),
        supply=supply,
        drop_V=drop_V,
        bridge_string=bridge_string,
        members=members,
        state_inner=state_inner,
        state_string=state_inner * strings
        + np.concatenate([target_string, target_string, np.zeros(voltages, dtype=np.intp)]),
        inner_voltage=2 * count + bound_of if capacitor else np.full(inners, -1),
        full_V=np.where(bound_of == 0, task.emf_V.worst, task.emf_V.best),
        limiter=2 * count + bound_of[:states] if folds else np.full(states, -1),
        is_voltage=state_inner >= 2 * count,
        bridges=_states(task, k, first, supply, capacitor),
    )


def _members(
    c: Component,
    cols: Columns,
    here: Ints,
    bridge_string: Ints,
    own: Bools,
    in_string: Bools,
    high: Bools,
) -> Members:
    """The bridges of all inner circuits.

    Parameters
    ----------
    c : Component
    cols : Columns
        What takes part in the firing.
    here, bridge_string : int arrays
        Target and string of each bridge.
    own, in_string : bool arrays, shape (targets, bridges)
        Whether a bridge is the target's, and whether it is in the target's string.
    high : bool array, shape (inner circuits, bridges)
        Whether its resistance is the highest.
    """
    count, inners = own.shape[0], high.shape[0]
    data = [c.data[b] for b in cols.bridges]
    cold = np.array([(d.bridge_ohm.min, d.bridge_ohm.max) for d in data])
    plain = np.zeros((inners - 2 * count, own.shape[1]), dtype=bool)
    own_all = np.concatenate([own, own, plain])
    rise_per_x = c.rise_per_x[cols.bridges]
    # The bridge itself is as hot as its own bound: L's in L, U's in U.
    hot = np.where(own_all, ~high, high ^ (rise_per_x < 0.0))
    after = np.array([(d.after_ohm.min, d.after_ohm.max) for d in data])
    opens = np.isinf(after[:, 0])
    alone = np.bincount(bridge_string)[bridge_string] == 1
    whole = own_all.copy()
    whole[:count] |= in_string & opens
    return Members(
        rise_of=np.where(hot, here + count, here).ravel(),
        certain_of=np.tile(here, inners),
        possible_of=np.tile(here + count, inners),
        own=whole.ravel(),
        telling=np.tile(alone | opens, inners),
        low=~high.ravel(),
        cold_ohm=np.where(high, cold[:, 1], cold[:, 0]).ravel(),
        rise_per_x=np.tile(rise_per_x, inners),
        after_ohm=np.where(high, after[:, 1], after[:, 0]).ravel(),
        top_x=np.tile(np.array([d.burn_open.max for d in data]), inners),
    )


def _folds(supply: SupplyData) -> bool:
    return supply.limit_A is not None and supply.limit_A != supply.short_circuit_A


def _supplies(task: Task, count: int, capacitor: bool, folds: bool) -> tuple[SupplyArrays, Floats]:
    """The supply of each inner circuit, and its diode drop."""
    s = task.supply
    weak, strong = np.zeros(count, dtype=np.intp), np.full(count, 2)
    plain = np.concatenate([weak, strong])

    def pick(band: Band | None, absent: float, heavy: list[int], falling: bool = False) -> Floats:
        """Weak in L and strong in U; `heavy` are the choices of the two further circuits."""
        choice = np.concatenate([plain, np.array(heavy, dtype=np.intp)])
        if band is None:
            return np.full(choice.size, absent)
        order = (band.max, 0.0, band.min) if falling else (band.min, 0.0, band.max)
        return np.asarray(np.array(order)[choice])

    # A capacitor is emptied most by the least resistance; a fold-back limit is reached on the
    # weak and the strong limit line.
    draw = [2, 0] if capacitor else [2, 2] if folds else []
    line = [0, 2] if folds else draw
    drop = [2, 0] if draw else []
    emf = np.array([task.emf_V.worst, 0.0, task.emf_V.best])[
        np.concatenate([plain, np.array([0, 2] if capacitor else draw, dtype=np.intp)])
    ]
    limit_A = pick(s.limit_A, np.inf, line)
    if folds:
        limit_A[: 2 * count] = np.inf
    return (
        SupplyArrays(
            emf_V=emf,
            internal_ohm=pick(s.internal_ohm, 0.0, draw, falling=True),
            limit_A=limit_A,
            short_circuit_A=pick(s.short_circuit_A, np.inf, line),
            nominal_V=pick(s.emf_V, np.inf, line, falling=True),
            capacitance_F=np.full(emf.size, np.inf),
        ),
        pick(task.drop_V, 0.0, drop, falling=True),
    )


def _states(
    task: Task, k: Ints, first: Ints, supply: SupplyArrays, capacitor: bool
) -> EnvelopeBridges:
    """The states of a group: L of each target, U of each target, two voltages."""
    c, bounds = task.result.component, task.bounds
    heating = [c.data[b].heating for b in first]
    slow, fast = np.array([h.slow for h in heating]), np.array([h.fast for h in heating])
    shortest = np.array([h.tau_s.min for h in heating])
    longest = np.array([h.tau_s.max for h in heating])
    levels = [c.data[b].burn_open for b in first]
    more = 2 if capacitor else 0
    one, none = np.ones(more), np.zeros(more, dtype=bool)
    fall_per_As, time_s = np.zeros(2), np.ones(2)
    if capacitor:
        band = task.supply.capacitance_F
        assert band is not None
        farad = np.array([band.min, band.max])
        volt = np.array([task.emf_V.worst, task.emf_V.best])
        fall_per_As = 1.0 / (farad * np.maximum(volt, 1e-9))
        # Any constant will do; this one is of the order of the discharge.
        time_s = farad * np.maximum(supply.internal_ohm[-2:], 0.1) * 10.0

    def joined(low: NDArray[np.float64], high: NDArray[np.float64], rest: Floats) -> Floats:
        return np.concatenate([low, high, rest[:more]])

    size = 2 * k.size + more
    return EnvelopeBridges(
        string=np.arange(size),
        cold_ohm=np.ones(size),
        rise_per_x=joined(c.rise_per_x[first], c.rise_per_x[first], 0.0 * one),
        threshold_A=joined(slow[:, 0], fast[:, 0], one),
        tau_s=joined(slow[:, 1], fast[:, 1], time_s),
        burn_open=joined(
            np.array([b.max for b in levels]), np.array([b.min for b in levels]), np.inf * one
        ),
        after_ohm=np.full(size, np.inf),
        x=joined(bounds.x[0, k], bounds.x[1, k], one),
        lit=np.concatenate([bounds.lit[0, k], bounds.lit[1, k], ~none]),
        parted=np.concatenate([bounds.parted[0, k], bounds.parted[1, k], none]),
        cooling=joined(slow[:, 1] / shortest, fast[:, 1] / longest, one),
        fall_per_As=joined(np.zeros(k.size), np.zeros(k.size), fall_per_As),
    )
