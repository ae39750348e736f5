"""Bounds of every light time over the whole tolerance box, from one run of coupled bounds.

The claim, for one firing of a component whose network is a tree: whatever values the resistances,
the igniters' heating constants and burn-open levels and the supply have within their tolerances,
each bridge j keeps ``L_j <= x_j <= U_j`` until it parts, where L and U obey

    ``L_j' = least of (u_j - L_j) / tau_j``,  ``U_j' = greatest of (u_j - U_j) / tau_j``

over those values and over everything that the other bridges' bounds leave open. So the bridge is
lit no later than L_j reaches 1 and no sooner than U_j does.

Why: this is the comparison theorem for a system of differential equations whose bounds may use
each other (Müller 1926; Kamke 1932). At the first moment at which some bound would fail, x_j is on
its bound, all others are still within theirs, and the bound's rate is the extreme one. The bridge's
own x enters with its own value, so a resistance that rises with heat costs nothing. Parting is an
event of the same kind: j has certainly parted once L_j reaches the highest burn-open level, and
cannot have parted before U_j reaches the lowest.

What makes the rate of change extreme:

* The network seen from one string is a source whose current does not rise with the voltage across
  the string. Folding it, step by step, keeps it so: a resistance in series lowers the current it
  gives at each voltage, and so does a load beside it, the more the less resistance that load has.
  Hence the current in the string is lowest with the weakest supply, every resistance on its own
  path and in its own string highest, and everything beside the path lowest: bridges beside it
  cold (at L) and not parted before they certainly have; series mates hot (at U), and parted as
  soon as they may have. It is highest with all of that reversed.
* A plain source, one with a constant current limit and a capacitor of given voltage have a
  current that does not rise with voltage. A fold-back limit ``I = a + k V`` has not. There the
  output voltage is the lower one of those on the two lines, so the string's current is the lower
  one of its currents on them. The first is bounded as above. The second is the total current,
  which falls with the load's conductance alone, times the string's share, which does not depend
  on the source; each factor is bounded by itself.
* A capacitor's voltage V is a state like x: V falls slowest, and a bound stays a bound, with the
  lightest load and the most capacitance; fastest with the heaviest load and the least.
* ``(I^2 (1 + a x) / I0^2 - x) / tau`` is lowest for the highest I0 and, where it is positive, for
  the slowest igniter's tau; where it is negative, for the shortest tau that the data allow.

Series strings. A mate that parts open cuts its string, so L is kept for the string uncut: as long
as none of its bridges has parted open, ``L_j <= x_j``. Once L_j reaches j's highest burn-open level
the string is certainly open, by j or a mate, which is all that the rest of the network asks. L_j
reaching 1 proves that j is lit only if no mate parts first. That is so if the U of every mate is
still below its lowest burn-open level, or by this: mates carry the same current all their life, so
each x is the integral of ``I^2 (1 + a x) / K e^(-age/tau)``, ``K = I0^2 tau``, over the same
current; the mate's is at most ``r = K_j/K_m (1 + a b_m) e^(T (1/tau_j - 1/tau_m))`` times j's
(the exponent where positive, T since the string's first pulse), and if r is at most the mate's
lowest burn-open level b_m, it has not reached that before j reaches 1. Failing both, nothing is
claimed.

What a firing leaves is carried to the next: both bounds, cooled with their extreme time constants,
what has certainly parted and what may have.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from attrs import define
from numpy.typing import NDArray

from bridgewire.circuit.layout import Layout
from bridgewire.circuit.supplies import SupplyData, diode_drop
from bridgewire.circuit.ways import BridgeData
from bridgewire.model.band import Band
from bridgewire.physics.network import Bools, Floats, Ints
from bridgewire.physics.supply import SupplyArrays
from bridgewire.physics.transient import Outcome, run_transient
from bridgewire.physics.tree import TreeNetwork, order_nodes
from bridgewire.timeline.batch import firing_columns, strings_on
from bridgewire.timeline.charge import Volts
from bridgewire.timeline.corners import Component
from bridgewire.timeline.results import FiringResult
from bridgewire.timeline.simulate import TOLERANCE
from bridgewire.uncertainty.envelope_network import EnvelopeBridges, EnvelopeNetwork, Members

LOW, HIGH = 0, 2


@define(eq=False)
class Bounds:
    """Bounds of a component's igniters between firings: arrays over its targets, [L, U] first.

    Attributes
    ----------
    x : array, shape (2, targets)
    lit, parted : bool arrays, shape (2, targets)
        For L: certainly. For U: possibly.
    time_s : float
        Time of these bounds on the show's clock.
    """

    component: Component
    x: Floats
    lit: Bools
    parted: Bools
    first_s: Floats
    """Start of the first pulse on each target's way; ``inf`` before it."""
    time_s: float

    @classmethod
    def cold(cls, component: Component, start_s: float) -> Bounds:
        """Nothing has fired before a time."""
        shape = (2, len(component.targets))
        none = np.zeros(shape, dtype=bool)
        never = np.full(shape[1], np.inf)
        return cls(component, np.zeros(shape), none, none.copy(), never, start_s)

    def cool_until(self, time_s: float) -> None:
        """Let the bounds cool up to a time."""
        first = list(self.component.targets.values())
        bands = [self.component.data[b].heating.tau_s for b in first]
        tau_s = np.array([[b.min for b in bands], [b.max for b in bands]])
        self.x = self.x * np.exp(-max(time_s - self.time_s, 0.0) / tau_s)
        self.time_s = time_s


