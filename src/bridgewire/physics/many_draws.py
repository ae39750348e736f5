"""Many draws of one circuit: its shape once, its numbers per draw, and their run by numpy.

`bridgewire.physics.compiled` runs the same in machine code.
"""

from __future__ import annotations

from typing import Any, Protocol, TypeVar

import numpy as np
from attrs import field, frozen
from numpy.typing import ArrayLike, NDArray

from bridgewire.physics.bridges import Bridges
from bridgewire.physics.network import Bools, Floats, Ints
from bridgewire.physics.supply import SupplyArrays
from bridgewire.physics.transient import run_transient
from bridgewire.physics.tree import TreeNetwork, order_nodes

MOST_AT_ONCE = 20_000
"""Circuits in one batch of the numpy path."""

T = TypeVar("T", bound=np.generic)


def _floats(value: ArrayLike) -> Floats:
    return np.ascontiguousarray(value, dtype=np.float64)


def _ints(value: ArrayLike) -> Ints:
    return np.ascontiguousarray(value, dtype=np.intp)


def _bools(value: ArrayLike) -> Bools:
    return np.ascontiguousarray(value, dtype=np.bool_)


@frozen(eq=False)
class CircuitShape:
    """What all draws of a circuit have in common.

    Attributes
    ----------
    parent : int array, shape (nodes,)
        Parent of each node; -1 for node 0, the supply's terminals. Every parent stands before its
        children.
    string_node : int array, shape (strings,)
        Node on which each string hangs.
    string_of_bridge : int array, shape (bridges,)
        String of each bridge, rising; every string has at least one.
    string_on : bool array, shape (strings, segments)
        Whether the string's way is switched on in each segment.

    Raises
    ------
    ValueError
        If the arrays do not describe a tree with strings on it.
    """

    parent: Ints = field(converter=_ints)
    string_node: Ints = field(converter=_ints)
    string_of_bridge: Ints = field(converter=_ints)
    string_on: Bools = field(converter=_bools)

    def __attrs_post_init__(self) -> None:
        nodes, strings = self.parent.size, self.string_node.size
        inner = self.parent[1:]
        if (
            not nodes
            or self.parent[0] != -1
            or np.any((inner < 0) | (inner >= np.arange(1, nodes)))
        ):
            raise ValueError("node 0 is the root, and every parent stands before its children")
        if np.any((self.string_node < 0) | (self.string_node >= nodes)):
            raise ValueError("a string hangs on a node that is not there")
        if not np.array_equal(np.unique(self.string_of_bridge), np.arange(strings)) or np.any(
            np.diff(self.string_of_bridge) < 0
        ):
            raise ValueError("strings of bridges must rise from 0 without gaps")
        if self.string_on.ndim != 2 or self.string_on.shape[0] != strings:
            raise ValueError("string_on has the shape (strings, segments)")


@frozen(eq=False)
class DrawValues:
    """The numbers of each draw; units and meanings as in `TreeNetwork`, `SupplyArrays`, `Bridges`.

    Attributes
    ----------
    branch_ohm : array, shape (draws, nodes)
        Unused for node 0.
    string_fixed_ohm : array, shape (draws, strings)
    drop_V : array, shape (draws,)
    supply : SupplyArrays
        Of one element per draw, without models from outside.
    cold_ohm, rise_per_x, threshold_A, tau_s, burn_open, after_ohm : arrays, shape (draws, bridges)
    x : array, shape (draws, bridges)
        State at the start; not changed.
    lit, parted : bool arrays, shape (draws, bridges)
        State at the start.
    """

    branch_ohm: Floats = field(converter=_floats)
    string_fixed_ohm: Floats = field(converter=_floats)
    drop_V: Floats = field(converter=_floats)
    supply: SupplyArrays
    cold_ohm: Floats = field(converter=_floats)
    rise_per_x: Floats = field(converter=_floats)
    threshold_A: Floats = field(converter=_floats)
    tau_s: Floats = field(converter=_floats)
    burn_open: Floats = field(converter=_floats)
    after_ohm: Floats = field(converter=_floats)
    x: Floats = field(converter=_floats)
    lit: Bools = field(converter=_bools)
    parted: Bools = field(converter=_bools)

    @property
    def draws(self) -> int:
        """How many there are."""
        return self.drop_V.size

    def check(self, shape: CircuitShape) -> None:
        """Raise ValueError where the numbers do not fit the shape."""
        draws = self.draws
        per_bridge = (draws, shape.string_of_bridge.size)
        wanted: dict[str, tuple[int, ...]] = {
            "branch_ohm": (draws, shape.parent.size),
            "string_fixed_ohm": (draws, shape.string_node.size),
            "drop_V": (draws,),
            **dict.fromkeys(PER_BRIDGE, per_bridge),
        }
        for name, size in wanted.items():
            if getattr(self, name).shape != size:
                raise ValueError(f"{name}: shape {getattr(self, name).shape}, expected {size}")
        if self.supply.emf_V.shape != (draws,):
            raise ValueError(f"supply: {self.supply.emf_V.size} elements, expected {draws}")
        if self.supply.laws:
            raise ValueError("draws of one shape take no supply models from outside")

    def part(self, start: int, stop: int) -> DrawValues:
        """Some of the draws."""
        names = ("branch_ohm", "string_fixed_ohm", "drop_V", *PER_BRIDGE)
        return DrawValues(
            supply=self.supply.take(np.arange(start, min(stop, self.draws))),
            **{name: getattr(self, name)[start:stop] for name in names},
        )


