"""Where no plan is possible: the smallest set of demands that conflict, and that it is one."""

from __future__ import annotations

import re

import pytest

from bridgewire.planner.search import plan_site
from bridgewire.report.plan_text import plan_text
from tests.planner.sites import fountains, problem, shells, site_text

pytest.importorskip("ortools")

POINTS = {"hut": (0.0, 0.0), "far": (46.0, 0.0), "near": (9.0, 3.0)}
ONE_CABLE = {
    "harrowmere:shore-cable": "count = 8\nlength_m = 50",
    "harrowmere:jetty-strip-8": "count = 9",
}


def conflict(text: str) -> set[tuple[str, str]]:
    plan = plan_site(problem(text), seconds=60)
    assert not plan.complete
    assert plan.conflict is not None
    assert plan.conflict.smallest
    assert plan.conflict.minimal
    return {(d.kind, d.subject) for d in plan.conflict.demands}


def possible(text: str) -> bool:
    return plan_site(problem(text), seconds=60).complete


def test_a_margin_that_thin_cable_cannot_give() -> None:
    def site(margin: str = "margin = 2.0", far: bool = True, x_m: float = 46.0) -> str:
        points = {**POINTS, "far": (x_m, 0.0)}
        wanted = shells("near", 3) + (fountains("far", 2) if far else "")
        return site_text(
            points, ["hut"], wanted, stock=ONE_CABLE, requirements=margin, plan="chain = 1"
        )

    found = conflict(site())
    assert ("margin", "") in found
    assert ("wanted", "far") in found
    assert ("wanted", "near") not in found
    assert found <= {("margin", ""), ("wanted", "far"), ("places", "")}
    # Without any one of them there is a plan.
    assert possible(site(margin=""))
    assert possible(site(far=False))
    assert possible(site().replace('box_places = ["hut"]', 'box_places = ["hut", "far"]'))


def test_too_few_strips() -> None:
    def site(strips: int) -> str:
        stock = {
            "harrowmere:shore-cable": "count = 8\nlength_m = 50",
            "harrowmere:jetty-strip-8": f"count = {strips}",
        }
        points = {"hut": (0.0, 0.0), **{f"p{i}": (8.0 + i, 4.0 * i) for i in range(4)}}
        wanted = "".join(shells(f"p{i}", 2, first_s=10 + 40 * i) for i in range(4))
        return site_text(points, ["hut"], wanted, stock=stock)

    assert possible(site(4))
    found = conflict(site(3))
    assert found == {
        ("stock", "harrowmere:jetty-strip-8"),
        *(("wanted", f"p{i}") for i in range(4)),
    }


def test_too_little_cable_on_the_drums() -> None:
    stock = {
        "harrowmere:shore-cable": "count = 1\nlength_m = 30",
        "harrowmere:jetty-strip-8": "count = 9",
    }
    points = {"hut": (0.0, 0.0), "a": (20.0, 0.0), "b": (-20.0, 0.0)}
    wanted = shells("a", 2) + shells("b", 2, first_s=100)
    found = conflict(site_text(points, ["hut"], wanted, stock=stock, plan="chain = 1"))
    assert ("stock", "harrowmere:shore-cable") in found
    assert {("wanted", "a"), ("wanted", "b")} <= found


def test_pieces_that_fit_no_drum_though_the_metres_would_do() -> None:
    # Two drums of 30 m hold 60 m; three runs of 17 m need 51 m, but a drum gives only one each.
    stock = {
        "harrowmere:shore-cable": "count = 2\nlength_m = 30",
        "harrowmere:jetty-strip-8": "count = 9",
    }
    points = {"hut": (0.0, 0.0), "a": (16.0, 0.0), "b": (-16.0, 0.0), "c": (0.0, 16.0)}
    wanted = "".join(shells(p, 2, first_s=10 + 60 * i) for i, p in enumerate("abc"))
    found = conflict(site_text(points, ["hut"], wanted, stock=stock, plan="chain = 1"))
    assert ("stock", "harrowmere:shore-cable") in found
    more = {**stock, "harrowmere:shore-cable": "count = 3\nlength_m = 30"}
    assert possible(site_text(points, ["hut"], wanted, stock=more, plan="chain = 1"))


@pytest.mark.parametrize("kind", ["heron", "jetty-strip-8", "shore-cable"])
def test_none_of_a_kind_in_stock_at_all(kind: str) -> None:
    text = site_text(POINTS, ["hut"], shells("near", 3), stock=ONE_CABLE)
    tables = text.split("[[stock]]")
    less = "[[stock]]".join(t for t in tables if f'item = "harrowmere:{kind}"' not in t)
    assert len(less) < len(text)
    assert conflict(less) == {("wanted", "near")}


def test_igniters_that_are_not_in_stock() -> None:
    stock = {**ONE_CABLE, "harrowmere:lantern-match": "count = 4"}
    wanted = shells("near", 3) + shells("far", 2, first_s=100)
    found = conflict(site_text(POINTS, ["hut"], wanted, stock=stock))
    assert ("stock", "harrowmere:lantern-match") in found


def test_ways_that_are_to_stay_free() -> None:
    def site(plan: str = "spare_ways = 14", boxes: int = 1, number: int = 18) -> str:
        wanted = shells("near", number)
        return site_text(POINTS, ["hut"], wanted, boxes=boxes, stock=ONE_CABLE, plan=plan)

    assert conflict(site()) == {
        ("spare ways", ""),
        ("stock", "harrowmere:heron"),
        ("wanted", "near"),
    }
    shown = re.sub(r"\s+", " ", plan_text(plan_site(problem(site()), seconds=60)))
    assert "that 14 ways of every output stay free" in shown
    # Without any one of them there is a plan.
    assert possible(site(plan=""))
    assert possible(site(boxes=2))
    assert possible(site(number=10))


def test_the_text_names_demands_with_their_numbers() -> None:
    text = site_text(
        POINTS,
        ["hut"],
        fountains("far", 2),
        stock=ONE_CABLE,
        requirements="margin = 2.0",
        plan="chain = 1",
    )
    shown = re.sub(r"\s+", " ", plan_text(plan_site(problem(text), seconds=60)))
    assert "No plan looked at meets every demand." in shown
    assert "smallest set of demands that conflict" in shown
    assert "the margin of 2" in shown
    assert "what is wanted at 'far' (2 cues)" in shown
    assert "Looked at: one strip on every output" in shown
    assert "There may be a plan among others" in shown
