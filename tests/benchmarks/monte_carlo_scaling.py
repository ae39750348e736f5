"""How the cost of many draws grows with cues and draws.

Not a test; run it from the root: ``python tests/benchmarks/monte_carlo_scaling.py``.

The cues are made up: four shapes of circuit (a chain of slow igniters, a splitter with equal runs,
matches in series, a long chain of matches) with nominal values of their own. Each cue is drawn,
run and reduced before the next one, so memory goes with the draws of one cue and not with the
cues. Printed are processor seconds, which other work on the machine does not disturb, and the
slope of their logarithm against that of cues x draws: 1 is linear.

``--numpy`` measures the numpy path, ``--threads N`` shares the draws of each cue.
"""

from __future__ import annotations

import resource
import sys
import time
from pathlib import Path

import numpy as np
from attrs import evolve, frozen

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[2]))

from bridgewire.physics.compiled import best_run_draws
from bridgewire.physics.draws import PER_BRIDGE, CircuitShape, Draws, DrawValues, RunDraws
from bridgewire.physics.many_draws import run_draws_numpy
from bridgewire.physics.network import Floats
from bridgewire.physics.supply import SupplyArrays
from tests.oracles import ours
from tests.oracles.case import Case, Rng, Source, String, fast_igniter, ladder, slow_igniter

PLANS = ((100, 100), (100, 1_000), (1_000, 100), (1_000, 1_000), (10_000, 10), (10_000, 100))
"""Cues and draws."""
TOLERANCE = 1e-4
SPREAD = 0.03
"""Relative scatter of every resistance and bridge constant."""


@frozen(eq=False)
class Cue:
    """One circuit by its shape and nominal numbers, each of shape (1, n)."""

    shape: CircuitShape
    nominal: DrawValues
    boundaries_s: Floats


def cases(rng: Rng) -> list[Case]:
    """One circuit of each shape."""
    battery = Source(rng.uniform(20.0, 28.0), 0.3)
    slow = [slow_igniter(rng) for _ in range(4)]
    chain = ladder(battery, [rng.uniform(1.0, 3.0)] * 4, slow, 3.0)
    star = evolve(chain, branches=tuple(evolve(b, start=1) for b in chain.branches))
    matches = [fast_igniter(rng) for _ in range(10)]
    series = ladder(battery, [rng.uniform(2.0, 5.0)] * 2, matches[:2], 0.03)
    strings = tuple(
        String(s.start, 0, 0.3, tuple(matches[4 * i : 4 * i + 4]))
        for i, s in enumerate(series.strings)
    )
    long = ladder(battery, [rng.uniform(0.5, 1.0)] * 10, matches, 0.03)
    return [chain, star, evolve(series, strings=strings), long]


def cue(case: Case) -> Cue:
    """A case as a cue."""
    network, state = ours.tree_network([case]), ours.bridges([case])
    shape = CircuitShape(network.parent, network.string_node, state.string, network.string_on)
    values = DrawValues(
        network.branch_ohm[None],
        network.string_fixed_ohm[None],
        network.drop_V,
        network.supply,
        **{name: getattr(state, name)[None] for name in PER_BRIDGE},
    )
    return Cue(shape, values, np.array(case.boundaries_s))


def drawn(one: Cue, draws: int, rng: Rng) -> DrawValues:
    """Draws of a cue with independent scatter."""
    nominal, supply = one.nominal, one.nominal.supply

    def near(values: Floats) -> Floats:
        return values * (1.0 + SPREAD * rng.standard_normal((draws, values.shape[1])))

    def same(values: Floats) -> Floats:
        return np.repeat(values, draws, axis=0)

    per_bridge = {name: same(getattr(nominal, name)) for name in PER_BRIDGE}
    for name in ("cold_ohm", "threshold_A", "tau_s", "burn_open"):
        per_bridge[name] = near(getattr(nominal, name))
    return DrawValues(
        near(nominal.branch_ohm),
        near(nominal.string_fixed_ohm),
        same(nominal.drop_V),
        SupplyArrays(
            emf_V=same(supply.emf_V),
            internal_ohm=near(supply.internal_ohm[None])[:, 0],
            limit_A=same(supply.limit_A),
            short_circuit_A=same(supply.short_circuit_A),
            nominal_V=same(supply.nominal_V),
            capacitance_F=same(supply.capacitance_F),
        ),
        **per_bridge,
    )


def measure(cues: int, draws: int, run: RunDraws, threads: int) -> tuple[float, float, float]:
    """Processor seconds of drawing and of solving, and the expected number of unlit igniters."""
    rng = np.random.default_rng([cues, draws])
    kinds = [cue(case) for _ in range(5) for case in cases(rng)]
    drawing = solving = unlit = 0.0
    for number in range(cues):
        one = kinds[number % len(kinds)]
        start = time.process_time()
        values = drawn(one, draws, rng)
        middle = time.process_time()
        draw = Draws(one.shape, values, one.boundaries_s)
        out = run(draw, tolerance=TOLERANCE, threads=threads)
        unlit += float(np.isnan(out.light_s).sum(axis=1).mean())
        drawing += middle - start
        solving += time.process_time() - middle
    return drawing, solving, unlit


def main() -> None:
    """Print a line for each plan and the slopes."""
    run = run_draws_numpy if "--numpy" in sys.argv else best_run_draws()
    threads = int(sys.argv[sys.argv.index("--threads") + 1]) if "--threads" in sys.argv else 1
    plans = PLANS[:3] if run is run_draws_numpy else PLANS
    measure(4, 2, run, threads)
    print(f"{run.__name__}, {threads} thread(s), tolerance {TOLERANCE:g}")
    print(
        f"{'cues':>7}{'draws':>7}{'product':>10}{'drawing s':>11}{'solving s':>11}"
        f"{'wall s':>8}{'us each':>9}{'peak MB':>9}"
    )
    products, seconds = [], []
    for cues, draws in plans:
        start = time.perf_counter()
        drawing, solving, _ = measure(cues, draws, run, threads)
        wall = time.perf_counter() - start
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
        products.append(cues * draws)
        seconds.append(solving)
        print(
            f"{cues:7d}{draws:7d}{cues * draws:10d}{drawing:11.2f}{solving:11.2f}{wall:8.1f}"
            f"{1e6 * solving / (cues * draws):9.2f}{peak:9.0f}"
        )
    slope = np.polyfit(np.log(products), np.log(seconds), 1)[0]
    print(f"slope of log(solving) against log(cues x draws): {slope:.3f}")
    enough = [i for i, (_, draws) in enumerate(plans) if draws >= 100]
    slope = np.polyfit(np.log(np.take(products, enough)), np.log(np.take(seconds, enough)), 1)[0]
    print(f"the same where a cue has at least 100 draws: {slope:.3f}")


if __name__ == "__main__":
    main()
