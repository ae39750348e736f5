"""The transient in machine code, where numba is installed; the same answers by numpy elsewhere.

`run_compiled` stands beside `bridgewire.physics.transient.run_transient` for trees without models
from outside, `run_draws` beside `bridgewire.physics.many_draws.run_draws_numpy`. numba is imported
only when it is asked for; ``BRIDGEWIRE_COMPILED=0`` in the environment does without it.
"""

from __future__ import annotations

import functools
import importlib
import itertools
import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from types import ModuleType
from typing import TYPE_CHECKING

import numpy as np

from bridgewire.errors import ModelRangeError
from bridgewire.physics._packing import arguments, numbers_of, structure_of
from bridgewire.physics.bridges import Bridges
from bridgewire.physics.draws import (
    CHECK_TOLERANCE,
    DrawOutcome,
    Draws,
    RunDraws,
    empty_outcome,
)
from bridgewire.physics.many_draws import run_draws_numpy
from bridgewire.physics.network import Floats, Ints, Network
from bridgewire.physics.outcome import Outcome
from bridgewire.physics.tree import TreeNetwork

if TYPE_CHECKING:
    from bridgewire.physics._kernel.arrays import Results

SWITCH = "BRIDGEWIRE_COMPILED"
"""Environment variable; 0 turns the compiled path off."""
LEAST_PER_THREAD = 64
"""Fewer circuits than this are done sooner than a thread is started."""


@functools.cache
def _kernel() -> ModuleType | None:
    """The compiled code, or None without a numba that works with this numpy."""
    try:
        return importlib.import_module("bridgewire.physics._kernel.run")
    except ImportError:
        return None


def compiled_available() -> bool:
    """Tell whether machine code can be had here.

    Imports numba, which takes some 0.4 s the first time, unless ``BRIDGEWIRE_COMPILED=0`` forbids
    it.

    Returns
    -------
    bool
        False without a numba that works with this numpy.

    Examples
    --------
    >>> compiled_available() or best_run_draws() is run_draws_numpy
    True
    """
    return os.environ.get(SWITCH) != "0" and _kernel() is not None


def can_compile(network: Network, bridges: Bridges) -> bool:
    """Tell whether `run_compiled` can take a batch.

    Parameters
    ----------
    network : Network
        The circuits: they must be a forest, without supply models from outside.
    bridges : Bridges
        Their igniters, without models from outside.

    Returns
    -------
    bool
        False for what only `run_transient` can take, and without numba.

    Examples
    --------
    >>> from bridgewire.physics.supply import SupplyArrays
    >>> one, none = np.ones(1), np.zeros(1, dtype=np.intp)
    >>> no = np.zeros(1, dtype=bool)
    >>> net = TreeNetwork(np.array([-1]), 0 * one, none, none, 0 * one, ~no[None], 0 * one,
    ...                   SupplyArrays.plain(0.6, 0.0))
    >>> bridge = Bridges(none, one, 0 * one, 0.4 * one, 0.02 * one, one, one, 0 * one, no, no)
    >>> can_compile(net, bridge) == compiled_available()
    True
    """
    return (
        isinstance(network, TreeNetwork)
        and not bridges.laws
        and not network.supply.laws
        and compiled_available()
    )


def best_run_draws() -> RunDraws:
    """Choose the faster of `run_draws` and `run_draws_numpy` that works here.

    Returns
    -------
    RunDraws
        One of the two; they give the same answers, see `run_draws`.

    Examples
    --------
    >>> best_run_draws() in (run_draws, run_draws_numpy)
    True
    """
    return run_draws if compiled_available() else run_draws_numpy


def _required() -> ModuleType:
    kernel = _kernel()
    if kernel is None:
        raise ModuleNotFoundError("the compiled path needs numba: pip install 'bridgewire[fast]'")
    return kernel


