"""Where no curve can be computed there is a reason and never a number."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from bridgewire.bench.sensitivity.analysis import analyse
from bridgewire.bench.sensitivity.fit import Fit, NoFit, fit, log_likelihood_at
from bridgewire.bench.sensitivity.links import LINKS, PROBIT, Link
from bridgewire.bench.sensitivity.newton import maximise
from bridgewire.bench.sensitivity.overlap import Pattern, overlap
from bridgewire.bench.sensitivity.trials import from_groups, from_shots

EVERY_LINK = pytest.mark.parametrize("link", LINKS.values(), ids=list(LINKS))

# R package gonogo (commit f1deef8, wxdat): its cases without a usable maximum.
PUBLISHED = {
    "no overlap": ([14, 15, 16], [0, 1, 1], "separated", 14.0, 15.0),
    "one-point overlap": ([14, 16, 16], [0, 0, 1], "one-point overlap", 14.0, None),
    "perfect separation": ([13, 14, 15, 16], [0, 0, 1, 1], "separated", 14.0, 15.0),
    "infinite sigma": ([10, 12, 11, 8], [0, 1, 1, 1], "not bracketed", None, 11.0),
}


@EVERY_LINK
@pytest.mark.parametrize("name", list(PUBLISHED))
def test_published_degenerate_cases(name: str, link: Link) -> None:
    x, y, reason, low, high = PUBLISHED[name]
    found = fit(from_shots(x, y), link)
    assert isinstance(found, NoFit)
    assert (found.reason, found.none_lit_up_to, found.all_lit_from) == (reason, low, high)


@EVERY_LINK
def test_the_infinite_sigma_case_has_a_maximum_but_no_bound(link: Link) -> None:
    """Its lit and unlit levels overlap, and the lit ones are higher on average, so the likelihood
    has a finite maximum; but it lies far outside the levels tried, and a flat curve is as good.
    That is why it gets a reason, not a number."""
    t = from_shots([10, 12, 11, 8], [0, 1, 1, 1])
    assert overlap(t).pattern is Pattern.OVERLAP
    design = np.column_stack([np.ones(4), t.level])
    b0, b1 = maximise(design, t.tried, t.lit, link).coefficients
    assert b1 > 0.0
    assert (link.quantile(0.5) - b0) / b1 < 8.0


@pytest.mark.parametrize(
    ("x", "y", "reason", "low", "high"),
    [
        ([1, 2, 3], [1, 1, 1], "all lit", None, 1.0),
        ([1, 2, 3], [0, 0, 0], "none lit", 3.0, None),
        ([2, 2, 2], [0, 1, 1], "one level", None, None),
        ([2], [1], "all lit", None, 2.0),
        ([1, 2, 3, 4], [1, 1, 0, 0], "reversed", None, None),
        ([1, 2, 2, 3], [1, 1, 0, 0], "reversed", None, None),
        ([1, 2, 2, 3], [0, 1, 0, 1], "one-point overlap", 1.0, 3.0),
        ([1, 1, 2, 2, 3, 3], [1, 0, 1, 0, 1, 0], "falling", None, None),
        ([1, 1, 1, 2, 2, 3, 3, 3], [1, 1, 0, 1, 0, 1, 0, 0], "falling", None, None),
    ],
)
def test_each_reason(
    x: list[float], y: list[int], reason: str, low: float | None, high: float | None
) -> None:
    found = fit(from_shots(x, y), PROBIT)
    assert isinstance(found, NoFit)
    assert (found.reason, found.none_lit_up_to, found.all_lit_from) == (reason, low, high)


def test_an_analysis_without_a_fit_has_counts_only() -> None:
    a = analyse(from_shots([13, 14, 15, 16], [0, 0, 1, 1]), PROBIT)
    assert (a.misfit, a.middle, a.all_fire, a.no_fire, a.others) == (None, (), None, None, ())
    assert [c.expected for c in a.counts] == [None] * 4


def _separable(x: np.ndarray, y: np.ndarray) -> bool:
    """By linear programming: is there a line, not 0 on all shots, that is nowhere on the wrong
    side? (Albert and Anderson 1984, complete or quasi-complete separation)"""
    rows = np.column_stack([np.ones_like(x), x]) * np.where(y > 0, 1.0, -1.0)[:, None]
    best = linprog(-rows.sum(axis=0), A_ub=-rows, b_ub=np.zeros(len(x)), bounds=[(-1, 1)] * 2)
    return bool(-best.fun > 1e-9)


def test_ordering_agrees_with_linear_programming_on_all_small_cases() -> None:
    checked = 0
    for n in (2, 3, 4, 5):
        for x in itertools.combinations_with_replacement(range(4), n):
            for y in itertools.product((0, 1), repeat=n):
                levels = np.array(x, dtype=float)
                if n == 5 and checked % 3:  # every third of the longest will do
                    checked += 1
                    continue
                by_order = overlap(from_shots(list(x), list(y))).pattern
                separable = _separable(levels, np.array(y))
                # at one level with both outcomes only 0 = 0 is feasible, yet nothing is unique
                single = by_order is Pattern.ONE_LEVEL
                assert (by_order is not Pattern.OVERLAP) == (separable or single), (x, y)
                checked += 1
    assert checked > 2000


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 6), st.booleans()), min_size=1, max_size=14),
    st.sampled_from(list(LINKS.values())),
)
def test_a_fit_is_a_maximum_or_there_is_none(shots: list[tuple[int, bool]], link: Link) -> None:
    found = fit(from_shots([x for x, _ in shots], [y for _, y in shots]), link)
    if isinstance(found, NoFit):
        return
    assert found.sigma > 0.0
    for db0, db1 in ((1e-3, 0.0), (-1e-3, 0.0), (0.0, 1e-4), (0.0, -1e-4)):
        beside = log_likelihood_at(found, found.b0 + db0, found.b1 + db1)
        assert beside <= found.log_likelihood + 1e-12


@settings(max_examples=25, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.one_of(st.floats(1e-9, 1e9), st.integers(1, 4).map(float)),
            st.integers(1, 10**6),
            st.floats(0.0, 1.0),
        ),
        min_size=1,
        max_size=6,
    ),
    st.sampled_from(list(LINKS.values())),
    st.sampled_from(["linear", "log10"]),
)
def test_no_levels_and_counts_break_an_analysis(
    rows: list[tuple[float, int, float]], link: Link, scale: str
) -> None:
    level, tried = [r[0] for r in rows], [r[1] for r in rows]
    a = analyse(from_groups(level, tried, [int(n * p) for _, n, p in rows]), link, scale)
    for m in a.middle:
        low, high = m.profile
        assert low is None or low <= m.level * (1.0 + 1e-9)
        assert high is None or high >= m.level * (1.0 - 1e-9)


@EVERY_LINK
def test_the_fit_does_not_hang_on_unit_or_offset(link: Link) -> None:
    x, y = [1, 2, 3, 4, 2, 3], [0, 1, 0, 1, 0, 1]
    plain = fit(from_shots(x, y), link)
    moved = fit(from_shots([1e6 + 1e-3 * v for v in x], y), link)
    assert isinstance(plain, Fit)
    assert isinstance(moved, Fit)
    assert moved.mu == pytest.approx(1e6 + 1e-3 * plain.mu, abs=1e-8)
    assert moved.sigma == pytest.approx(1e-3 * plain.sigma, rel=1e-6)


@pytest.mark.parametrize(
    "call",
    [
        lambda: from_shots([], []),
        lambda: from_shots([1.0], [1, 0]),
        lambda: from_shots([1.0], [2]),
        lambda: from_shots([float("nan")], [1]),
        lambda: from_groups([1.0], [0], [0]),
        lambda: from_groups([1.0], [2], [3]),
        lambda: from_groups([1.0], [2], [-1]),
        lambda: fit(from_shots([0.0, 1.0], [0, 1]), PROBIT, "ln"),
        lambda: fit(from_shots([0.5, 1.0], [0, 1]), PROBIT, "sqrt"),
        lambda: fit(from_shots([0.5, 1.0], [0, 1]), PROBIT, information="best"),
    ],
)
def test_what_makes_no_sense_is_refused(call: object) -> None:
    assert callable(call)
    with pytest.raises(ValueError):
        call()


def test_the_maximum_is_refused_where_there_is_none() -> None:
    design = np.column_stack([np.ones(2), [0.0, 1.0]])
    with pytest.raises(ArithmeticError):
        maximise(design, np.ones(2), np.array([0.0, 1.0]), PROBIT)


def test_a_steep_curve_among_far_levels_keeps_its_digits() -> None:
    """Levels from 1e-9 to 6e5 with the whole curve between two of them."""
    far, near = [1e-9, 5e5, 6e5], [0.0036, 0.08, 0.16]
    tried, lit = [800, 700, 500], [1, 300, 420]
    alone = fit(from_groups(near, tried, lit), PROBIT)
    both = fit(from_groups(near + far, [*tried, 5, 5, 5], [*lit, 0, 5, 5]), PROBIT)
    assert isinstance(alone, Fit)
    assert isinstance(both, Fit)
    assert both.mu == pytest.approx(alone.mu, rel=1e-2)
