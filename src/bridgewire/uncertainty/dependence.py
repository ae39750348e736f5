"""Which firings depend on one another, so that a draw has to follow them together."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from bridgewire.timeline.outcomes import Assessment
from bridgewire.timeline.results import FiringResult

SAFE_GAP = 2.0
"""A capacitor counts as full after this many times its longest recharge time."""


def plan_groups(assessment: Assessment) -> list[list[FiringResult]]:
    """Firings of a show that have to be drawn together, each list in order of time.

    Those of one component, and those on a capacitor that may not be full again in between.
    """
    results = assessment.simulation.results
    leader = list(range(len(results)))

    def find(i: int) -> int:
        while leader[i] != i:
            leader[i] = leader[leader[i]]
            i = leader[i]
        return i

    by_component: dict[int, int] = {}
    for i, r in enumerate(results):
        first = by_component.setdefault(id(r.component), i)
        leader[find(i)] = find(first)
    for i, before in firing_before(assessment, results).items():
        leader[find(i)] = find(before)
    out: dict[int, list[FiringResult]] = defaultdict(list)
    for i, r in enumerate(results):
        out[find(i)].append(r)
    return list(out.values())


def needed_for(assessment: Assessment, cue: int) -> list[FiringResult]:
    """The firings that have a part in what a cue does, in order of time."""
    results = assessment.simulation.results
    after = firing_before(assessment, results)
    wanted = {i for i, r in enumerate(results) if any(p.cue == cue for p in r.firing.pulses)}
    queue = list(wanted)
    while queue:
        i = queue.pop()
        earlier = [j for j in range(i) if results[j].component is results[i].component]
        for j in (*earlier, *([after[i]] if i in after else [])):
            if j not in wanted:
                wanted.add(j)
                queue.append(j)
    return [results[i] for i in sorted(wanted)]


def firing_before(assessment: Assessment, results: Sequence[FiringResult]) -> dict[int, int]:
    """For firings on a capacitor that may not be full: the firing before on that box."""
    last: dict[str, int] = {}
    out: dict[int, int] = {}
    for i, r in enumerate(results):
        data = assessment.simulation.supplies[r.firing.box][0]
        if data is None or data.capacitance_F is None:
            continue
        before = last.get(r.firing.box)
        last[r.firing.box] = i
        if before is not None and data.recharge_s is not None:
            gap = r.firing.start_s - results[before].firing.end_s
            if gap < SAFE_GAP * data.recharge_s.max:
                out[i] = before
    return out
