"""A plan as JSON."""

from __future__ import annotations

import json
from typing import Any

from bridgewire.planner.demand_names import Demand
from bridgewire.planner.result import Plan
from bridgewire.planner.totals import totals_of
from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.plan_words import demand_words, family_words


def plan_json(file: str, plan: Plan, version: str) -> str:
    """Write a plan as JSON text by ``schemas/plan-1.json``; what is not known is null.

    Parameters
    ----------
    file : str
        The site.
    plan : Plan
    version : str
        Of bridgewire.
    """
    conflict = plan.conflict
    data = {
        "format": 1,
        "program": {"name": "bridgewire", "version": version},
        "cautions": list(CAUTIONS),
        "file": file,
        "title": plan.problem.site.title,
        "complete": plan.complete,
        "misses": [{"cue": m.cue, "words": m.words} for m in plan.misses],
        "conflict": None
        if conflict is None
        else {
            "smallest": conflict.smallest,
            "minimal": conflict.minimal,
            "demands": [_demand(plan, d) for d in conflict.demands],
        },
        "cost": plan.cost,
        "bound": plan.proven_bound,
        "gap_pct": None if plan.gap is None else round(100 * plan.gap, 3),
        "family": family_words(plan),
        "any_plan": {
            "cable_m": plan.free.metres,
            "strips": plan.free.strips,
            "outputs": plan.free.outputs,
            "boxes": plan.free.boxes,
            "cost": plan.free.total,
        },
        "search": {
            "finished": plan.finished,
            "exact": plan.exact,
            "rounds": plan.rounds,
            "circuits": plan.circuits,
            "circuits_checked": plan.checked_circuits,
            "seconds": round(plan.seconds, 2),
            "limit_s": plan.limit_s,
        },
        "totals": None if plan.checked is None else _totals(plan),
        "outputs": [] if plan.checked is None else _outputs(plan),
        "caveats": [] if plan.checked is None else list(plan.checked.caveats),
        "show": plan.show,
    }
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _demand(plan: Plan, demand: Demand) -> dict[str, Any]:
    return {
        "kind": demand.kind,
        "subject": demand.subject or None,
        "words": demand_words(plan.problem, demand),
    }


def _totals(plan: Plan) -> dict[str, Any]:
    totals = totals_of(plan)
    return {
        "currency": plan.prices.costs.currency,
        "costs_stated": plan.prices.stated,
        "not_stated": sorted(plan.prices.not_stated),
        "split": dict(totals.split),
        "money": totals.cost.money,
        "rigging_minutes": totals.cost.minutes,
        "cable_m": dict(totals.metres),
        "runs": dict(totals.runs),
        "boxes": dict(totals.boxes),
        "strips": dict(totals.strips),
        "splitters": dict(totals.splitters),
        "outputs": totals.outputs,
    }


def _outputs(plan: Plan) -> list[dict[str, Any]]:
    assert plan.checked is not None
    out = []
    for placed, fire in zip(plan.placed, plan.checked.built.fire, strict=True):
        shape = placed.feed.shape
        out.append(
            {
                "output": fire,
                "place": placed.box[1],
                "splitter": shape.splitter,
                "strips": [{"position": p, "kind": placed.strips[p]} for p in shape.positions],
                "runs": [
                    {
                        "from": route.start,
                        "to": route.end,
                        "cable": lay.cable,
                        "length_m": lay.length_m,
                        "joints": lay.joints,
                    }
                    for route, lay in zip(shape.routes, placed.feed.lays, strict=True)
                ],
                "cues": [plan.problem.cues[c].id for c, _ in placed.cues],
            }
        )
    return out