PER_BRIDGE = (
    "cold_ohm",
    "rise_per_x",
    "threshold_A",
    "tau_s",
    "burn_open",
    "after_ohm",
    "x",
    "lit",
    "parted",
)
"""Fields of `DrawValues` of shape (draws, bridges)."""


@frozen(eq=False)
class DrawOutcome:
    """What happened in each draw; meanings as in `bridgewire.physics.transient.Outcome`.

    Attributes
    ----------
    light_s, part_s, light_A, light_u, peak_x, peak_A : arrays, shape (draws, bridges)
        Times, s, on the clock of the boundaries; ``nan`` where it did not happen.
    peak_supply_A, lowest_supply_V, limited, charge_C, end_emf_V : arrays, shape (draws,)
    x, lit, parted : arrays, shape (draws, bridges)
        State at the end.
    """

    light_s: Floats
    part_s: Floats
    light_A: Floats
    light_u: Floats
    peak_x: Floats
    peak_A: Floats
    peak_supply_A: Floats
    lowest_supply_V: Floats
    limited: Bools
    charge_C: Floats
    end_emf_V: Floats
    x: Floats
    lit: Bools
    parted: Bools


class RunDraws(Protocol):
    """What `run_draws_numpy` and its compiled counterpart have in common."""

    def __call__(
        self,
        shape: CircuitShape,
        values: DrawValues,
        boundaries_s: Floats,
        *,
        tolerance: float = 1e-4,
        threads: int = 1,
    ) -> DrawOutcome:
        """Run all draws of a circuit."""


def rows_of(boundaries_s: Floats, shape: CircuitShape, draws: int) -> Floats:
    """Boundaries as rows: one for all draws, or one each; raises ValueError for other shapes."""
    rows = np.atleast_2d(_floats(boundaries_s))
    if rows.shape[0] not in (1, draws) or rows.shape[1] != shape.string_on.shape[1] + 1:
        raise ValueError(
            f"boundaries: shape {rows.shape}, expected 1 or {draws} rows of segments + 1"
        )
    return rows


