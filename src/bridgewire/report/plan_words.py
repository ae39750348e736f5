"""How demands, bounds and limits of a plan are put into words."""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.planner.demand_names import Demand
from bridgewire.planner.problem import Problem
from bridgewire.planner.result import Plan
from bridgewire.report.figures import number
from bridgewire.report.plain_text import count


def demand_words(problem: Problem, demand: Demand) -> str:
    """One demand with its numbers, as a noun."""
    required = problem.site.requirements
    if demand.kind == "wanted":
        cues = count(len(problem.at.get(demand.subject, ())), "cue")
        return f"what is wanted at {demand.subject!r} ({cues})"
    if demand.kind == "stock":
        return f"the stock of {demand.subject} ({_stock(problem, demand.subject)})"
    if demand.kind == "crossings":
        return "that runs do not cross"
    if demand.kind == "times":
        return "that cues on one output, or on a box that is held off, do not clash"
    if demand.kind == "margin":
        return f"the margin of {number(required.margin or 0.0)}"
    if demand.kind == "latest light":
        stated = required.latest_light_s
        own = "as stated" if stated is None else f"{number(stated)} s"
        return f"the latest light time ({own})"
    if demand.kind == "spread":
        stated = required.spread_s
        own = "as stated" if stated is None else f"{number(stated)} s"
        return f"the spread of what lights together ({own})"
    if demand.kind == "spare ways":
        return f"that {count(problem.site.plan.spare_ways, 'way')} of every output stay free"
    if demand.kind == "whole plan":
        return "what the check of whole plans, or their odds, found against combinations"
    return f"that boxes stand at {count(len(problem.site.box_places), 'place')} only"


def _stock(problem: Problem, item: str) -> str:
    for cable in problem.shelf.cables:
        if cable.item == item:
            return ", ".join(
                f"{p.count} × {p.length_m:g} m{'' if p.cut else ' whole'}" for p in cable.pieces
            )
    have = sum(b.count for b in problem.shelf.boxes if b.item == item)
    for full, _, number_of in (*problem.shelf.strips, *problem.shelf.splitters):
        have += number_of if full == item else 0
    have += sum(n for full, n in problem.shelf.igniters if full == item)
    return str(have)


def family_words(plan: Plan) -> str:
    """Which plans were looked at: the bound is about these and no others."""
    settings = plan.problem.site.plan
    if not plan.whole:
        return "one strip on every output; there was no time to look at more"
    if settings.chain == 1 or settings.neighbours == 0:
        shared = "one strip on every output"
    else:
        splitters = settings.splitters and plan.problem.shelf.splitters
        joined = "in a chain or on a splitter" if splitters else "in a chain"
        shared = (
            f"up to {settings.chain} strips on an output, {joined}, at positions of which one is "
            f"{_nearest(settings.neighbours)} of another"
        )
    return (
        f"{shared}; box places that are {_nearest(settings.places)} of a position; in each output "
        "one cable for the first run, one for all further runs"
    )


def _nearest(number_of: int) -> str:
    return "the nearest" if number_of == 1 else f"among the {number_of} nearest"


def how_good(plan: Plan) -> Iterator[str]:
    """Sentences about bound and gap; none where there is no plan that meets everything."""
    if plan.gap is None:
        return
    if plan.gap <= 1e-9:
        yield "Of the plans looked at none costs less."
    else:
        yield (
            f"Of the plans looked at none costs less than {plan.proven_bound:.2f}: the gap is "
            f"{100 * plan.gap:.1f} %."
        )
    yield f"Looked at: {family_words(plan)}."
    free = plan.free
    yield (
        "Other plans may cost less. Any plan whose parts stand at box places and where something "
        f"is wanted needs {free.metres:g} m of cable, {count(free.strips, 'strip')}, "
        f"{count(free.outputs, 'output')} and {count(free.boxes, 'box', 'boxes')}, and costs at "
        f"least {free.total:.2f}."
    )
    if not plan.finished:
        yield f"The search ended with its time of {number(plan.limit_s)} s."
    if not plan.exact:
        yield (
            "Some combinations were shut out because the whole plan failed with them, so that a "
            "better plan may have been missed; the bound does not rest on that."
        )
