"""Sites made so that the best plan is known beforehand."""

from __future__ import annotations

import pytest

from bridgewire.planner.search import plan_site
from tests.planner.sites import checked, problem, shells, site_text

pytest.importorskip("ortools")


def test_each_cluster_gets_the_box_beside_it() -> None:
    points = {"west hut": (0.0, 0.0), "east hut": (300.0, 0.0)}
    for i in range(3):
        points[f"w{i}"] = (4.0 + i, 5.0 + 3 * i)
        points[f"e{i}"] = (296.0 - i, 5.0 + 3 * i)
    wanted = "".join(
        shells(p, 3, first_s=10.0 + 50 * i) for i, p in enumerate(points) if "hut" not in p
    )
    plan = plan_site(problem(site_text(points, ["west hut", "east hut"], wanted)), seconds=60)
    assert plan.complete
    # Cable from the other side would be longer than any drum.
    for placed in plan.placed:
        side = placed.box[1][0]
        assert all(p.startswith(side) for p in placed.feed.shape.positions)


def test_one_chain_where_outputs_are_dear() -> None:
    points = {"hut": (0.0, 0.0), "a": (10.0, 0.0), "b": (16.0, 0.0), "c": (22.0, 0.0)}
    wanted = "".join(shells(p, 4, first_s=10.0 + 50 * i) for i, p in enumerate("abc"))
    text = site_text(points, ["hut"], wanted, costs="per_output = 500", plan="chain = 3")
    plan = plan_site(problem(text), seconds=60)
    assert plan.complete
    assert len(plan.placed) == 1
    assert plan.placed[0].feed.shape.positions == ("a", "b", "c")
    assert plan.gap == pytest.approx(0.0, abs=1e-3)
    # 11 m and twice 7 m of shore cable at 0.45, three strips at 18, a box at 640, one output.
    assert plan.cost == pytest.approx(25.0 * 0.45 + 3 * 18 + 640 + 500, abs=0.1)


CROSSED = {"west": (0.0, 0.0), "east": (20.0, 0.0), "p": (20.0, 20.0), "q": (0.0, 20.0)}
PATHS = '[[path]]\nthrough = ["west", "p"]\n[[path]]\nthrough = ["east", "q"]\n'


def crossed(crossings: str) -> str:
    wanted = shells("p", 2) + shells("q", 2, first_s=500.0)
    plan = f'crossings = "{crossings}"'
    return site_text(CROSSED, ["west", "east"], wanted, plan=plan, more=PATHS)


def test_runs_that_must_cross_are_laid_only_where_they_may() -> None:
    allowed = plan_site(problem(crossed("allow")), seconds=60)
    assert allowed.complete
    assert len({p.box[1] for p in allowed.placed}) == 2
    avoided = plan_site(problem(crossed("avoid")), seconds=60)
    assert not avoided.complete
    assert avoided.conflict is not None
    assert avoided.conflict.smallest
    assert {(d.kind, d.subject) for d in avoided.conflict.demands} == {
        ("crossings", ""),
        ("places", ""),
        ("wanted", "p"),
        ("wanted", "q"),
    }


def test_cues_that_overlap_get_outputs_of_their_own() -> None:
    points = {"hut": (0.0, 0.0), "a": (30.0, 0.0)}
    wanted = "".join(
        f'[[wanted]]\nid = "slow {k}"\nposition = "a"\nclass = "generic:clip-on-short"\n'
        f"time_s = {30.0 + 0.5 * k}\n"
        for k in range(3)
    )
    plan = plan_site(problem(site_text(points, ["hut"], wanted)), seconds=60)
    assert plan.complete
    assert len(plan.placed) == 3
    assert all(len(p.cues) == 1 for p in plan.placed)


def test_made_up_cables_are_laid_whole_and_count_whole() -> None:
    points = {"hut": (0.0, 0.0), "a": (12.0, 0.0)}
    stock = {
        "harrowmere:shore-cable": "count = 1\nlength_m = 40\ncut = false",
        "harrowmere:jetty-strip-8": "count = 2",
    }
    plan = plan_site(problem(site_text(points, ["hut"], shells("a", 3), stock=stock)), seconds=60)
    assert plan.complete
    assert [lay.length_m for lay in plan.placed[0].feed.lays] == [40.0]
    report = checked(plan)
    assert not [f for f in report.findings if f.code.startswith("WIR00") and f.severity > 2]


def test_cues_of_one_name_share_a_way_where_they_can() -> None:
    points = {"hut": (0.0, 0.0), "a": (12.0, 0.0), "b": (14.0, 6.0)}
    wanted = "".join(
        f'[[wanted]]\nid = "comet {p}"\ncue = "front"\nposition = "{p}"\n'
        'class = "harrowmere:lantern-match"\ntimes_s = [30, 60]\n'
        for p in "ab"
    )
    text = site_text(points, ["hut"], wanted, costs="per_output = 500")
    plan = plan_site(problem(text), seconds=60)
    assert plan.complete
    assert len(plan.placed) == 1
    show = plan.show
    assert show is not None
    assert [c["id"] for c in show["cue"]] == ["front 1", "front 2"]
    assert all(c["together"] for c in show["cue"])
    assert len(show["igniter"]) == 4


def capacitor_site(gap_s: float) -> str:
    """Two positions, cues in turn, on capacitor boxes that are held off as a whole for 0.5 s."""
    points = {"hut": (0.0, 0.0), "a": (9.0, 0.0), "b": (0.0, 9.0)}
    wanted = shells("a", 3, first_s=10.0, step_s=20.0)
    wanted += shells("b", 3, first_s=10.0 + gap_s, step_s=20.0)
    stock = {
        "harrowmere:teal": "count = 2",
        "harrowmere:shore-cable": "count = 4\nlength_m = 50",
        "harrowmere:jetty-strip-8": "count = 4",
    }
    text = site_text(points, ["hut"], wanted, stock=stock, boxes=1)
    heron = text.index('[[stock]]\nitem = "harrowmere:heron"')
    return text[:heron] + text[text.index("[[stock]]", heron + 9) :]


@pytest.mark.parametrize(("gap_s", "boxes"), [(0.3, 2), (4.0, 1)])
def test_a_box_that_is_held_off_gets_a_second_beside_it(gap_s: float, boxes: int) -> None:
    plan = plan_site(problem(capacitor_site(gap_s)), seconds=60)
    assert plan.complete, plan.misses
    assert len({p.box for p in plan.placed}) == boxes
    assert plan.gap == pytest.approx(0.0, abs=1e-3)
    assert not [f for f in checked(plan).findings if f.code == "TIM002"]


def test_held_off_boxes_are_planned_in_parts_too(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("bridgewire.planner.search.MANY", 0)
    plan = plan_site(problem(capacitor_site(0.3)), seconds=10)
    assert plan.complete
    assert len({p.box for p in plan.placed}) == 2
