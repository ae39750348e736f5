"""Time and memory of the odds of the full-size example: python tests/benchmarks/odds_full_show.py.

Not a test: prints figures beside the budget of the project (10,000 draws of at least 600 cues in
60 s on two cores and 1.5 GB), how the time grows with draws, and the part of each stage.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import time
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[2]
SHOW = ROOT / "examples" / "regatta-night" / "show.toml"
DRAWS = (100, 1000, 10_000)
BUDGET_S, BUDGET_MB = 60.0, 1500.0


def processes(draws: int, workers: int, compiled: bool) -> tuple[float, float]:
    """Wall seconds, and peak megabytes of the largest process times their number."""
    script = (
        "import resource, subprocess, sys\n"
        "subprocess.run([sys.executable, '-m', 'bridgewire', *sys.argv[1:]],"
        " stdout=subprocess.DEVNULL, check=False)\n"
        "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024.0)\n"
    )
    call = ["odds", str(SHOW), "--draws", str(draws), "--workers", str(workers), "--closer", "0"]
    start = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-c", script, *call],
        env={**os.environ, "BRIDGEWIRE_COMPILED": "1" if compiled else "0"},
        capture_output=True,
        text=True,
        check=True,
    )
    wall = time.perf_counter() - start
    return wall, float(done.stdout) * (workers + 1 if workers > 1 else 1)


def stages(draws: int) -> None:
    """Where the time of one process goes."""
    from bridgewire.api import load_show
    from bridgewire.timeline.assess import assess
    from bridgewire.uncertainty.dependence import plan_groups
    from bridgewire.uncertainty.draws import _Run, run_plan
    from bridgewire.uncertainty.odds_blocks import latent_values
    from bridgewire.uncertainty.scatter import make_plan
    from bridgewire.uncertainty.streams import Streams

    assessment = assess(load_show(SHOW).layout)
    spent = dict.fromkeys(("plans", "latents", "values", "circuits and outcomes"), 0.0)
    streams = Streams(1, draws)
    mark = time.perf_counter()
    plans = [make_plan(assessment, g) for g in plan_groups(assessment)]
    spent["plans"] = time.perf_counter() - mark
    run_plan(plans[0], np.zeros((len(plans[0].quantities.latents), 2)))
    for plan in plans:
        mark = time.perf_counter()
        z = latent_values(streams, plan.quantities.latents, 0, draws)
        spent["latents"] += time.perf_counter() - mark
        mark = time.perf_counter()
        _Run(plan, z, 1e-4)
        values = time.perf_counter() - mark
        mark = time.perf_counter()
        run_plan(plan, z)
        spent["values"] += values
        spent["circuits and outcomes"] += time.perf_counter() - mark - values
    total = sum(spent.values())
    print(f"one process, {draws} draws: " + ", ".join(f"{k} {v:.1f} s" for k, v in spent.items()))
    print(f"  {sum(p.bridges for p in plans)} bridge-firings: {1e6 * total / 624 / draws:.2f} µs")


def main() -> None:
    """Print the figures."""
    print(f"{'draws':>7}{'workers':>9}{'path':>10}{'wall s':>9}{'MB in all':>11}")
    for compiled in (True, False):
        for draws in DRAWS:
            wall, peak = processes(draws, 2, compiled)
            path = "compiled" if compiled else "numpy"
            print(f"{draws:7}{2:9}{path:>10}{wall:9.1f}{peak:11.0f}")
    print(f"budget: {BUDGET_S:.0f} s and {BUDGET_MB:.0f} MB at {DRAWS[-1]} draws")
    stages(DRAWS[-1])
    print(f"(this process: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB)")


if __name__ == "__main__":
    main()
