"""Monte Carlo of a show against closed forms; what is common to igniters; workers and blocks."""

from __future__ import annotations

import math
from pathlib import Path
from statistics import NormalDist

import numpy as np
import pytest

from bridgewire.api import load_show
from bridgewire.plugins import PluginSet
from bridgewire.timeline.assess import assess
from bridgewire.uncertainty.normal import below, quantile
from bridgewire.uncertainty.odds import show_odds
from bridgewire.uncertainty.odds_figures import ShowOdds
from tests.uncertainty.shows import (
    CURRENT_A,
    PULSE_S,
    REACH,
    TAU_S,
    assessed,
    band,
    kit,
    show,
    single,
)

SIGMA = 0.1
EXAMPLES = Path(__file__).parents[2] / "examples"
TWO_CUES = ['fire = "box/1/1"\ntime_s = 1.0', 'fire = "box/2/1"\ntime_s = 5.0']


def threshold_failing(p: float, sigma: float = SIGMA) -> float:
    """Typical threshold with which a single igniter fails with probability p."""
    return CURRENT_A * REACH * math.exp(sigma * NormalDist().inv_cdf(p))


def near(rate: float, p: float, draws: int) -> bool:
    """Whether a rate is within four standard errors."""
    return abs(rate - p) < 4.0 * math.sqrt(p * (1.0 - p) / draws)


@pytest.mark.parametrize("p", [0.03, 0.4])
def test_a_single_igniter_fails_as_its_lognormal_threshold_says(p: float, tmp_path: Path) -> None:
    odds = show_odds(single(tmp_path, band(threshold_failing(p), SIGMA)), draws=4000)
    igniter = odds.cues[0].igniters[0]
    assert near(igniter.failures / 4000, p, 4000)
    assert igniter.lights.low <= 1.0 - p <= igniter.lights.high
    assert odds.no_unlit == odds.every_cue == igniter.lights
    # Latin draws hit the probability of a one-sided limit in two latents more closely.
    assert {s.group for s in igniter.shares} == {"igniter itself", "igniter batch"}


def test_shares_of_the_variance_are_those_of_the_kit(tmp_path: Path) -> None:
    # Margin goes with one over the threshold: its logarithm is a sum.
    kit_text = band(0.3, SIGMA)
    shares = show_odds(single(tmp_path, kit_text, batch_share=0.4), draws=4000).cues[0].igniters[0]
    found = {s.group: s.share for s in shares.shares}
    # The margin is no pure power of the threshold, but nearly so.
    assert found["igniter batch"] == pytest.approx(0.4, abs=0.06)
    assert found["igniter itself"] == pytest.approx(0.6, abs=0.06)


def both(tmp_path: Path, share: float, p: float, draws: int) -> ShowOdds:
    """Two igniters on outputs of their own."""
    text = show(["a/1", "b/1"], TWO_CUES)
    assessment = assessed(tmp_path, kit(band(threshold_failing(p), SIGMA), batch_share=share), text)
    return show_odds(assessment, draws=draws)


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_a_batch_in_common_changes_the_show_but_not_its_igniters(
    share: float, tmp_path: Path
) -> None:
    p, draws = 0.2, 5000
    odds = both(tmp_path, share, p, draws)
    for cue in odds.cues:
        assert near(cue.igniters[0].failures / draws, p, draws)
    # Both light: given the batch's z the two are independent.
    z = quantile((np.arange(20_000) + 0.5) / 20_000)
    limit = NormalDist().inv_cdf(1.0 - p)
    if share < 1.0:
        x = (limit - math.sqrt(share) * z) / math.sqrt(1.0 - share)
        lights = np.array([below(v) for v in x[::20].tolist()])
        good = float((lights**2).mean())
    else:
        good = 1.0 - p
    assert near(odds.no_unlit.value, good, draws)
    assert odds.unlit.value == pytest.approx(2.0 * p, abs=0.04)


