"""No values within the tolerances may light an igniter outside the stated band.

The band of a proven igniter is compared with hundreds of random networks, each sampled densely.
Event times are good to 4e-5 at worst, hence the allowance of 1e-4.
"""

from __future__ import annotations

import math
from collections import defaultdict

import numpy as np
import pytest

from bridgewire.circuit.supplies import SupplyData
from bridgewire.model.band import Band
from bridgewire.model.show import Cue, Igniter, Repeat
from bridgewire.timeline.outcomes import Assessment, IgniterOutcome, Proof, Verdict
from bridgewire.timeline.results import FiringResult
from bridgewire.uncertainty.box import Box
from bridgewire.uncertainty.enclosure import enclose, make_task, provable
from bridgewire.uncertainty.enclosure_task import Bounds
from bridgewire.uncertainty.proof import proven
from bridgewire.uncertainty.search import Answer, Question, search
from tests.behaviours.bench import BATTERY as MATRIX
from tests.behaviours.bench import MATCH, SLOW, bench, chain
from tests.uncertainty.networks import SUPPLIES, ladders, random_show, small_show
from tests.uncertainty.sampling import extremes

SAME = 1e-4
NETWORKS, DRAWS = 200, 150
BLOCKS = 20
Ratios = dict[str, list[float]]


def outcomes(assessment: Assessment) -> dict[tuple[int, int], IgniterOutcome]:
    return {(c.cue, i.igniter): i for c in assessment.cues for i in c.igniters}


def assert_encloses(name: str, assessment: Assessment, draws: int, seed: int) -> dict[str, float]:
    """Check all igniters; return latest bound over latest draw for those proven sure.

    What was only searched promises nothing, but a search worth its name gets further than draws.
    """
    bounded = outcomes(assessment)
    ratios: dict[str, float] = {}
    for key, found in extremes(assessment, draws, seed).items():
        igniter, light = bounded[key], bounded[key].light
        assert igniter.proof is not None
        assert found.latest <= light.latest * (1.0 + SAME), (name, igniter)
        assert found.earliest >= light.earliest * (1.0 - SAME), (name, igniter)
        proved = igniter.proof is Proof.PROVEN and igniter.verdict is Verdict.SURE
        if proved and 0.0 < found.latest < math.inf:
            ratios[igniter.id] = light.latest / found.latest
    return ratios


def assert_corners_within(name: str, assessment: Assessment) -> None:
    """Check the bounds by themselves, which `proven` widens to the corners where need be."""
    done: set[int] = set()
    for result in assessment.simulation.results:
        c = result.component
        supply = assessment.simulation.supplies[result.firing.box][0]
        assert supply is not None
        if id(c) in done or not provable(result, supply):
            continue
        done.add(id(c))
        bounds = Bounds.cold(c, result.firing.start_s)
        task = make_task(assessment.layout, result, bounds, supply, result.emf_V)
        (found,) = enclose([task])
        for place, (igniter, bridge) in enumerate(c.targets.items()):
            if bridge not in result.columns:
                continue
            corner = result.light_s[:, result.columns[bridge]]
            latest, earliest = found.light_s[:, place]
            if not math.isnan(latest):
                late = corner[c.slow_rows(igniter)]
                assert (late <= latest * (1.0 + SAME)).all(), (name, late, latest)
            for early in corner[c.fast_rows(igniter)]:
                if not math.isnan(early):
                    assert early >= earliest * (1.0 - SAME), (name, early, earliest)


@pytest.mark.parametrize("seed", range(60))
def test_corners_are_within_the_bounds(seed: int) -> None:
    name, assessment = random_show(2000 + seed)
    assert_corners_within(name, assessment)


@pytest.fixture(scope="module")
def tightness() -> Ratios:
    return defaultdict(list)