@define(eq=False)
class Enclosed:
    """One firing enclosed. Arrays run over [L, U] and the component's targets."""

    light_s: Floats
    """From the start of the firing; ``nan`` where the bound is not reached in it. L: latest."""
    light_A: Floats
    lit_before: Bools
    end_V: tuple[float, float]
    """Lowest and highest source voltage at the end."""


@define(eq=False)
class Task:
    """One firing to be enclosed."""

    result: FiringResult
    bounds: Bounds
    supply: SupplyData
    drop_V: Band
    emf_V: Volts


@define(eq=False)
class _Group:
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


def provable(result: FiringResult, supply: SupplyData) -> bool:
    """Whether the argument above covers a firing: a tree, on laws that are known.

    No resistance may reach 0 by heat, and a fold-back limit must rise with voltage throughout its
    tolerances and not sit on a capacitor.
    """
    if result.mesh is not None or supply.model is not None:
        return False
    for d in result.component.data:
        if d.model is not None or 1.0 + d.rise_per_x * d.burn_open.max <= 0.0:
            return False
    limit, short = supply.limit_A, supply.short_circuit_A
    if limit is None or short is None or limit == short:
        return True
    rising = short.min <= limit.min and short.max <= limit.max
    return rising and supply.capacitance_F is None


def make_task(
    layout: Layout, result: FiringResult, bounds: Bounds, supply: SupplyData, emf_V: Volts
) -> Task:
    """Describe one firing to be enclosed; its bounds must have been cooled up to its start."""
    drop = diode_drop(layout.boxes[result.firing.box][1])
    return Task(result, bounds, supply, drop, emf_V)


def enclose(tasks: Sequence[Task], tolerance: float = TOLERANCE) -> list[Enclosed]:
    """Run some firings of different components as one batch and carry their bounds on.

    Parameters
    ----------
    tasks : sequence of Task
    tolerance : float
        See `run_transient`.

    Returns
    -------
    list of Enclosed
        In the order of `tasks`.
    """
    groups = [_group(task) for task in tasks]
    network, bridges, boundaries = _join(groups)
    out = run_transient(network, bridges, boundaries, tolerance=tolerance)
    found: list[Enclosed] = []
    start = 0
    for task, group in zip(tasks, groups, strict=True):
        states = slice(start, start + group.is_voltage.size)
        start = states.stop
        found.append(_collect(task, group, states, bridges, out))
    return found


def _collect(
    task: Task,
    group: _Group,
    states: slice,
    bridges: EnvelopeBridges,
    out: Outcome,
) -> Enclosed:
    bounds, k = task.bounds, group.columns
    before = bounds.lit.copy()
    maybe_parted = bounds.parted[1].copy()

    def table(values: NDArray[np.float64]) -> Floats:
        full = np.full(bounds.x.shape, np.nan)
        full[:, k] = values[states][: 2 * k.size].reshape(2, -1)
        return full

    x = bridges.x[states]
    data = task.result.component.data
    first = np.fromiter(task.result.component.targets.values(), dtype=np.intp)[k]
    top = np.array([data[b].burn_open.max for b in first])
    parted = bridges.parted[states][: 2 * k.size].reshape(2, -1)
    bounds.x[:, k] = x[: 2 * k.size].reshape(2, -1)
    # One that may have parted may as well be whole and as hot as can be.
    bounds.x[1, k] = np.where(parted[1], top, bounds.x[1, k])
    bounds.parted[:, k] = parted
    light_s, part_s = table(out.light_s), table(out.part_s)
    part_s[1, maybe_parted] = -np.inf
    cut = _may_be_cut(task, k, light_s[0], part_s[1])
    light_s[0, cut] = np.nan
    bounds.lit[1, k] |= ~np.isnan(light_s[1, k])
    bounds.lit[0, k] |= ~np.isnan(light_s[0, k])
    bounds.time_s = task.result.firing.end_s
    end_V = (task.emf_V[0], task.emf_V[2])
    if group.is_voltage.any():
        low, high = np.maximum(x[2 * k.size :], 0.0) * np.array(end_V)
        end_V = (float(low), float(high))
    return Enclosed(light_s, table(out.light_A), before, end_V)


