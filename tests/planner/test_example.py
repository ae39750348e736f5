"""The example sites: written by their script, planned, and within their budget."""

from __future__ import annotations

import pytest

from bridgewire.planner.search import plan_site
from tests.benchmarks.plan_full_site import ROOT, make_site
from tests.planner.sites import checked, problem

pytest.importorskip("ortools")

FOLDER = ROOT / "examples" / "regatta-plan"


def test_files_are_as_the_script_writes_them() -> None:
    script = make_site()
    assert (FOLDER / "site.toml").read_text(encoding="utf-8") == script.small()
    stage = (FOLDER / "stage-only.toml").read_text(encoding="utf-8")
    assert stage == script.small(stage_only=True)


def test_the_full_size_site_is_of_full_size() -> None:
    site = problem(make_site().full_size())
    assert len(site.positions) == 30
    assert len(site.cues) >= 600
    assert sum(b.count for b in site.shelf.boxes) == 8


def test_the_crew_halves_its_cable() -> None:
    """What docs/plan.md says of the two example sites."""
    script = make_site()
    metres = []
    for stage_only in (False, True):
        plan = plan_site(problem(script.small(stage_only=stage_only)), seconds=120, workers=1)
        assert plan.complete
        assert not [f for f in checked(plan).findings if f.severity >= 3]
        metres.append(sum(lay.length_m for p in plan.placed for lay in p.feed.lays))
    assert metres == [114.0, 232.5]