@pytest.mark.slow
@pytest.mark.parametrize("block", range(BLOCKS))
def test_no_draw_is_outside_the_band(block: int, tightness: Ratios) -> None:
    for seed in range(block, NETWORKS, BLOCKS):
        name, assessment = random_show(seed)
        found = assert_encloses(name, proven(assessment), DRAWS, seed)
        kind = next(s for s in SUPPLIES if f"-{s}-" in name)
        tightness[kind].extend(found.values())


@pytest.mark.slow
def test_bounds_are_not_needlessly_wide(tightness: Ratios) -> None:
    """Draws seldom come near a corner, so the ratio says less than it could."""
    if not tightness:
        pytest.skip("needs the networks above")
    for kind, ratios in tightness.items():
        parts = np.quantile(ratios, [0.1, 0.5, 0.9])
        print(f"{kind}: {len(ratios)} igniters, bound over latest draw {parts.round(2)}")
    assert np.median(tightness["battery"]) < 2.0
    assert np.median(tightness["constant-current"]) < 2.0


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(40))
def test_no_search_gets_outside_the_proven_band(seed: int) -> None:
    """A search that follows the worst point gets further than draws do."""
    name, assessment = random_show(1000 + seed)
    bounded = outcomes(proven(assessment))
    for key, answer in searched(assessment).items():
        igniter = bounded[key]
        if igniter.proof is Proof.PROVEN:
            assert answer.latest <= igniter.light.latest * (1.0 + SAME), (name, igniter)
            assert answer.earliest >= igniter.light.earliest * (1.0 - SAME), (name, igniter)


def searched(assessment: Assessment) -> dict[tuple[int, int], Answer]:
    by_component: dict[int, list[FiringResult]] = defaultdict(list)
    for r in assessment.simulation.results:
        by_component[id(r.component)].append(r)
    found: dict[tuple[int, int], Answer] = {}
    for results in by_component.values():
        places = {id(r): n for n, r in enumerate(results)}
        questions = [
            Question(c.cue, i.igniter, c.switch_s, tuple(places[id(r)] for r in c.results))
            for c in assessment.cues
            for i in c.igniters
            if c.results and id(c.results[0]) in places
        ]
        supply = assessment.simulation.supplies[results[0].firing.box][0]
        assert supply is not None
        box = Box(assessment.layout, results, supply)
        answers = search(box, assessment.simulation.supplies, questions, 150)
        found.update(((q.cue, q.igniter), a) for q, a in zip(questions, answers, strict=True))
    return found


@pytest.mark.parametrize("seed", [104, 111])
def test_networks_in_which_some_points_are_later_than_the_corners(seed: int) -> None:
    """Found by running the generator over many seeds: the corner times are exceeded by a sixth."""
    ((name, assessment),) = ladders(seed, only=4)
    corners = outcomes(assessment)
    bounded = proven(assessment)
    assert_encloses(name, bounded, 2000, 1)
    proved = outcomes(bounded)
    later = 0.0
    for key, answer in searched(assessment).items():
        assert proved[key].proof is Proof.PROVEN
        assert answer.latest <= proved[key].light.latest * (1.0 + SAME)
        if math.isfinite(answer.latest):
            later = max(later, answer.latest / corners[key].light.latest)
    assert later > 1.1, "no point is later than the corners: another network is needed"


def test_alone_the_corners_are_the_bounds() -> None:
    assessment = bench(["s"], [("box/1", "s", 15.0)], [Cue("c", fire="box/1/1", time_s=0.0)])
    before, after = outcomes(assessment), outcomes(proven(assessment))
    assert {i.proof for i in after.values()} == {Proof.PROVEN}
    assert [i.light for i in after.values()] == [i.light for i in before.values()]


def test_a_chain_of_slow_igniters_is_bounded_closely() -> None:
    assessment = chain(3, 4.0, 5.0)
    before, after = outcomes(assessment), outcomes(proven(assessment))
    for key, igniter in after.items():
        assert igniter.proof is Proof.PROVEN
        if math.isfinite(before[key].light.latest):
            assert igniter.light.latest < 1.5 * before[key].light.latest
        assert igniter.light.latest >= before[key].light.latest
        assert igniter.light.earliest <= before[key].light.earliest


