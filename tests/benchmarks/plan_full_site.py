"""Plans the full-size example site: 30 positions, 8 boxes, 600 cues, within a time limit.

Run ``python tests/benchmarks/plan_full_site.py [SECONDS]``. It prints cost, bound and gap,
and what `check` says of it; the exit code is 1 if the plan does not meet everything.
"""

from __future__ import annotations

import importlib.util
import sys
import time
from pathlib import Path
from types import ModuleType

ROOT = Path(__file__).resolve().parents[2]
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

from bridgewire.planner.search import plan_site  # noqa: E402
from bridgewire.planner.totals import totals_of  # noqa: E402
from tests.planner.sites import checked, problem  # noqa: E402

LIMIT_S = 300.0


def make_site() -> ModuleType:
    """The script that writes the example sites."""
    file = ROOT / "examples" / "regatta-plan" / "make_site.py"
    spec = importlib.util.spec_from_file_location("make_site", file)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def main(arguments: list[str]) -> int:
    """Plan, print, check."""
    seconds = float(arguments[0]) if arguments else LIMIT_S
    site = problem(make_site().full_size())
    print(f"{len(site.positions)} positions, {len(site.cues)} cues, {seconds:g} s")
    begun = time.monotonic()

    def tell(what: str) -> None:
        print(f"  {time.monotonic() - begun:6.1f} s  {what}", flush=True)

    plan = plan_site(site, seconds=seconds, progress=tell)
    print(
        f"{plan.seconds:.1f} s, {plan.rounds} rounds, {plan.circuits} circuits of which "
        f"{plan.checked_circuits} were checked themselves"
    )
    if plan.gap is None or plan.cost is None:
        print(f"no plan that meets everything: {[m.words for m in plan.misses[:3]]}")
        return 1
    print(f"cost {plan.cost:.2f}, bound {plan.proven_bound:.2f}, gap {100 * plan.gap:.1f} %")
    totals = totals_of(plan)
    print(
        f"{sum(totals.boxes.values())} boxes, {totals.outputs} outputs, "
        f"{sum(totals.metres.values()):.0f} m of cable"
    )
    report = checked(plan)
    errors = [f for f in report.findings if f.severity >= 3]
    sure = sum(i.verdict.value == "sure" for c in report.cues for i in c.meant)
    print(f"check: {sure} igniters sure, {len(errors)} errors")
    return 1 if errors else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
