"""Verdicts and light times proven over the whole tolerance box, or searched where that fails.

What is proven, and how, says `bridgewire.uncertainty.enclosure`. Two cases need no further run:

* A bridge alone on its circuit, on a battery or regulated supply without fold-back, in its only
  pulse. Its rate of change falls with every resistance, with I0 and with a weaker supply, and
  before it is lit it only ever rises (the equation is autonomous within the pulse and starts
  cold), so that it falls with tau as well: the slow corner is the latest and the fast corner the
  earliest.
* An igniter that is not lit at a corner. The corner is a point of the box: it never lights there,
  and nothing is later.

Where the enclosure does not reach a conclusion that the corners do, where the network is no tree
or a plugin's law takes part, the box is searched instead; the answer says so.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence

from attrs import define, evolve

from bridgewire.circuit.layout import Layout
from bridgewire.circuit.supplies import SupplyData
from bridgewire.timeline.charge import Volts, recharged_V
from bridgewire.timeline.corners import Component
from bridgewire.timeline.outcomes import (
    Assessment,
    CueOutcome,
    EndState,
    IgniterOutcome,
    Proof,
    Times,
    Verdict,
)
from bridgewire.timeline.results import FiringResult
from bridgewire.timeline.schedule import cue_igniters, fuse_delay_s
from bridgewire.timeline.simulate import Simulation
from bridgewire.uncertainty.box import Box
from bridgewire.uncertainty.enclosure import enclose, make_task, provable
from bridgewire.uncertainty.enclosure_task import Bounds, Enclosed, Task
from bridgewire.uncertainty.search import Answer, Question, search

SEARCH_POINTS = 1_500
"""Points times bridges that one round of the search of one component may take."""
SHOW_POINTS = 15_000
"""The same for all components of a show, shared out evenly."""
LEAST_POINTS = 40

LATE, EARLY = 0, 1


@define(eq=False)
class _Proved:
    """What was proven about the firings of a show."""

    enclosed: Mapping[int, Enclosed]
    """By ``id`` of the firing's result."""
    by_corners: set[int]
    """``id`` of components whose corners are extreme."""


def proven(assessment: Assessment) -> Assessment:
    """Replace corner times by proven bounds, or by what a search found.

    Parameters
    ----------
    assessment : Assessment
        Of `bridgewire.timeline.assess.assess`.

    Returns
    -------
    Assessment
        `proof` of each igniter says how its band and verdict were established. A verdict *sure*
        becomes *marginal* if the search finds a point at which the igniter is not lit. `margin`
        stays that of the worst corner unless the search finds less.

    Notes
    -----
    Bounds hold to within the solver's tolerance (event times within 4e-5). The box is that of the
    values' tolerances; the resistance left after burn-open and the charge a battery has used by
    then are taken as the model has them. For data-sheet classes it holds the igniters between the
    fast and the slow one that are derived from the sheet.
    """
    simulation = assessment.simulation
    by_component: dict[int, list[FiringResult]] = defaultdict(list)
    for result in simulation.results:
        by_component[id(result.component)].append(result)
    proved = _prove(simulation, by_component)
    cues = [_first_look(assessment, cue, proved) for cue in assessment.cues]
    answers = _search(assessment, by_component, cues)
    return evolve(
        assessment,
        cues=tuple(
            evolve(
                cue,
                igniters=tuple(
                    _searched(assessment.layout, cue, i, answers.get((cue.cue, i.igniter)))
                    for i in cue.igniters
                ),
            )
            for cue in cues
        ),
    )


def _prove(simulation: Simulation, by_component: Mapping[int, Sequence[FiringResult]]) -> _Proved:
    """Enclose every firing that needs it and can be, in rounds of firings that do not depend."""
    by_corners: set[int] = set()
    open_: set[int] = set()
    for key, results in by_component.items():
        supply = _supply(simulation, results[0])
        if not all(provable(r, supply) for r in results):
            continue
        plain = supply.capacitance_F is None and supply.limit_A == supply.short_circuit_A
        alone = len(results[0].component.data) == 1 and len(results) == 1
        if plain and alone and len(results[0].firing.pulses) == 1:
            by_corners.add(key)
        else:
            open_.add(key)
    return _Proved(_enclose(simulation, open_), by_corners)


