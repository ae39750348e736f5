"""Time and memory of whole ``bridgewire check`` processes: python tests/benchmarks/full_show.py.

Not a test: prints figures beside the budgets of the project (2 s and 300 MB for the full-size
example, 0.7 s for a small show, 0.3 s for ``--help``).
"""

from __future__ import annotations

import resource
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
CASES = (
    ("--help", ["--help"], 0.3, None),
    ("--version", ["--version"], 0.3, None),
    ("small show", ["check", "examples/midwinter-small.toml"], 0.7, None),
    ("full-size show", ["check", "examples/regatta-night/show.toml"], 2.0, 300.0),
)
REPEATS = 5


def once(arguments: list[str]) -> tuple[float, float]:
    """Wall seconds and peak megabytes of one process."""
    script = (
        "import resource, subprocess, sys\n"
        "code = subprocess.run([sys.executable, '-m', 'bridgewire', *sys.argv[1:]],"
        " stdout=subprocess.DEVNULL).returncode\n"
        "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024.0, code)\n"
    )
    start = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-c", script, *arguments],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    wall = time.perf_counter() - start
    megabytes, code = done.stdout.split()
    if code not in ("0", "1"):
        raise SystemExit(f"bridgewire {' '.join(arguments)} failed with exit code {code}")
    return wall - OUTER_S, float(megabytes)


def outer_s() -> float:
    """Start-up time of the measuring process itself."""
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", "import resource, subprocess"], check=True)
    return time.perf_counter() - start


OUTER_S = min(outer_s() for _ in range(5))


def main() -> None:
    """Print one line for each case: best and median of several runs."""
    print(
        f"{'case':16}{'best s':>9}{'median s':>10}{'budget s':>10}{'peak MB':>9}{'budget MB':>11}"
    )
    for name, arguments, budget_s, budget_mb in CASES:
        runs = [once(arguments) for _ in range(REPEATS)]
        walls = sorted(w for w, _ in runs)
        peak = max(m for _, m in runs)
        limit = f"{budget_mb:11.0f}" if budget_mb else f"{'':11}"
        print(
            f"{name:16}{walls[0]:9.2f}{walls[len(walls) // 2]:10.2f}{budget_s:10.1f}"
            f"{peak:9.0f}{limit}"
        )
    print(f"(this process: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB)")


if __name__ == "__main__":
    main()