def _in_threads(run: Callable[[int, int], None], count: int, threads: int) -> None:
    """Share `count` circuits between threads; each circuit's answer is the same for any number."""
    threads = min(threads, count // LEAST_PER_THREAD)
    if threads <= 1:
        run(0, count)
        return
    # Several pieces for each thread, since some circuits take longer than others.
    edges = np.linspace(0, count, min(4 * threads, count) + 1).astype(int).tolist()
    with ThreadPoolExecutor(threads) as pool:
        for done in [pool.submit(run, a, b) for a, b in itertools.pairwise(edges)]:
            done.result()


def _check(results: Results, circuit_of_bridge: Ints, most: int) -> None:
    """Raise where a circuit could not be followed."""
    lost = results.steps >= most
    lost[circuit_of_bridge[~np.isfinite(results.x)]] = True
    if lost.any():
        raise ModelRangeError(
            f"circuit {int(np.flatnonzero(lost)[0])} cannot be followed to its end: its numbers"
            " are not those of a circuit"
        )


def run_draws(draws: Draws, *, tolerance: float = CHECK_TOLERANCE, threads: int = 1) -> DrawOutcome:
    """Run all draws of a circuit in machine code.

    Parameters
    ----------
    draws : Draws
        They are not changed.
    tolerance : float
        As in `run_transient`, whose method and range of validity hold here.
    threads : int
        Threads that share the draws. The answer does not depend on their number.

    Returns
    -------
    DrawOutcome
        Of every draw, in their order.

    Raises
    ------
    ModelRangeError
        If a draw cannot be followed to its end, as one with a ``nan`` cannot.
    ModuleNotFoundError
        Without numba.

    See Also
    --------
    bridgewire.physics.many_draws.run_draws_numpy : The same by numpy.

    Notes
    -----
    A draw takes the same steps as in `run_transient`, and event times differ by rounding (tests:
    1e-9 of the time), except where rounding sways the steps of a bridge that has come to rest; then
    they differ within the tolerance.

    Examples
    --------
    A bridge with a threshold of 0.4 A and then of 0.5 A at a constant 0.6 A:

    >>> from bridgewire.physics.draws import CircuitShape, DrawValues
    >>> from bridgewire.physics.supply import SupplyArrays
    >>> one, two = np.ones((2, 1)), np.ones(2)
    >>> values = DrawValues(
    ...     0 * one, 0 * one, 0 * two, SupplyArrays.plain(0.6, 0.0, 2), one, 0 * one,
    ...     [[0.4], [0.5]], 0.02 * one, np.inf * one, np.inf * one, 0 * one, 0 * one, 0 * one)
    >>> draws = Draws(CircuitShape([-1], [0], [0], [[True]]), values, [0.0, 0.1])
    >>> (best_run_draws()(draws).light_s * 1e3).round(4).tolist()
    [[11.7557], [23.7125]]
    """
    kernel = _required()
    shape, values = draws.shape, draws.values
    count, strings, bridges = values.draws, shape.string_node.size, shape.string_of_bridge.size
    structure = kernel.Structure(
        np.array([0, shape.parent.size]),
        np.array([0, strings]),
        shape.parent,
        shape.string_node,
        np.searchsorted(shape.string_of_bridge, np.arange(strings + 1)),
        shape.string_on,
        draws.boundaries_s,
    )
    numbers = numbers_of(
        kernel, values.branch_ohm, values.string_fixed_ohm, values.supply, values.drop_V, values
    )
    out = empty_outcome(count, bridges)
    out.x[:], out.lit[:], out.parted[:] = values.x, values.lit, values.parted
    steps = np.zeros(count, dtype=np.intp)
    results: Results = kernel.Results(
        *(a.ravel() for a in (out.x, out.lit, out.parted, out.light_s, out.part_s, out.light_A)),
        *(a.ravel() for a in (out.light_u, out.peak_x, out.peak_A)),
        np.empty(0),
        *(out.peak_supply_A, out.lowest_supply_V, out.limited, out.charge_C, out.end_emf_V, steps),
    )
    plain = arguments(structure, numbers, results, tolerance)

    def run(start: int, stop: int) -> None:
        kernel.run_range(start, stop, True, *plain)

    _in_threads(run, count, threads)
    _check(results, np.repeat(np.arange(count), bridges), kernel.MOST_STEPS)
    return out


def run_compiled(
    network: TreeNetwork,
    bridges: Bridges,
    boundaries_s: Floats,
    *,
    tolerance: float = 1e-6,
    threads: int = 1,
) -> Outcome:
    """Step all circuits of a forest through their segments, in machine code.

    Parameters
    ----------
    network : TreeNetwork
        The circuits.
    bridges : Bridges
        Their igniters with the state at the start; `x`, `lit` and `parted` are replaced by the
        state at the end.
    boundaries_s : array, shape (circuits, segments + 1)
        Rising times at which segments begin and end, s, as in `run_transient`.
    tolerance : float
        As in `run_transient`, whose method and range of validity hold here.
    threads : int
        Threads that share the circuits. The answer does not depend on their number.

    Returns
    -------
    Outcome
        As from `run_transient`, without snapshots; `steps` are those of the busiest circuit.

    Raises
    ------
    ValueError
        If a model from outside takes part; see `can_compile`.
    ModelRangeError
        If a circuit cannot be followed to its end, as one with a ``nan`` cannot.
    ModuleNotFoundError
        Without numba.

    Notes
    -----
    A circuit takes the same steps as in `run_transient`, and event times differ by rounding (tests:
    1e-9 of the time), except where rounding sways the steps of a bridge that has come to rest; then
    they differ within the tolerance.

    Examples
    --------
    One bridge of 1 Ω, I0 = 0.4 A, tau = 20 ms at a constant 0.6 A:

    >>> from bridgewire.physics.supply import SupplyArrays
    >>> one, yes = np.ones(1), np.ones((1, 1), dtype=bool)
    >>> zero = np.zeros(1, dtype=np.intp)
    >>> net = TreeNetwork(np.array([-1]), 0 * one, zero, zero, 0 * one, yes, 0 * one,
    ...                   SupplyArrays.plain(0.6, 0.0))
    >>> bridge = Bridges(zero, one, 0 * one, 0.4 * one, 0.02 * one, np.inf * one, np.inf * one,
    ...                  0 * one, ~yes[0], ~yes[0])
    >>> from bridgewire.physics.transient import run_transient
    >>> run = run_compiled if can_compile(net, bridge) else run_transient
    >>> out = run(net, bridge, np.array([[0.0, 0.1]]))
    >>> round(float(out.light_s[0]) * 1e3, 4)
    11.7557
    """
    kernel = _required()
    if bridges.laws or network.supply.laws:
        raise ValueError("models from outside are not compiled")
    count, total = network.drop_V.size, bridges.x.size
    order = np.argsort(network.circuit_of_node, kind="stable")
    structure = structure_of(kernel, network, bridges, order, boundaries_s)
    numbers = numbers_of(
        kernel,
        network.branch_ohm[order],
        network.string_fixed_ohm,
        network.supply,
        network.drop_V,
        bridges,
    )
    light_s, part_s, light_A, light_u, peak_x, peak_A = (np.empty(total) for _ in range(6))
    branch_A = np.empty(order.size)
    supply_A, lowest_V, charge_C, emf_V = (np.empty(count) for _ in range(4))
    limited, steps = np.empty(count, dtype=np.bool_), np.zeros(count, dtype=np.intp)
    results: Results = kernel.Results(
        *(bridges.x.copy(), bridges.lit.copy(), bridges.parted.copy()),
        *(light_s, part_s, light_A, light_u, peak_x, peak_A, branch_A),
        *(supply_A, lowest_V, limited, charge_C, emf_V, steps),
    )
    plain = arguments(structure, numbers, results, tolerance)

    def run(start: int, stop: int) -> None:
        kernel.run_range(start, stop, False, *plain)

    _in_threads(run, count, threads)
    _check(results, network.circuit_of_string[bridges.string], kernel.MOST_STEPS)
    bridges.x[:], bridges.lit[:], bridges.parted[:] = results.x, results.lit, results.parted
    peak_branch_A = np.empty_like(branch_A)
    peak_branch_A[order] = branch_A
    return Outcome(
        light_s=light_s,
        part_s=part_s,
        light_A=light_A,
        light_u=light_u,
        peak_x=peak_x,
        peak_A=peak_A,
        peak_supply_A=supply_A,
        lowest_supply_V=lowest_V,
        limited=limited,
        charge_C=charge_C,
        end_emf_V=emf_V,
        peak_branch_A=peak_branch_A,
        steps=int(steps.max(initial=0)),
    )