def _supply(simulation: Simulation, result: FiringResult) -> SupplyData:
    data = simulation.supplies[result.firing.box][0]
    assert data is not None
    return data


def _enclose(simulation: Simulation, wanted: set[int]) -> dict[int, Enclosed]:
    """Enclose the firings of some components (by ``id``)."""
    bounds: dict[int, Bounds] = {}
    done: dict[int, Enclosed] = {}
    failed: set[int] = set()
    before: dict[int, FiringResult] = {}
    last_on: dict[str, FiringResult] = {}
    for result in simulation.results:
        supply = _supply(simulation, result)
        last = last_on.get(result.firing.box)
        if supply.capacitance_F is not None and last is not None and supply.recharge_s is not None:
            gap_s = result.firing.start_s - last.firing.end_s
            if gap_s < supply.recharge_s.max:
                before[id(result)] = last
        last_on[result.firing.box] = result
    waiting = [r for r in simulation.results if id(r.component) in wanted]
    while waiting:
        busy: set[int] = set()
        ready: list[FiringResult] = []
        rest: list[FiringResult] = []
        for result in waiting:
            key = id(result.component)
            previous = before.get(id(result))
            blocked = previous is not None and id(previous.component) not in wanted - failed
            if blocked or key in failed:
                failed.add(key)
                continue
            if key in busy or (previous is not None and id(previous) not in done):
                rest.append(result)
            else:
                ready.append(result)
            busy.add(key)
        tasks = [_task(simulation, r, bounds, done, before) for r in ready]
        if tasks:
            found = enclose(tasks)
            done.update((id(r), e) for r, e in zip(ready, found, strict=True))
        waiting = rest
    return {
        id(r): done[id(r)]
        for r in simulation.results
        if id(r) in done and id(r.component) not in failed
    }


def _task(
    simulation: Simulation,
    result: FiringResult,
    bounds: dict[int, Bounds],
    done: Mapping[int, Enclosed],
    before: Mapping[int, FiringResult],
) -> Task:
    """A firing with the bounds at its start."""
    key, start_s = id(result.component), result.firing.start_s
    if key not in bounds:
        bounds[key] = Bounds.cold(result.component, start_s)
    bounds[key].cool_until(start_s)
    supply = _supply(simulation, result)
    emf_V = result.emf_V
    if supply.capacitance_F is not None:
        full = supply.emf_V
        emf_V = Volts(full.min, full.typical, full.max)
        previous = before.get(id(result))
        if previous is not None:
            low, high = done[id(previous)].end_V
            left_V = Volts(low, full.typical, high)
            emf_V = recharged_V(supply, left_V, start_s - previous.firing.end_s)
    return make_task(simulation.layout, result, bounds[key], supply, emf_V)


def _first_look(assessment: Assessment, cue: CueOutcome, proved: _Proved) -> CueOutcome:
    """A cue with what is proven; igniters that are left open are marked as searched."""
    if not cue.results:
        return cue
    component = cue.results[0].component
    return evolve(
        cue,
        igniters=tuple(
            _bounded(assessment, cue, i, proved)
            if i.igniter in component.targets and i.verdict is not Verdict.UNKNOWN
            else i
            for i in cue.igniters
        ),
    )


