"""Many draws of one circuit, run by numpy.

`bridgewire.physics.compiled` runs the same in machine code.
"""

from __future__ import annotations

from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from bridgewire.physics.bridges import Bridges
from bridgewire.physics.draws import (
    CHECK_TOLERANCE,
    PER_BRIDGE,
    CircuitShape,
    DrawOutcome,
    Draws,
    DrawValues,
    empty_outcome,
)
from bridgewire.physics.network import Floats, Ints
from bridgewire.physics.transient import run_transient
from bridgewire.physics.tree import TreeNetwork

MOST_AT_ONCE = 20_000
"""Circuits in one batch of the numpy path."""

T = TypeVar("T", bound=np.generic)


def run_draws_numpy(
    draws: Draws, *, tolerance: float = CHECK_TOLERANCE, threads: int = 1
) -> DrawOutcome:
    """Run all draws of a circuit by `run_transient`.

    Parameters
    ----------
    draws : Draws
        They are not changed.
    tolerance : float
        As in `run_transient`, whose method, range of validity and accuracy hold here.
    threads : int
        Not used: numpy's small operations do not run beside each other.

    Returns
    -------
    DrawOutcome
        Of every draw, in their order.

    See Also
    --------
    bridgewire.physics.compiled.run_draws : The same in machine code.

    Examples
    --------
    A bridge with a threshold of 0.4 A and then of 0.5 A at a constant 0.6 A lights after
    ``-tau ln(1 - (I0/I)^2)``:

    >>> from bridgewire.physics.supply import SupplyArrays
    >>> one, two = np.ones((2, 1)), np.ones(2)
    >>> values = DrawValues(
    ...     0 * one, 0 * one, 0 * two, SupplyArrays.plain(0.6, 0.0, 2), one, 0 * one,
    ...     [[0.4], [0.5]], 0.02 * one, np.inf * one, np.inf * one, 0 * one, 0 * one, 0 * one)
    >>> draws = Draws(CircuitShape([-1], [0], [0], [[True]]), values, [0.0, 0.1])
    >>> (run_draws_numpy(draws).light_s * 1e3).round(4).tolist()
    [[11.7557], [23.7125]]
    """
    shape, values, rows = draws.shape, draws.values, draws.boundaries_s
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
    network, _ = TreeNetwork.in_any_order(
        parent=parent,
        branch_ohm=values.branch_ohm.ravel(),
        circuit_of_node=np.repeat(np.arange(draws), nodes),
        string_node=each(shape.string_node, nodes),
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
