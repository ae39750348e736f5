"""Fuzz the loaders: ``python tests/fuzz/run.py --seconds 60 [--target NAME]``.

Needs the extra ``fuzz``. Each target runs so many seconds; a table says how many inputs were
tried, what was newly reached and how many kinds of faults were found. The figures also go to
``report.json`` and the faults' inputs to ``found/`` beside this file; neither is committed.
"""

from __future__ import annotations

import argparse
import importlib.util
import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
sys.path.insert(0, str(ROOT))

from tests.fuzz.targets import BY_NAME, MOST_BYTES, TARGETS  # noqa: E402

_COVERED = re.compile(r"\bcov: (\d+)")
_TRIED = re.compile(r"stat::number_of_executed_units:\s*(\d+)")
_AT = re.compile(r"^#(\d+)\t", re.M)
_PEAK = re.compile(r"stat::peak_rss_mb:\s*(\d+)")


def run_target(name: str, seconds: int, found: Path, seed: int = 0) -> dict[str, Any]:
    """Fuzz one target.

    Parameters
    ----------
    name : str
    seconds : int
    found : Path
        Where new inputs and faults go.
    seed : int
        Of libFuzzer; 0 picks one.

    Returns
    -------
    dict
        ``executions``, ``coverage_before``, ``coverage_after``, ``peak_MB``, ``faults`` (one entry
        for each kind of exception, slow input, or input over the memory limit).
    """
    folder = found / name
    grown = folder / "corpus"
    grown.mkdir(parents=True, exist_ok=True)
    options = [
        f"-max_total_time={seconds}", f"-max_len={MOST_BYTES}", "-timeout=20",
        "-rss_limit_mb=1500", f"-dict={HERE / 'words.dict'}", f"-artifact_prefix={folder}/stop-",
        "-print_final_stats=1", f"-seed={seed}", str(grown), str(HERE / "corpus" / name),
    ]  # fmt: skip
    command = [sys.executable, "-m", "tests.fuzz.process", name, str(folder), *options]
    log = folder / "log"
    with log.open("wb") as out:  # libFuzzer ends itself; the limit is for a machine that is busy
        ran = subprocess.run(
            command, cwd=ROOT, stdout=out, stderr=out, timeout=seconds * 5 + 600, check=False,
            env={**os.environ, "PYTHONPATH": str(ROOT / "src"), "OPENBLAS_NUM_THREADS": "1"},
        )  # fmt: skip
    said = log.read_text(encoding="utf-8", errors="replace")
    covered = [int(v) for v in _COVERED.findall(said)]
    tried = _TRIED.search(said)
    count = int(tried[1]) if tried else max((int(v) for v in _AT.findall(said)), default=0)
    peak = _PEAK.search(said)
    faults = sorted(p.stem for p in (folder / "faults").glob("*.json"))
    faults += sorted(p.name for p in folder.glob("stop-*"))
    if ran.returncode != 0 and not faults:
        faults = [f"exit code {ran.returncode}: {said.strip().splitlines()[-1:]}"]
    return {
        "executions": count,
        "coverage_before": covered[0] if covered else 0,
        "coverage_after": covered[-1] if covered else 0,
        "peak_MB": int(peak[1]) if peak else 0,
        "faults": faults,
    }


def table(report: dict[str, dict[str, Any]]) -> str:
    """Write the figures for people."""
    lines = [f"{'target':14} {'executions':>11} {'reached':>9} {'new':>6} {'peak MB':>8} faults"]
    for name, r in report.items():
        new = r["coverage_after"] - r["coverage_before"]
        lines.append(
            f"{name:14} {r['executions']:11} {r['coverage_after']:9} {new:6} {r['peak_MB']:8} "
            f"{len(r['faults'])}"
        )
        lines += [f"    {fault}" for fault in r["faults"]]
    total = sum(r["executions"] for r in report.values())
    faults = sum(len(r["faults"]) for r in report.values())
    return "\n".join([*lines, f"{'all':14} {total:11} {'':9} {'':6} {'':8} {faults}"])


def main() -> int:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else None)
    parser.add_argument("--seconds", type=int, default=60, help="for each target")
    parser.add_argument("--target", action="append", choices=sorted(BY_NAME))
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--found", type=Path, default=HERE / "found")
    parser.add_argument("--report", type=Path, default=HERE / "report.json")
    chosen = parser.parse_args()
    if importlib.util.find_spec("atheris") is None:
        print("fuzzing needs atheris: pip install 'bridgewire[fuzz]'", file=sys.stderr)
        return 2
    names = chosen.target or [t.name for t in TARGETS]
    report: dict[str, dict[str, Any]] = {}
    for name in names:
        report[name] = run_target(name, chosen.seconds, chosen.found, chosen.seed)
        chosen.report.write_text(json.dumps(report, indent=1) + "\n", encoding="utf-8")
    print(table(report))
    return 1 if any(r["faults"] for r in report.values()) else 0


if __name__ == "__main__":
    sys.exit(main())
