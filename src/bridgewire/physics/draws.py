"""Many draws of one circuit: its shape once, its numbers per draw, and what became of them."""

from __future__ import annotations

from typing import Protocol

import numpy as np
from attrs import field, frozen
from numpy.typing import ArrayLike

from bridgewire.physics.network import Bools, Floats, Ints
from bridgewire.physics.supply import SupplyArrays

CHECK_TOLERANCE = 1e-4
"""Largest estimated error of x in one step, as a check uses it; see `run_transient`."""


def _floats(value: ArrayLike) -> Floats:
    return np.ascontiguousarray(value, dtype=np.float64)


def _ints(value: ArrayLike) -> Ints:
    return np.ascontiguousarray(value, dtype=np.intp)


def _bools(value: ArrayLike) -> Bools:
    return np.ascontiguousarray(value, dtype=np.bool_)


def _rows(value: ArrayLike) -> Floats:
    return np.atleast_2d(_floats(value))


@frozen(eq=False)
class CircuitShape:
    """What all draws of a circuit have in common.

    Parameters
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

    Examples
    --------
    Two strings, the second one node further from the supply, both switched on throughout:

    >>> CircuitShape([-1, 0, 1], [1, 2], [0, 1], [[True], [True]]).string_on.shape
    (2, 1)
    >>> CircuitShape([-1, 0], [2], [0], [[True]])
    Traceback (most recent call last):
        ...
    ValueError: a string hangs on a node that is not there
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
    """The numbers of each draw; meanings as in `TreeNetwork`, `SupplyArrays` and `Bridges`.

    Parameters
    ----------
    branch_ohm : array, shape (draws, nodes)
        Loop resistance between each node and its parent, ohm; unused for node 0.
    string_fixed_ohm : array, shape (draws, strings)
        What is in series with the bridges of each string, ohm.
    drop_V : array, shape (draws,)
        Constant drop of the series diodes, V.
    supply : SupplyArrays
        Of one element per draw, without models from outside.
    cold_ohm, rise_per_x, threshold_A, tau_s : array, shape (draws, bridges)
        Constants of the bridges: ohm, relative rise, A, s.
    burn_open, after_ohm : array, shape (draws, bridges)
        The x at which each bridge parts, and its resistance from then on, ohm; both may be ``inf``.
    x : array, shape (draws, bridges)
        Temperature rise at the start over the rise that lights; not changed.
    lit, parted : bool array, shape (draws, bridges)
        State at the start; not changed.

    Examples
    --------
    Two draws of one bridge, which differ in its threshold current:

    >>> one, two = np.ones((2, 1)), np.ones(2)
    >>> values = DrawValues(
    ...     0 * one, 0 * one, 0 * two, SupplyArrays.plain(0.6, 0.0, 2), one, 0 * one,
    ...     [[0.4], [0.5]], 0.02 * one, np.inf * one, np.inf * one, 0 * one, 0 * one, 0 * one)
    >>> values.draws
    2
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
class Draws:
    """Many draws of one circuit with the times of its switching: what a run is made of.

    Parameters
    ----------
    shape : CircuitShape
        What they have in common.
    values : DrawValues
        What differs.
    boundaries_s : array, shape (segments + 1,) or (draws, segments + 1)
        Rising times at which segments begin and end, s: for all draws, or for each its own. Kept
        as rows.

    Raises
    ------
    ValueError
        If shapes do not fit.

    Examples
    --------
    A bridge with a threshold of 0.4 A and then of 0.5 A at a constant 0.6 A for 0.1 s:

    >>> one, two = np.ones((2, 1)), np.ones(2)
    >>> values = DrawValues(
    ...     0 * one, 0 * one, 0 * two, SupplyArrays.plain(0.6, 0.0, 2), one, 0 * one,
    ...     [[0.4], [0.5]], 0.02 * one, np.inf * one, np.inf * one, 0 * one, 0 * one, 0 * one)
    >>> draws = Draws(CircuitShape([-1], [0], [0], [[True]]), values, [0.0, 0.1])
    >>> draws.boundaries_s.shape
    (1, 2)
    """

    shape: CircuitShape
    values: DrawValues
    boundaries_s: Floats = field(converter=_rows)

    def __attrs_post_init__(self) -> None:
        self.values.check(self.shape)
        rows, columns = self.boundaries_s.shape
        if rows not in (1, self.values.draws) or columns != self.shape.string_on.shape[1] + 1:
            raise ValueError(
                f"boundaries: shape {self.boundaries_s.shape}, expected 1 or {self.values.draws} "
                "rows of segments + 1"
            )


@frozen(eq=False)
class DrawOutcome:
    """What happened in each draw; meanings as in `bridgewire.physics.outcome.Outcome`.

    Parameters
    ----------
    light_s, part_s : array, shape (draws, bridges)
        Times on the clock of the boundaries, s; ``nan`` where it did not happen.
    light_A, light_u : array, shape (draws, bridges)
        Current (A) and heating at ignition; ``nan`` where it did not happen.
    peak_x, peak_A : array, shape (draws, bridges)
        Largest rise over the rise that lights, and current (A) of the bridge's string.
    peak_supply_A, lowest_supply_V : array, shape (draws,)
        Highest current (A) and lowest voltage (V) at the supply's terminals.
    limited : bool array, shape (draws,)
        Whether the supply's limit was in force at any time.
    charge_C, end_emf_V : array, shape (draws,)
        Charge that the supply gave (C) and its source voltage at the end (V).
    x : array, shape (draws, bridges)
        Rise over the rise that lights, at the end.
    lit, parted : bool array, shape (draws, bridges)
        State at the end.

    Examples
    --------
    >>> empty_outcome(draws=2, bridges=3).light_s.shape
    (2, 3)
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
    """What `run_draws_numpy` and its compiled counterpart have in common.

    Examples
    --------
    >>> from bridgewire.physics.many_draws import run_draws_numpy
    >>> run: RunDraws = run_draws_numpy
    """

    def __call__(
        self, draws: Draws, *, tolerance: float = CHECK_TOLERANCE, threads: int = 1
    ) -> DrawOutcome:
        """Run all draws of a circuit."""


def empty_outcome(draws: int, bridges: int) -> DrawOutcome:
    """Make the arrays of an outcome, unfilled.

    Parameters
    ----------
    draws, bridges : int
        How many draws, and how many bridges the circuit has.

    Returns
    -------
    DrawOutcome
        Of arrays with values that mean nothing.

    Examples
    --------
    >>> empty_outcome(draws=10, bridges=4).limited.shape
    (10,)
    """

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
