"""Scenarios per second of the transient solver beside ngspice and scipy, at equal accuracy.

Run it from the root of the project: ``python tests/benchmarks/transient_ratio.py``. It measures
both of our paths, numpy and compiled (with numba), in the one run.

The scenarios are draws of the reference ladder: every igniter, segment and source resistance with
its own scatter. Each solver's event-time error is measured against scipy at 1e-10 on the first
draws and printed beside its speed. Everything runs on one core, and what is counted is processor
time, so that other work on the machine does not disturb the ratios. For each accuracy that an
outside solver reaches, our loosest tolerance that is at least as accurate is taken, and none
looser than the goal asks for: 500 times ngspice's loosest run, event times within 1e-4.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import numpy as np
from attrs import evolve, frozen

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[2]))

from bridgewire.physics.bridges import Bridges
from bridgewire.physics.compiled import compiled_available, run_draws
from bridgewire.physics.draws import PER_BRIDGE, CircuitShape, Draws, DrawValues, RunDraws
from bridgewire.physics.many_draws import run_draws_numpy
from bridgewire.physics.tree import TreeNetwork
from tests.oracles import netlist, ours, reference
from tests.oracles.case import Case, Events, Rng, reference_ladder

CHECKED = 20
"""Draws whose event times are compared."""
BATCHES = (1, 100, 10_000)
OUTSIDE_S = 1.5
"""Time given to each outside solver."""
GOAL, GOAL_ERROR = 500.0, 1e-4
TOLERANCES = (1e-3, 3e-4, 1e-4, 3e-5, 1e-5, 1e-6, 1e-7)
NGSPICE = {"loose": (1e-3, 100.0), "medium": (1e-4, 200.0), "tight": (1e-6, 2000.0)}
"""Relative tolerance and least time points of ngspice."""
SCIPY = {"loose": 1e-4, "medium": 1e-6, "tight": 1e-8}


def draws(count: int) -> list[Case]:
    """The reference ladder with scatter."""
    rng = np.random.default_rng(2024)
    return [_scatter(reference_ladder(), rng) for _ in range(count)]


def _scatter(case: Case, rng: Rng) -> Case:
    def near(value: float, relative: float) -> float:
        return float(value * (1.0 + relative * rng.standard_normal()))

    strings = tuple(
        evolve(
            string,
            igniters=tuple(
                evolve(
                    igniter,
                    cold_ohm=near(igniter.cold_ohm, 0.03),
                    heat_J_per_K=near(igniter.heat_J_per_K, 0.05),
                    loss_W_per_K=near(igniter.loss_W_per_K, 0.05),
                    light_K=near(igniter.light_K, 0.03),
                    open_K=near(igniter.open_K, 0.03),
                )
                for igniter in string.igniters
            ),
        )
        for string in case.strings
    )
    return evolve(
        case,
        source=evolve(case.source, internal_ohm=near(0.3, 0.1)),
        branches=tuple(evolve(b, ohm=near(b.ohm, 0.02)) for b in case.branches),
        strings=strings,
    )


@frozen
class Figure:
    """Speed and error of one solver at one setting."""

    label: str
    per_second: float
    error: float

    def line(self) -> str:
        return f"  {self.label:42s} {self.per_second:12.1f} /s    event-time error {self.error:.1e}"


def outside(
    label: str, solve: Callable[[Case], Events], cases: Sequence[Case], exact: Sequence[Events]
) -> Figure:
    """Time one solver that takes a case at a time."""
    error = max(solve(c).worst_error(e) for c, e in zip(cases, exact, strict=False))
    start, done = time.process_time(), 0
    while time.process_time() - start < OUTSIDE_S:
        solve(cases[done % len(cases)])
        done += 1
    return Figure(label, done / (time.process_time() - start), error)


def shape_and_values(network: TreeNetwork, state: Bridges) -> tuple[CircuitShape, DrawValues]:
    """A forest of equal circuits as draws of one."""
    draws = network.drop_V.size
    order = np.argsort(network.circuit_of_node, kind="stable")
    nodes, strings = order.size // draws, network.string_node.size // draws
    place = np.empty_like(order)
    place[order] = np.arange(order.size)
    parent = network.parent[order[:nodes]]
    per_bridge = {name: getattr(state, name).reshape(draws, -1) for name in PER_BRIDGE}
    shape = CircuitShape(
        np.where(parent < 0, -1, place[parent]),
        place[network.string_node[:strings]],
        state.string[: state.x.size // draws],
        network.string_on[:strings],
    )
    values = DrawValues(
        network.branch_ohm[order].reshape(draws, nodes),
        network.string_fixed_ohm.reshape(draws, strings),
        network.drop_V,
        network.supply,
        **per_bridge,
    )
    return shape, values


class Own:
    """Our paths on batches of the same draws, without the making of their input arrays."""

    def __init__(self, cases: Sequence[Case], exact: Sequence[Events]) -> None:
        network, state = ours.tree_network(cases), ours.bridges(cases)
        self.shape, self.values = shape_and_values(network, state)
        self.bounds = np.array(cases[0].boundaries_s)
        self.exact = exact

    def figure(self, path: str, run: RunDraws, count: int, tolerance: float) -> Figure:
        """Best of several runs of one batch."""
        draws = Draws(self.shape, self.values.part(0, count), self.bounds)
        outcome = run(draws, tolerance=tolerance)
        best = np.inf
        for _ in range(3 if count > 100 else 20):
            start = time.process_time()
            outcome = run(draws, tolerance=tolerance)
            best = min(best, time.process_time() - start)
        error = max(
            Events(outcome.light_s[i], outcome.part_s[i]).worst_error(e)
            for i, e in enumerate(self.exact[:count])
        )
        return Figure(f"ours, {path}, {count} at once, tol {tolerance:g}", count / best, error)


def compare(theirs: Figure, own: Own, paths: Mapping[str, RunDraws]) -> None:
    """Ratios of our paths to an outside solver at equal or better accuracy."""
    path, run = list(paths.items())[-1]
    fitting = [
        t
        for t in TOLERANCES
        if own.figure(path, run, 100, t).error <= min(theirs.error, GOAL_ERROR)
    ]
    if not fitting:
        print(f"  {theirs.label}: none of our tolerances tried is as accurate")
        return
    for name, each in paths.items():
        for count in BATCHES:
            figure = own.figure(name, each, count, fitting[0])
            ratio = figure.per_second / theirs.per_second
            print(f"  {theirs.label:22s} {figure.label:42s} {ratio:9.1f} times as fast")


def main() -> None:
    """Print speeds, errors and ratios."""
    cases = draws(max(BATCHES))
    checked = cases[:CHECKED]
    exact = [reference.events(case) for case in checked]
    print("One scenario: the reference ladder, 4 igniters, 5 s pulse; one core.")
    spice = [
        outside(
            f"ngspice, {name}",
            lambda case, r=reltol, s=steps: netlist.events(case, reltol=r, steps=s),  # type: ignore[misc]
            checked,
            exact,
        )
        for name, (reltol, steps) in NGSPICE.items()
    ]
    scipy = [
        outside(
            f"scipy DOP853, {name}",
            lambda case, r=rtol: reference.events(case, rtol=r),  # type: ignore[misc]
            checked,
            exact,
        )
        for name, rtol in SCIPY.items()
    ]
    own = Own(cases, exact)
    paths: dict[str, RunDraws] = {"numpy": run_draws_numpy}
    if compiled_available():
        paths["compiled"] = run_draws
    else:
        print("(numba is not installed: numpy only)")
    mine = [
        own.figure(name, run, count, tolerance)
        for name, run in paths.items()
        for tolerance in (1e-3, 1e-4, 1e-6)
        for count in BATCHES
    ]
    for figure in (*spice, *scipy, *mine):
        print(figure.line())
    print("At equal or better accuracy:")
    for theirs in (*spice, *scipy):
        compare(theirs, own, paths)
    loosest = max(spice, key=lambda s: s.per_second)
    best = max((f for f in mine if f.error <= GOAL_ERROR), key=lambda f: f.per_second)
    ratio = best.per_second / loosest.per_second
    print(f"Goal: {GOAL:g} times ngspice per core with event times within {GOAL_ERROR:g}.")
    print(f"  {best.label}: {ratio:.0f} times {loosest.label}, error {best.error:.1e}")


if __name__ == "__main__":
    main()