def test_igniters_of_two_batches_fail_independently(tmp_path: Path) -> None:
    p, draws = 0.2, 5000
    text = show(["a/1", "b/1"], TWO_CUES).replace('id = "b 1"\n', 'id = "b 1"\nbatch = "x"\n')
    assessment = assessed(tmp_path, kit(band(threshold_failing(p), SIGMA), batch_share=1.0), text)
    assert near(show_odds(assessment, draws=draws).no_unlit.value, (1.0 - p) ** 2, draws)


def test_the_box_is_common_to_all_its_igniters(tmp_path: Path) -> None:
    # The supply voltage alone scatters: both light or none.
    supply = (
        'kind = "regulated"\nopen_circuit_V = { min = 0.7, typical = 1.0, max = 1.3 }\n'
        "internal_ohm = 0.0"
    )
    text = show(["a/1", "b/1"], TWO_CUES)
    exact = repr(0.93 * CURRENT_A * REACH)
    odds = show_odds(assessed(tmp_path, kit(exact, supply=supply), text), draws=4000)
    fails = below(NormalDist().inv_cdf(0.5) - 0.07 / 0.1)
    assert near(1.0 - odds.no_unlit.value, fails, 4000)
    assert odds.no_unlit == odds.cues[0].all_light == odds.cues[1].all_light
    assert odds.cues[0].igniters[0].shares[0].group == "supply voltage"


def figures(odds: ShowOdds) -> list[object]:
    """Everything that is counted."""
    counts = [(c.id, c.all_light, c.together, [i.failures for i in c.igniters]) for c in odds.cues]
    return [counts, odds.no_unlit, odds.every_cue, odds.unlit]


def test_the_result_is_the_same_for_any_number_of_workers_and_any_block() -> None:
    assessment = assess(load_show(EXAMPLES / "boathouse-troubles.toml", plugins=PluginSet()).layout)
    one = show_odds(assessment, draws=600)
    assert 0 < sum(i.failures for c in one.cues for i in c.igniters if c.id == "ring") < 600
    # By text, as what is not known (nan) equals nothing.
    assert repr(show_odds(assessment, draws=600, workers=3)) == repr(one)
    for block in (100, 777):
        assert figures(show_odds(assessment, draws=600, block=block)) == figures(one)
    assert figures(show_odds(assessment, draws=600, seed=2)) != figures(one)


def test_other_cues_in_the_show_change_nothing_for_a_cue(tmp_path: Path) -> None:
    threshold = band(threshold_failing(0.2), SIGMA)
    alone = show_odds(single(tmp_path, threshold), draws=500)
    text = show(
        ["a/1", "a/2"], ['fire = "box/1/2"\ntime_s = 9.0', 'fire = "box/1/1"\ntime_s = 1.0']
    )
    more = show_odds(assessed(tmp_path, kit(threshold), text), draws=500)
    assert more.cues[1].igniters[0].failures == alone.cues[0].igniters[0].failures


def test_a_repeat_soon_after_helps_and_one_long_after_does_not(tmp_path: Path) -> None:
    def rate(repeat: str) -> float:
        cue = f'fire = "box/1/1"\ntime_s = 1.0\npulse_s = 0.01\n{repeat}'
        text = show(["a/1"], [cue]).replace(f"pulse_s = {PULSE_S}\n", "", 1)
        threshold = band(CURRENT_A * math.sqrt(1.0 - math.exp(-1.0)), SIGMA)
        return (
            show_odds(assessed(tmp_path, kit(threshold), text), draws=2000)
            .cues[0]
            .igniters[0]
            .failures
            / 2000
        )

    once, soon = rate(""), rate("repeat = { times = 1, gap_s = 0.002 }")
    late = rate("repeat = { times = 1, gap_s = 1.0 }")
    assert once == pytest.approx(0.5, abs=0.02)
    assert late == once
    # Heat is kept over the gap: x rises from x1 e^(-gap/tau) for another pulse.
    x1 = 1.0 - math.exp(-0.01 / TAU_S)
    x2 = x1 * math.exp(-0.002 / TAU_S) * math.exp(-0.01 / TAU_S) + x1
    assert near(soon, below(-0.5 * math.log(x2 / x1) / SIGMA), 2000)


