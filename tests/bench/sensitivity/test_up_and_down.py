"""Up-and-down formulas, with the published examples and their traps."""

from __future__ import annotations

import math

import pytest

from bridgewire.bench.sensitivity.isotonic import centred_isotonic
from bridgewire.bench.sensitivity.trials import from_groups, from_shots
from bridgewire.bench.sensitivity.up_and_down import (
    NotUpAndDown,
    UpAndDown,
    running_mean,
    up_and_down,
)
from tests.bench.sensitivity.data_sets import trials_of

# Dixon and Mood (1948), formulas as printed in Frattura ed Integrità Strutturale 58 (2021)
# 344-364, eqs 1-4. Data: Gorla et al. (2017), Tables 9 and 6.


def moods(name: str, outcome: str = "less-frequent", scale: str = "linear") -> UpAndDown:
    found = up_and_down(trials_of(name), scale, outcome=outcome)
    assert isinstance(found, UpAndDown)
    return found


@pytest.mark.parametrize(
    ("name", "outcome", "n", "a", "b", "mean", "spread"),
    [
        # N, A, B, m and s: arithmetic with the printed formulas
        ("fatigue-951", "lit", 8, 9, 19, "36.625", "1.8442"),
        ("fatigue-951", "unlit", 7, 9, 19, "36.785714", "1.7662"),
        ("fatigue-751", "lit", 7, 10, 18, "40.928571", "0.90657"),
        ("fatigue-751", "unlit", 6, 8, 14, "40.833333", "0.94698"),
    ],
)
def test_sums_mean_and_spread(
    name: str, outcome: str, n: int, a: int, b: int, mean: str, spread: str
) -> None:
    found = moods(name, outcome)
    assert (found.n, found.a, found.b) == (n, a, b)
    for value, digits in ((found.mean, mean), (found.spread, spread)):
        half = 0.5 * 10.0 ** -len(digits.partition(".")[2])
        assert value == pytest.approx(float(digits), abs=half, rel=0)


def test_trap_the_published_mean_counted_the_more_frequent_outcome() -> None:
    """Gorla et al., Table 9: printed 36.63 kN; the rule gives the 36.78571 of the R package
    upndown 0.2.0 (dixonmood)."""
    by_rule = moods("fatigue-951")
    assert by_rule.outcome == "unlit"
    assert by_rule.mean == pytest.approx(36.78571, abs=5e-6)
    assert moods("fatigue-951", "lit").mean == pytest.approx(36.63, abs=0.005 + 1e-9)


def test_the_published_standard_error_needs_a_factor_that_we_do_not_have() -> None:
    """Gorla et al.: SE 0.62 of 36.63 is G s / sqrt(N) with G = 0.951, read off a curve of the 1948
    paper. We leave the standard error out."""
    found = moods("fatigue-951", "lit")
    assert 0.951 * found.spread / math.sqrt(found.n) == pytest.approx(0.62, abs=0.005)
    assert not any("se" in name.split("_") for name in UpAndDown.__annotations__)


def test_running_mean() -> None:
    """Gorla et al., Table 6: published 40.91 by Brownlee et al. (1953); 40.90909 in upndown."""
    found = running_mean(trials_of("fatigue-751"))
    assert found == pytest.approx(40.91, abs=0.005)
    assert found == pytest.approx(40.90909, abs=5e-6)


@pytest.mark.parametrize(("name", "value"), [("fatigue-951", 36.26829), ("fatigue-751", 41.17241)])
def test_isotonic_half_way_level(name: str, value: float) -> None:
    """R package upndown 0.2.0, vignette: centred isotonic regression. Its 90 % intervals
    (35.28684, 38.4467) and (39.57807, 41.7665) are not computed here."""
    assert centred_isotonic(trials_of(name)) == pytest.approx(value, abs=5e-6)


def test_isotonic_gives_nothing_beyond_the_shares_seen() -> None:
    assert centred_isotonic(from_groups([1, 2], [10, 10], [0, 2]), shrink=False) is None
    assert centred_isotonic(from_groups([1, 2], [10, 10], [8, 9]), shrink=False) is None


def test_the_rule_of_thumb_at_and_below_the_threshold() -> None:
    """(N B - A²) / N² not above 0.3: s = 0.53 d."""
    found = up_and_down(from_shots([3, 2, 3, 2, 3, 2], [1, 0, 1, 0, 1, 0]))
    assert isinstance(found, UpAndDown)
    assert found.crude
    assert found.spread == pytest.approx(0.53)
    assert any("rule of thumb" in note for note in found.notes)
    assert not moods("fatigue-951").crude


def test_rounded_levels_on_their_own_scale() -> None:
    """Hamada et al. (2019): heights are 0.05 apart in log10, rounded; on a linear scale they are
    no up-and-down trial."""
    found = moods("drop-test", scale="log10")
    assert found.step == pytest.approx(0.05, abs=2e-4)
    assert found.mean == pytest.approx(1.531691, abs=0.02)  # near the published fit
    wrong = up_and_down(trials_of("drop-test"))
    assert isinstance(wrong, NotUpAndDown)
    assert "equal steps" in wrong.reasons[0]


@pytest.mark.parametrize(
    ("x", "y", "word"),
    [
        ([3, 4, 3], [1, 0, 1], "shot 1 lit, but shot 2 is not one step lower"),
        ([3, 2, 4, 3], [1, 0, 1, 0], "shot 2 did not light, but shot 3 is not one step higher"),
        ([1, 1], [1, 0], "only one level"),
        ([3, 2, 1], [1, 1, 1], "alike"),
    ],
)
def test_conditions_that_are_not_met(x: list[float], y: list[int], word: str) -> None:
    found = up_and_down(from_shots(x, y))
    assert isinstance(found, NotUpAndDown)
    assert any(word in reason for reason in found.reasons)
    assert isinstance(running_mean(from_shots(x, y)), NotUpAndDown)


def test_counts_have_no_order() -> None:
    found = up_and_down(from_groups([1, 2], [3, 3], [1, 2]))
    assert isinstance(found, NotUpAndDown)
    assert "order" in found.reasons[0]


def test_an_unknown_outcome_is_refused() -> None:
    with pytest.raises(ValueError, match="outcome"):
        up_and_down(trials_of("fatigue-951"), outcome="both")