def test_a_shared_return_is_searched() -> None:
    cues = [Cue(f"c{w}", fire=f"box/1/{w}", time_s=0.0, pulse_s=0.05) for w in (1, 2)]
    igniters = [Igniter(f"s/{w}", MATCH, id=f"i{w}") for w in (1, 2)]
    assessment = bench(["s"], [("box/1", "s", 10.0)], cues, igniters=igniters)
    assert assessment.simulation.results[0].mesh is not None
    before, after = outcomes(assessment), outcomes(proven(assessment))
    for key, igniter in after.items():
        assert igniter.proof is Proof.SEARCHED
        assert igniter.verdict is Verdict.SURE
        assert igniter.light.latest >= before[key].light.latest
    assert outcomes(proven(assessment)) == after


def test_a_search_that_finds_a_failure_makes_marginal() -> None:
    """On a fold-back limit less resistance on the path means less current: no corner shows it."""
    found = [
        (before, after)
        for seed in FOLD_BACK_SEEDS
        for assessment in (random_show(seed)[1],)
        for before, after in zip(
            outcomes(assessment).values(), outcomes(proven(assessment)).values(), strict=True
        )
        if before.verdict is Verdict.SURE and after.verdict is Verdict.MARGINAL
    ]
    assert found
    for _, after in found:
        assert after.proof is Proof.SEARCHED
        assert math.isinf(after.light.latest)
        assert after.margin is not None
        assert after.margin < 1.0


FOLD_BACK_SEEDS = (19, 43)


def test_a_mate_that_parts_first_only_at_high_current_is_found() -> None:
    """The slow corner has little current, at which the mate never parts."""
    igniters = [Igniter("s/1", f"generic:{c}", id=c, string="one") for c in ("sudden", "steady")]
    cue = Cue("c", fire="box/1/1", time_s=0.0, pulse_s=0.2)
    runs = [("box/1", "s", 20.0)]
    wide = small_show(runs, igniters, [cue], MATRIX, supply_V=Band(3.3, 3.4, 12.0))
    weak = small_show(runs, igniters, [cue], MATRIX, supply_V=Band(3.3, 3.4, 3.5))
    for assessment, verdict in ((wide, Verdict.MARGINAL), (weak, Verdict.SURE)):
        before = {i.id: i for i in assessment.cues[0].igniters}["steady"]
        after = {i.id: i for i in proven(assessment).cues[0].igniters}["steady"]
        assert before.verdict is Verdict.SURE
        assert after.verdict is verdict


@pytest.mark.parametrize("repeat", [None, Repeat(2, 0.02)])
@pytest.mark.parametrize(
    ("count", "micro", "metres"),
    [(1, 8, 25.0), (1, 12, 25.0), (2, 30, 10.0), (2, 40, 15.0), (4, 100, 10.0), (4, 150, 15.0)],
)
def test_pulses_that_take_much_of_a_capacitor(
    count: int, micro: int, metres: float, repeat: Repeat | None
) -> None:
    many = {"count": count, "connection": "parallel"} if count > 1 else {}
    igniters = [Igniter("s/1", "generic:even", id="s", **many)]  # type: ignore[arg-type]
    cue = Cue("c", fire="box/1/1", time_s=0.0, pulse_s=0.002, repeat=repeat)
    box = f"generic:capacitor-{micro}"
    assessment = small_show([("box/1", "s", metres)], igniters, [cue], box)
    assert_encloses("capacitor", proven(assessment), 2000, 1)
    assert_corners_within("capacitor", assessment)