def _may_be_cut(task: Task, k: Ints, light_s: Floats, part_s: Floats) -> Bools:
    """Targets for which nothing shows that no mate in series parts open before they are lit."""
    c, firing = task.result.component, task.result.firing
    cut = np.zeros(light_s.size, dtype=bool)
    places = {igniter: n for n, igniter in enumerate(c.targets)}
    first = list(c.targets.values())
    way_of = np.searchsorted(c.bridge_start, first, side="right") - 1
    for n in k.tolist():
        way = c.ways[way_of[n]].key
        starts = [p.start_s for p in firing.pulses if p.way == way]
        task.bounds.first_s[n] = min([float(task.bounds.first_s[n]), *starts])
        if np.isnan(light_s[n]):
            continue
        mates = np.flatnonzero(c.bridge_string == c.bridge_string[first[n]]).tolist()
        for m in mates:
            if m == first[n] or np.isfinite(c.after_ohm[m]):
                continue
            soonest = part_s[places[int(c.bridge_igniter[m])]]
            elapsed_s = firing.start_s + float(light_s[n]) - float(task.bounds.first_s[n])
            if soonest <= light_s[n] and not _outlasts(c.data[m], c.data[first[n]], elapsed_s):
                cut[n] = True
    return cut


def _outlasts(mate: BridgeData, target: BridgeData, elapsed_s: float) -> bool:
    """Whether a mate in series cannot part before the target is lit, whatever the current."""
    most = target.heating.slow[0] ** 2 * target.heating.slow[1]
    least = mate.heating.fast[0] ** 2 * mate.heating.fast[1]
    level = mate.burn_open.min
    spread = max(1.0 / target.heating.tau_s.min - 1.0 / mate.heating.tau_s.max, 0.0)
    ratio = most / least * (1.0 + max(mate.rise_per_x, 0.0) * level)
    ratio /= 1.0 + min(target.rise_per_x, 0.0)
    return math.log(ratio) + spread * elapsed_s <= math.log(level)


