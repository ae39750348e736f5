"""A plan as text for a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from bridgewire.planner.conflict import Conflict
from bridgewire.planner.placing import Placed
from bridgewire.planner.result import Plan
from bridgewire.planner.totals import Totals, totals_of
from bridgewire.report.cautions import caution_lines
from bridgewire.report.figures import number
from bridgewire.report.ink import PLAIN, Ink
from bridgewire.report.plain_text import count, visible, wrap
from bridgewire.report.plan_words import demand_words, family_words, how_good

MOST_MISSES = 12


def plan_text(plan: Plan, width: int = 80, ink: Ink = PLAIN) -> str:
    """Write a plan.

    Parameters
    ----------
    plan : Plan
    width : int
    ink : Ink

    Returns
    -------
    str
        Ends with a line end.
    """
    lines = [ink(f"{visible(plan.problem.site.title)}: plan", "bold"), ""]
    lines += _verdict(plan, width, ink)
    if plan.checked is not None:
        totals = totals_of(plan)
        lines += ["", ink("  Cost", "bold"), *_cost(plan, totals, width)]
        lines += ["", ink("  What it takes", "bold"), *_parts(totals, width)]
        lines += ["", ink("  Boxes and outputs", "bold"), *_outputs(plan, width)]
    lines += ["", *caution_lines(width, ink)]
    return "\n".join(lines) + "\n"


def _verdict(plan: Plan, width: int, ink: Ink) -> Iterator[str]:
    if plan.conflict is not None:
        yield from _conflict(plan, plan.conflict, width, ink)
        return
    if plan.checked is None:
        yield ink("  No plan was found.", "bold")
        text = (
            f"The time of {number(plan.limit_s)} s was too short; that says nothing about whether "
            "there is one. Give it more with --seconds."
            if not plan.finished
            else "The search ended without one, because of what failed in the check."
        )
        yield from wrap(text, width, "  ")
        return
    cues = len(plan.checked.built.fired)
    if plan.complete:
        unshown = any(c.startswith("FIR014") for c in plan.checked.caveats)
        but = " but the reliability, which so many draws do not show," if unshown else ""
        text = (
            f"All {count(cues, 'cue')} are sure, and every requirement of the site{but} is met, by "
            "the check of the whole plan."
        )
        yield from wrap(text, width, "  ")
        for caveat in plan.checked.caveats:
            yield from wrap(visible(caveat), width, "  ! ")
    else:
        yield ink("  The best plan so far misses something.", "bold")
        for miss in plan.misses[:MOST_MISSES]:
            yield from wrap(visible(miss.words), width, "  - ")
        if len(plan.misses) > MOST_MISSES:
            yield f"  … and {len(plan.misses) - MOST_MISSES} more"
    for text in how_good(plan):
        yield from wrap(text, width, "  ")


def _conflict(plan: Plan, conflict: Conflict, width: int, ink: Ink) -> Iterator[str]:
    yield ink("  No plan looked at meets every demand.", "bold")
    if conflict.smallest:
        least = "the smallest set of demands that conflict"
    elif conflict.minimal:
        least = "demands that conflict; without any one of them there is a plan, as far as they go"
    else:
        least = "demands that conflict; there was no time to find out which of them matter"
    yield from wrap(f"These are {least}:", width, "  ")
    for demand in conflict.demands:
        yield from wrap(visible(demand_words(plan.problem, demand)), width, "  - ")
    yield from wrap(f"Looked at: {family_words(plan)}.", width, "  ")
    yield from wrap(
        "There may be a plan among others: chain, neighbours, places and splitters under [plan] "
        "say what is looked at.",
        width,
        "  ",
    )


def _cost(plan: Plan, totals: Totals, width: int) -> Iterator[str]:
    unit = f" {visible(plan.prices.costs.currency)}" if plan.prices.costs.currency else ""
    names = {
        "boxes": "boxes",
        "strips": "strips",
        "splitters": "splitters",
        "cable": "cable and its laying",
        "outputs": "outputs",
    }
    for key, name in names.items():
        if totals.split[key]:
            yield f"  {name:<22}{totals.split[key]:>12.2f}"
    yield f"  {'together':<22}{plan.cost or 0.0:>12.2f}{unit}"
    if not plan.prices.stated:
        weights = plan.prices.costs
        text = (
            f"Neither the site nor its kits state costs: a metre counts {weights.per_m:g}, an "
            f"output {weights.per_output:g}, a box, strip or splitter "
            f"{(weights.minutes_per_part or 0.0) * (weights.per_minute or 0.0):g}."
        )
        yield from wrap(text, width, "  ")
    elif plan.prices.not_stated:
        absent = ", ".join(sorted(plan.prices.not_stated))
        yield from wrap(f"Not stated, so counted as nothing: {visible(absent)}.", width, "  ")


def _parts(totals: Totals, width: int) -> Iterator[str]:
    for counts in (totals.boxes, totals.strips, totals.splitters):
        for full, n in counts.items():
            yield f"  {n:>6} × {visible(full)}"
    decimals = _decimals(totals.metres.values())
    for full, metres in totals.metres.items():
        runs = count(totals.runs[full], "run")
        long = f"  {metres:>6.{decimals}f} m "
        yield from wrap(f"{visible(full)}, {runs}", width, long, " " * 11)


def _decimals(lengths_m: Iterable[float]) -> int:
    """As many as the lengths of a plan have, which are multiples of a step: one at least.

    >>> _decimals([30.5, 88.0]), _decimals([30.25]), _decimals([0.125])
    (1, 2, 3)
    """
    lengths = list(lengths_m)
    for decimals in (1, 2):
        if all(abs(round(m, decimals) - m) < 1e-6 for m in lengths):
            return decimals
    return 3


def _outputs(plan: Plan, width: int) -> Iterator[str]:
    checked = plan.checked
    assert checked is not None
    boxes = {b["id"]: b for b in checked.built.data["box"]}
    by_box: dict[str, list[tuple[int, Placed]]] = {b: [] for b in boxes}
    for placed, fire in zip(plan.placed, checked.built.fire, strict=True):
        box, number_of = fire.rsplit("/", 1)
        by_box[box].append((int(number_of), placed))
    for box, outputs in by_box.items():
        kind, place = boxes[box]["kind"], boxes[box]["position"]
        yield from wrap(visible(f"{box} ({kind}) at {place}"), width, "  ", "    ")
        for output, placed in sorted(outputs, key=lambda o: o[0]):
            yield from wrap(visible(_feed(placed)), width, f"  {output:>4}  ", " " * 8)


def _feed(placed: Placed) -> str:
    """One output: cables and positions, outwards."""
    shape = placed.feed.shape

    def run(hop: int) -> str:
        lay = placed.feed.lays[hop]
        joints = f", {count(lay.joints, 'joint')}" if lay.joints else ""
        return f"{lay.length_m:g} m {lay.cable.split(':', 1)[-1]}{joints}"

    def strip(i: int) -> str:
        position = shape.positions[i]
        ways = sum(position in take.positions for _, take in placed.cues)
        return f"{position} ({placed.strips[position].split(':', 1)[-1]}, {count(ways, 'way')})"

    if shape.splitter is not None:
        inner = "; ".join(
            f"{run(shape.hop_of(i))} to {strip(i)}" for i in range(len(shape.positions))
        )
        kind = shape.splitter.split(":", 1)[-1]
        return f"{run(0)} to {kind} at {shape.routes[0].end}: {inner}"
    return " on by ".join(f"{run(i)} to {strip(i)}" for i in range(len(shape.positions)))
