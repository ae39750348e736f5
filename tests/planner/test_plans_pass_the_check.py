"""Whatever the planner gives is a show that `check` finds all sure and without errors."""

from __future__ import annotations

import math
import random

import pytest

from bridgewire.diagnostics import Severity
from bridgewire.planner.circuits import Circuit
from bridgewire.planner.cutting import can_cut, pieces_m
from bridgewire.planner.routes import cross
from bridgewire.planner.search import plan_site
from bridgewire.timeline.outcomes import Verdict
from tests.planner.sites import checked, fountains, problem, shells, site_text

pytest.importorskip("ortools")


def random_site(seed: int) -> str:
    dice = random.Random(seed)
    points = {"hut": (0.0, 0.0), "shed": (40.0, -5.0)}
    names = [f"p {i}" for i in range(dice.randint(2, 5))]
    for name in names:
        points[name] = (round(dice.uniform(-10, 50), 1), round(dice.uniform(2, 30), 1))
    wanted = ""
    for i, name in enumerate(names):
        wanted += shells(name, dice.randint(1, 10), first_s=10 + 3 * i, step_s=dice.choice([4, 11]))
        if dice.random() < 0.5:
            wanted += fountains(name, dice.randint(1, 3), first_s=12 + 5 * i)
    for name in names[: dice.randint(0, 3)]:
        wanted += (
            f'[[wanted]]\nid = "comet {name}"\ncue = "front"\nposition = "{name}"\n'
            'class = "harrowmere:lantern-match"\neffects_at_s = [205, 217]\n'
        )
    stock = {
        "harrowmere:shore-cable": "count = 8\nlength_m = 50",
        "harrowmere:pier-cable": "count = 4\nlength_m = 100",
        "harrowmere:jetty-strip-8": "count = 20",
        "harrowmere:jetty-strip-16": "count = 6",
        "harrowmere:mooring-2": "count = 2",
    }
    return site_text(points, ["hut", "shed"], wanted, stock=stock)


@pytest.mark.parametrize("seed", range(6))
def test_random_sites(seed: int) -> None:
    site = problem(random_site(seed))
    plan = plan_site(site, seconds=20, seed=seed)
    assert plan.complete, [m.words for m in plan.misses]
    report = checked(plan)
    assert all(c.verdict is Verdict.SURE for c in report.cues)
    assert not [f for f in report.findings if f.severity is Severity.ERROR]
    codes = {f.code for f in report.findings}
    assert not codes & {"FIR002", "FIR005", "TIM006", "TIM007", "TIM008", "TIM009", "WIR001"}
    # Everything that is wanted is lit, once.
    lit = sorted(i.id for c in report.cues for i in c.meant)
    assert lit == sorted(x.id for c in site.cues for p in c.pieces for x in p.lit)
    # No run crosses another, and drums hold the pieces.
    routes = [r for p in plan.placed for r in p.feed.shape.routes]
    assert not any(cross(a, b) for i, a in enumerate(routes) for b in routes[i + 1 :])
    for cable in site.shelf.cables:
        pieces: dict[float, int] = {}
        for placed in plan.placed:
            for lay in placed.feed.lays:
                if lay.cable == cable.item:
                    for m in pieces_m(site, lay):
                        pieces[m] = pieces.get(m, 0) + 1
        assert can_cut([(d.length_m, d.count) for d in cable.drums], pieces, 5.0, 1)
    assert plan.gap is not None
    assert 0.0 <= plan.gap < 1.0
    assert plan.free.total <= plan.cost + 1e-6  # type: ignore[operator]


def test_resistance_never_helps_a_lone_bridge() -> None:
    """The way in which circuits are sorted: each is checked, and none that is worse is surer.

    The rate of change of a bridge falls with every resistance before it (uncertainty/proof.py).
    """
    from bridgewire.planner.family import Family

    site = problem(
        site_text(
            {"hut": (0.0, 0.0), **{f"p{i}": (6.0 + 9 * i, 3.0) for i in range(6)}},
            ["hut"],
            "".join(fountains(f"p{i}", 1, first_s=20 + 20 * i) for i in range(6)),
        )
    )
    family = Family.of(site)
    choice = family.choice()
    judge = family.electrics.judge
    circuits: list[Circuit] = list(family.electrics._pulse)
    assert len(circuits) > 50
    assert choice.classes
    judge.ask((c, 2.0) for c in circuits)
    ohm = judge.worst_ohm(circuits)
    ranked = sorted(circuits, key=lambda c: ohm[c])
    latest = [judge.answers[c, 2.0].latest_s for c in ranked]
    for before, after, one, other in zip(latest, latest[1:], ranked, ranked[1:], strict=False):
        assert after >= before * (1 - 1e-6) or math.isclose(ohm[one], ohm[other], rel_tol=1e-9)
    # What was concluded by resistance is what a check of each would have said.
    for circuit in circuits:
        pulse_s = family.electrics.pulse_s(circuit)
        if pulse_s == 2.0:
            assert judge.answers[circuit, 2.0].good
        elif pulse_s is None or pulse_s > 2.0:
            assert not judge.answers[circuit, 2.0].good


def test_one_worker_and_one_seed_give_one_plan() -> None:
    shows = [
        plan_site(problem(random_site(3)), seconds=60, seed=5, workers=1).show for _ in range(2)
    ]
    assert shows[0] is not None
    assert shows[0] == shows[1]