def _group(task: Task) -> _Group:
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
    data = [c.data[b] for b in cols.bridges]
    cold = np.array([(d.bridge_ohm.min, d.bridge_ohm.max) for d in data])
    high = both(in_string)
    inners = 2 * count + extra
    own_all = np.concatenate([own, own, np.zeros((extra, own.shape[1]), dtype=bool)])
    rise_per_x = c.rise_per_x[cols.bridges]
    # The bridge itself is as hot as its own bound: L's in L, U's in U.
    hot = np.where(own_all, ~high, high ^ (rise_per_x < 0.0))
    after_ohm = c.after_ohm[cols.bridges]
    alone = np.bincount(bridge_string)[bridge_string] == 1
    whole = own_all.copy()
    whole[:count] |= in_string & np.isinf(after_ohm)
    members = Members(
        rise_of=np.where(hot, here + count, here).ravel(),
        certain_of=np.tile(here, inners),
        possible_of=np.tile(here + count, inners),
        own=whole.ravel(),
        telling=np.tile(alone | np.isinf(after_ohm), inners),
        low=~high.ravel(),
        cold_ohm=np.where(high, cold[:, 1], cold[:, 0]).ravel(),
        rise_per_x=np.tile(rise_per_x, inners),
        after_ohm=np.tile(after_ohm, inners),
        top_x=np.tile(np.array([d.burn_open.max for d in data]), inners),
    )
    supply, drop_V = _supplies(task, count, capacitor, folds)
    voltages = 2 if capacitor else 0
    states = 2 * count + voltages
    state_inner = np.arange(states)
    bound_of = np.concatenate([np.repeat([0, 1], count), np.arange(extra)])
    strings = cols.strings.size
    local = np.full(c.parent.size + 1, 0, dtype=np.intp)
    local[cols.nodes] = np.arange(1, cols.nodes.size + 1)
    up = c.parent[cols.nodes]
    return _Group(
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
        full_V=np.where(bound_of == 0, task.emf_V[0], task.emf_V[2]),
        limiter=2 * count + bound_of[:states] if folds else np.full(states, -1),
        is_voltage=state_inner >= 2 * count,
        bridges=_states(task, k, first, supply, capacitor),
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
    emf = np.array([task.emf_V[0], 0.0, task.emf_V[2]])[
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
        volt = np.array([task.emf_V[0], task.emf_V[2]])
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


def _join(groups: Sequence[_Group]) -> tuple[EnvelopeNetwork, EnvelopeBridges, Floats]:
    """All groups as one network."""
    segments = max(len(g.times_s) for g in groups) - 1
    parents, ohms, circuits, nodes_of, fixed, on, bounds = [], [], [], [], [], [], []
    inner_group, heads, strings_of = [], [], []
    node = inner = string = state = member = 0
    shifted: dict[str, list[Ints]] = {n: [] for n in _SHIFTED}
    for number, g in enumerate(groups):
        m, width, per = g.inners, g.parent.size, g.string_node.size
        at = node + np.arange(m)[:, None] * width
        parents.append(np.where(g.parent[None, :] < 0, -1, g.parent[None, :] + at).ravel())
        ohms.append(np.concatenate([np.zeros((m, 1)), g.node_ohm], axis=1).ravel())
        circuits.append(np.repeat(np.arange(inner, inner + m), width))
        nodes_of.append((g.string_node[None, :] + at).ravel())
        fixed.append(g.string_ohm.ravel())
        pad = segments - g.string_on.shape[1]
        on.append(np.tile(np.pad(g.string_on, ((0, 0), (0, pad))), (m, 1)))
        bounds.append(g.times_s + [g.times_s[-1]] * pad)
        inner_group.append(np.full(m, number))
        first = np.flatnonzero(np.diff(g.bridge_string, prepend=-1))
        heads.append((member + np.arange(m)[:, None] * g.bridge_string.size + first).ravel())
        for name, by in (
            ("rise_of", state),
            ("certain_of", state),
            ("possible_of", state),
            ("inner_voltage", state),
            ("state_inner", inner),
            ("limiter", inner),
            ("state_string", string),
        ):
            values = getattr(g.members if name.endswith("_of") else g, name)
            shifted[name].append(np.where(values >= 0, values + by, -1))
        strings_of.append(g.bridges.string + state)
        node, inner, string = node + m * width, inner + m, string + m * per
        state, member = state + g.is_voltage.size, member + g.members.own.size
    parent = np.concatenate(parents)
    order = order_nodes(parent)
    place = np.empty_like(order)
    place[order] = np.arange(order.size)
    up = parent[order]
    tree = TreeNetwork(
        parent=np.where(up < 0, -1, place[up]),
        branch_ohm=np.concatenate(ohms)[order],
        circuit_of_node=np.concatenate(circuits)[order],
        string_node=place[np.concatenate(nodes_of)],
        string_fixed_ohm=np.concatenate(fixed),
        string_on=np.concatenate(on),
        drop_V=np.concatenate([g.drop_V for g in groups]),
        supply=_joined_supply([g.supply for g in groups]),
    )
    index = {n: np.concatenate(v).astype(np.intp) for n, v in shifted.items()}
    of_members: dict[str, Any] = {
        n: np.concatenate([getattr(g.members, n) for g in groups])
        for n in ("own", "telling", "low", "cold_ohm", "rise_per_x", "after_ohm", "top_x")
    }
    of_members.update({n: index[n] for n in ("rise_of", "certain_of", "possible_of")})
    members = Members(**of_members)
    network = EnvelopeNetwork(
        circuit_of_string=np.repeat(np.arange(len(groups)), [g.is_voltage.size for g in groups]),
        inner=tree,
        inner_group=np.concatenate(inner_group),
        members=members,
        heads=np.concatenate(heads),
        is_voltage=np.concatenate([g.is_voltage for g in groups]),
        full_V=np.concatenate([g.full_V for g in groups]),
        **{n: index[n] for n in ("state_inner", "state_string", "inner_voltage", "limiter")},
    )
    names = ("cold_ohm", "rise_per_x", "threshold_A", "tau_s", "burn_open", "after_ohm", "x")
    of_bridges: dict[str, Any] = {
        n: np.concatenate([getattr(g.bridges, n) for g in groups])
        for n in (*names, "lit", "parted", "cooling", "fall_per_As")
    }
    bridges = EnvelopeBridges(string=np.concatenate(strings_of), **of_bridges)
    return network, bridges, np.array(bounds)


_SHIFTED = (
    "rise_of",
    "certain_of",
    "possible_of",
    "inner_voltage",
    "state_inner",
    "limiter",
    "state_string",
)


def _joined_supply(parts: Sequence[SupplyArrays]) -> SupplyArrays:
    names = (
        "emf_V",
        "internal_ohm",
        "limit_A",
        "short_circuit_A",
        "nominal_V",
        "capacitance_F",
    )
    values: dict[str, Any] = {n: np.concatenate([getattr(p, n) for p in parts]) for n in names}
    return SupplyArrays(**values)