def run_draws_numpy(
    shape: CircuitShape,
    values: DrawValues,
    boundaries_s: Floats,
    *,
    tolerance: float = 1e-4,
    threads: int = 1,
) -> DrawOutcome:
    """Run all draws of a circuit by `run_transient`.

    Parameters
    ----------
    shape : CircuitShape
    values : DrawValues
    boundaries_s : array, shape (segments + 1,) or (draws, segments + 1)
        Rising times at which segments begin and end, s.
    tolerance : float
        As in `run_transient`.
    threads : int
        Not used: numpy's small operations do not run beside each other.

    Returns
    -------
    DrawOutcome

    Raises
    ------
    ValueError
        If shapes do not fit.

    Notes
    -----
    Range of validity and method as in `run_transient`.

    Examples
    --------
    Two igniters with a threshold of 0.4 A and 0.5 A at a constant 0.6 A:

    >>> one, two = np.ones((2, 1)), np.ones(2)
    >>> shape = CircuitShape([-1], [0], [0], [[True]])
    >>> values = DrawValues(
    ...     0 * one, 0 * one, 0 * two, SupplyArrays.plain(0.6, 0.0, 2), one, 0 * one,
    ...     [[0.4], [0.5]], 0.02 * one, np.inf * one, np.inf * one, 0 * one, 0 * one, 0 * one)
    >>> (run_draws_numpy(shape, values, [0.0, 0.1]).light_s * 1e3).round(4).tolist()
    [[11.7557], [23.7125]]
    """
    values.check(shape)
    rows = rows_of(boundaries_s, shape, values.draws)
    parts = [
        _run_part(
            shape,
            values.part(start, start + MOST_AT_ONCE),
            rows if rows.shape[0] == 1 else rows[start : start + MOST_AT_ONCE],
            tolerance,
        )
        for start in range(0, values.draws, MOST_AT_ONCE)
    ]
    if len(parts) == 1:
        return parts[0]
    if not parts:
        return empty_outcome(0, shape.string_of_bridge.size)
    names = [a.name for a in DrawOutcome.__attrs_attrs__]
    return DrawOutcome(**{n: np.concatenate([getattr(p, n) for p in parts]) for n in names})


def _run_part(
    shape: CircuitShape, values: DrawValues, rows: Floats, tolerance: float
) -> DrawOutcome:
    """One batch of draws as one forest."""
    draws, nodes = values.draws, shape.parent.size
    strings, bridges = shape.string_node.size, shape.string_of_bridge.size

    def each(numbers: Ints, step: int) -> Ints:
        return (numbers[None, :] + step * np.arange(draws)[:, None]).ravel()

    parent = each(shape.parent, nodes)
    parent[::nodes] = -1
    order = order_nodes(parent)
    place = np.empty_like(order)
    place[order] = np.arange(order.size)
    sorted_parent = parent[order]
    network = TreeNetwork(
        parent=np.where(sorted_parent < 0, -1, place[sorted_parent]),
        branch_ohm=values.branch_ohm.ravel()[order],
        circuit_of_node=np.repeat(np.arange(draws), nodes)[order],
        string_node=place[each(shape.string_node, nodes)],
        string_fixed_ohm=values.string_fixed_ohm.ravel(),
        string_on=np.tile(shape.string_on, (draws, 1)),
        drop_V=values.drop_V,
        supply=values.supply,
    )

    def flat(array: NDArray[T]) -> NDArray[T]:
        return array.ravel().copy()

    start: dict[str, Any] = {name: flat(getattr(values, name)) for name in PER_BRIDGE}
    state = Bridges(each(shape.string_of_bridge, strings), **start)
    boundaries = np.ascontiguousarray(np.broadcast_to(rows, (draws, rows.shape[1])))
    out = run_transient(network, state, boundaries, tolerance=tolerance)
    per_bridge: dict[str, Any] = {
        name: getattr(out, name).reshape(draws, bridges)
        for name in ("light_s", "part_s", "light_A", "light_u", "peak_x", "peak_A")
    }
    end: dict[str, Any] = {
        name: getattr(state, name).reshape(draws, bridges) for name in ("x", "lit", "parted")
    }
    per_draw = ("peak_supply_A", "lowest_supply_V", "limited", "charge_C", "end_emf_V")
    return DrawOutcome(**per_bridge, **end, **{name: getattr(out, name) for name in per_draw})


def empty_outcome(draws: int, bridges: int) -> DrawOutcome:
    """Unfilled arrays of an outcome."""

    def numbers() -> Floats:
        return np.empty((draws, bridges))

    def flags() -> Bools:
        return np.empty((draws, bridges), dtype=np.bool_)

    return DrawOutcome(
        light_s=numbers(),
        part_s=numbers(),
        light_A=numbers(),
        light_u=numbers(),
        peak_x=numbers(),
        peak_A=numbers(),
        peak_supply_A=np.empty(draws),
        lowest_supply_V=np.empty(draws),
        limited=np.empty(draws, dtype=np.bool_),
        charge_C=np.empty(draws),
        end_emf_V=np.empty(draws),
        x=numbers(),
        lit=flags(),
        parted=flags(),
    )
