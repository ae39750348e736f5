"""Scenarios per second of the transient solver beside ngspice and scipy, at equal accuracy.

Run it from the root of the project: ``python tests/benchmarks/transient_ratio.py``.

The scenarios are draws of the reference ladder: every igniter, segment and source resistance with
its own scatter. Each solver's event-time error is measured against scipy at 1e-10 on the first
draws and printed beside its speed. For each accuracy that ngspice reaches, our loosest tolerance
that is at least as accurate is taken.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
from attrs import evolve, frozen

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[2]))

from bridgewire.physics.transient import run_transient
from tests.oracles import netlist, ours, reference
from tests.oracles.case import Case, Events, Rng, reference_ladder

CHECKED = 20
"""Draws whose event times are compared."""
BATCHES = (1, 100, 10_000)
OUTSIDE_S = 1.5
"""Time given to each outside solver."""
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
        return f"  {self.label:34s} {self.per_second:12.1f} /s    event-time error {self.error:.1e}"


def outside(
    label: str, solve: Callable[[Case], Events], cases: Sequence[Case], exact: Sequence[Events]
) -> Figure:
    """Time one solver that takes a case at a time."""
    error = max(solve(c).worst_error(e) for c, e in zip(cases, exact, strict=False))
    start, done = time.perf_counter(), 0
    while time.perf_counter() - start < OUTSIDE_S:
        solve(cases[done % len(cases)])
        done += 1
    return Figure(label, done / (time.perf_counter() - start), error)


def own(count: int, tolerance: float, cases: Sequence[Case], exact: Sequence[Events]) -> Figure:
    """Time our solver on a batch, without the making of its input arrays."""
    batch = cases[:count]
    network, bounds = ours.tree_network(batch), ours.boundaries(batch)
    best = np.inf
    for _ in range(3 if count > 1 else 20):
        state = ours.bridges(batch)
        start = time.perf_counter()
        outcome = run_transient(network, state, bounds, tolerance=tolerance)
        best = min(best, time.perf_counter() - start)
    error = 0.0
    for i, e in enumerate(exact[:count]):
        mine = slice(4 * i, 4 * i + 4)
        error = max(error, Events(outcome.light_s[mine], outcome.part_s[mine]).worst_error(e))
    return Figure(f"ours, {count} at once, tol {tolerance:g}", count / best, error)


def main() -> None:
    """Print speeds, errors and ratios."""
    cases = draws(max(BATCHES))
    checked = cases[:CHECKED]
    exact = [reference.events(case) for case in checked]
    print("One scenario: the reference ladder, 4 igniters, 5 s pulse; one process.")
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
    tried = {t: own(100, t, cases, exact) for t in TOLERANCES}
    mine = [own(count, t, cases, exact) for t in (1e-4, 1e-6) for count in BATCHES]
    for figure in (*spice, *scipy, *mine):
        print(figure.line())
    print("At equal or better accuracy:")
    for theirs in (*spice, *scipy):
        fitting = [t for t, figure in tried.items() if figure.error <= theirs.error]
        if not fitting:
            print(f"  {theirs.label}: none of our tolerances tried is as accurate")
            continue
        for count in BATCHES:
            figure = own(count, fitting[0], cases, exact)
            ratio = figure.per_second / theirs.per_second
            print(f"  {theirs.label:24s} {figure.label:34s} {ratio:9.1f} times as fast")


if __name__ == "__main__":
    main()