def test_a_second_cue_lights_what_the_first_left(tmp_path: Path) -> None:
    cues = [
        'fire = "box/1/1"\ntime_s = 1.0\npulse_s = 0.008',
        'fire = "box/1/1"\ntime_s = 9.0\npulse_s = 0.016',
    ]
    text = show(["a/1"], cues).replace(f"pulse_s = {PULSE_S}\n", "")
    typical = 0.8 * CURRENT_A
    odds = show_odds(assessed(tmp_path, kit(band(typical, SIGMA)), text), draws=4000)

    def lights(pulse: float) -> float:
        reach = CURRENT_A * math.sqrt(1.0 - math.exp(-pulse / TAU_S))
        return below(math.log(reach / typical) / SIGMA)

    assert near(odds.cues[0].all_light.value, lights(0.008), 4000)
    assert near(odds.cues[1].all_light.value, lights(0.016), 4000)
    # No igniter is left, though the first cue often fails.
    assert odds.no_unlit == odds.cues[1].all_light
    assert odds.every_cue == odds.cues[0].all_light


def test_a_capacitor_that_is_not_full_again_costs_the_next_cue(tmp_path: Path) -> None:
    supply = (
        'kind = "capacitor"\ncharged_V = 1.0\n'
        "capacitance_F = { min = 0.04, typical = 0.05, max = 0.06 }\n"
        "series_ohm = 0.0\nrecharge_s = { min = 0.8, typical = 1.0, max = 1.2 }"
    )
    threshold = band(0.9 * CURRENT_A * REACH, SIGMA)

    def second(at: float) -> float:
        cues = ['fire = "box/1/1"\ntime_s = 1.0', f'fire = "box/2/1"\ntime_s = {at}']
        assessment = assessed(tmp_path, kit(threshold, supply=supply), show(["a/1", "b/1"], cues))
        odds = show_odds(assessment, draws=500)
        return odds.cues[1].igniters[0].failures / 500

    soon, late, later = second(1.2), second(5.0), second(60.0)
    assert soon > late + 0.1
    assert late == later


def test_together_within_the_spread_as_the_light_times_say(tmp_path: Path) -> None:
    limit = 0.004
    cue = f'fire = "box/1/1"\ntime_s = 1.0\ntogether = true\nspread_s = {limit}'
    text = show(["a/1", "a/1"], [cue]).replace('id = "a 1"\n', "")
    threshold = 0.75 * CURRENT_A
    data = kit(band(threshold, SIGMA), batch_share=0.0, burn_open="2.5")
    draws = 4000
    odds = show_odds(assessed(tmp_path, data, text), draws=draws)
    # Without series resistance the two do not know of each other.
    z = quantile((np.arange(2000) + 0.5) / 2000)
    u = np.minimum((threshold * np.exp(SIGMA * z) / CURRENT_A) ** 2, 1.0 - 1e-12)
    times = -TAU_S * np.log1p(-u)
    lit = times <= PULSE_S
    close = np.abs(times[:, None] - times[None, :]) <= limit
    p = float((close & lit[:, None] & lit[None, :]).mean())
    together = odds.cues[0].together
    assert together is not None
    assert 0.1 < p < 0.9
    assert near(together.value, p, draws)


def test_what_cannot_be_computed_is_told_and_not_counted(tmp_path: Path) -> None:
    text = show(["a/1", "b/1"], TWO_CUES)
    data = kit(band(0.2, SIGMA)).replace("after_fire", "#after_fire")
    odds = show_odds(assessed(tmp_path, data, text), draws=100)
    assert odds.unknown == ("a 1", "b 1")
    assert odds.igniters == 0


def test_an_igniter_that_no_cue_reaches_counts_as_failed(tmp_path: Path) -> None:
    cue = 'fire = "box/1/1"\ntime_s = 1.0\nlights = ["a 1", "b 1"]'
    odds = show_odds(
        assessed(tmp_path, kit(band(0.2, SIGMA)), show(["a/1", "b/1"], [cue])), draws=200
    )
    assert odds.never == ("b 1",)
    assert odds.no_unlit.value == odds.every_cue.value == 0.0
    assert odds.unlit.value >= 1.0