def _bounded(
    assessment: Assessment, cue: CueOutcome, igniter: IgniterOutcome, proved: _Proved
) -> IgniterOutcome:
    component = cue.results[0].component
    if id(component) in proved.by_corners:
        return evolve(igniter, proof=Proof.PROVEN)
    if any(id(r) not in proved.enclosed for r in cue.results):
        return evolve(igniter, proof=Proof.SEARCHED)
    place = list(component.targets).index(igniter.igniter)
    pairs = [(r, proved.enclosed[id(r)]) for r in cue.results]
    latest, lit_A = _bound(pairs, place, LATE, cue.switch_s)
    earliest, _ = _bound(pairs, place, EARLY, cue.switch_s)
    light = igniter.light
    certain = math.isinf(light.latest) or math.isfinite(latest)
    promised_A = component.data[component.targets[igniter.igniter]].heating.sure_from_A
    if igniter.verdict is Verdict.SURE and lit_A < promised_A * (1.0 - 1e-3):
        certain = False
    return _with_light(
        assessment.layout,
        cue,
        igniter,
        Times(
            min(light.earliest, earliest),
            light.typical,
            max(light.latest, latest) if certain else light.latest,
        ),
        proof=Proof.PROVEN if certain else Proof.SEARCHED,
    )


def _bound(
    pairs: Sequence[tuple[FiringResult, Enclosed]], place: int, side: int, switch_s: float
) -> tuple[float, float]:
    """Bound of the light time after switching, and the current at it; 0 where lit before."""
    if pairs[0][1].lit_before[side, place]:
        return 0.0, math.inf
    for result, enclosed in pairs:
        at = float(enclosed.light_s[side, place])
        if not math.isnan(at):
            time = result.firing.start_s + at - switch_s
            return (0.0, math.inf) if time < 0.0 else (time, float(enclosed.light_A[side, place]))
    return math.inf, 0.0


def _with_light(
    layout: Layout, cue: CueOutcome, igniter: IgniterOutcome, light: Times, proof: Proof
) -> IgniterOutcome:
    """An igniter's outcome with other light times."""
    effect = igniter.effect
    if effect is not None:
        placed = {p.index: p for p in cue_igniters(layout, layout.cues[cue.cue])}
        fuse = fuse_delay_s(placed[igniter.igniter].igniter.fuse)
        if fuse is not None:
            effect = light.shifted(*(cue.switch_s + f for f in fuse))
    return evolve(igniter, light=light, effect=effect, proof=proof)


def _search(
    assessment: Assessment,
    by_component: Mapping[int, Sequence[FiringResult]],
    cues: Sequence[CueOutcome],
) -> dict[tuple[int, int], Answer]:
    """Search the components in which something is left open; answers by cue and igniter."""
    questions: dict[int, list[Question]] = defaultdict(list)
    for cue in cues:
        for igniter in cue.igniters:
            if igniter.proof is not Proof.SEARCHED:
                continue
            component: Component = cue.results[0].component
            places = {id(r): n for n, r in enumerate(by_component[id(component)])}
            questions[id(component)].append(
                Question(
                    cue.cue,
                    igniter.igniter,
                    cue.switch_s,
                    tuple(places[id(r)] for r in cue.results),
                )
            )
    answers: dict[tuple[int, int], Answer] = {}
    for key, asked in questions.items():
        results = by_component[key]
        share = min(SEARCH_POINTS, SHOW_POINTS // len(questions))
        budget = max(share // len(results[0].component.data), LEAST_POINTS)
        box = Box(assessment.layout, results, _supply(assessment.simulation, results[0]))
        found = search(box, assessment.simulation.supplies, asked, budget)
        answers.update(((q.cue, q.igniter), a) for q, a in zip(asked, found, strict=True))
    return answers


def _searched(
    layout: Layout, cue: CueOutcome, igniter: IgniterOutcome, answer: Answer | None
) -> IgniterOutcome:
    """An igniter's outcome with what a search found."""
    if answer is None:
        return igniter
    light = igniter.light
    times = Times(
        min(light.earliest, answer.earliest), light.typical, max(light.latest, answer.latest)
    )
    outcome = _with_light(layout, cue, igniter, times, Proof.SEARCHED)
    if not (math.isinf(answer.latest) and answer.latest > 0.0) or math.isinf(light.latest):
        return outcome
    reached = math.sqrt(max(min(answer.reached, 1.0), 0.0))
    return evolve(
        outcome,
        verdict=Verdict.MARGINAL if igniter.verdict is Verdict.SURE else igniter.verdict,
        margin=reached if igniter.margin is None else min(igniter.margin, reached),
        worst_end_state=EndState.UNLIT,
    )