@pytest.mark.parametrize("micro", [30, 40, 100, 150, 200, 400])
def test_a_neighbour_that_empties_the_capacitor(micro: int) -> None:
    igniters = [
        Igniter("near/1", "generic:shorting", id="near"),
        Igniter("far/1", "generic:even", id="far"),
    ]
    cue = Cue("c", fire="box/1/1", time_s=0.0, pulse_s=0.02)
    runs = [("box/1", "hub", 1.0), ("hub", "near", 8.0), ("hub", "far", 40.0)]
    box = f"generic:capacitor-{micro}"
    assessment = small_show(runs, igniters, [cue], box, splitters=("hub",))
    assert_encloses("neighbour", proven(assessment), 2000, 1)
    assert_corners_within("neighbour", assessment)


@pytest.mark.parametrize("gap_s", [0.1, 0.5, 1.0])
def test_cooling_between_pulses(gap_s: float) -> None:
    """Heat is kept from pulse to pulse; more current than needed, but for too short a time."""
    cue = Cue("c", fire="box/1/1", time_s=0.0, pulse_s=0.12, repeat=Repeat(8, gap_s))
    igniters = [Igniter("s/1", SLOW, id="s")]
    volts = Band(20.3, 20.8, 21.3)
    assessment = small_show([("box/1", "s", 25.0)], igniters, [cue], MATRIX, supply_V=volts)
    bounded = proven(assessment)
    assert_encloses("repeats", bounded, 2000, 1)
    (igniter,) = bounded.cues[0].igniters
    assert igniter.light.typical > 0.12


def test_bounds_cool_with_the_extreme_time_constants() -> None:
    """C 5 to 7 mJ/K, loss 1.7 to 2.3 mW/K in the shipped class: tau 2.174 to 4.118 s."""
    igniters = [Igniter("s/1", SLOW, id="s")]
    cue = Cue("c", fire="box/1/1", time_s=0.0, pulse_s=0.1)
    assessment = small_show([("box/1", "s", 10.0)], igniters, [cue], MATRIX)
    bounds = Bounds.cold(assessment.simulation.results[0].component, 0.0)
    bounds.x = np.full((2, 1), 0.5)
    bounds.cool_until(2.0)
    assert bounds.x[:, 0] == pytest.approx(
        [0.5 * math.exp(-2.0 / (5.0 / 2.3)), 0.5 * math.exp(-2.0 / (7.0 / 1.7))]
    )


@pytest.mark.parametrize("pause_s", [0.3, 1.0, 2.0])
def test_cooling_within_a_firing(pause_s: float) -> None:
    """The pulse of another output spans the pause, so that all of it is one firing."""
    cues = [
        Cue("first", fire="box/1/1", time_s=0.0, pulse_s=0.4),
        Cue("other", fire="box/2/1", time_s=0.0, pulse_s=4.0),
        Cue("again", fire="box/1/1", time_s=0.4 + pause_s, pulse_s=1.2),
    ]
    igniters = [Igniter("s/1", SLOW, id="s"), Igniter("t/1", "generic:even", id="t")]
    runs = [("box/1", "s", 10.0), ("box/2", "t", 10.0)]
    assessment = small_show(runs, igniters, cues, "generic:constant-current")
    assert len(assessment.simulation.results) == 1
    bounded = proven(assessment)
    assert_encloses("pause", bounded, 3000, 1)
    light = {i.id: i for i in bounded.cues[2].igniters}["s"].light
    assert math.isfinite(light.latest)


def test_what_cannot_be_proven() -> None:
    _, assessment = random_show(19)
    result = assessment.simulation.results[0]
    supply = assessment.simulation.supplies[result.firing.box][0]
    assert isinstance(supply, SupplyData)
    assert provable(result, supply)
    on_capacitor = SupplyData(
        supply.emf_V, supply.internal_ohm, supply.limit_A, supply.short_circuit_A, Band.exact(1.0)
    )
    assert not provable(result, on_capacitor)
    falling = SupplyData(supply.emf_V, supply.internal_ohm, supply.short_circuit_A, supply.limit_A)
    assert not provable(result, falling)
