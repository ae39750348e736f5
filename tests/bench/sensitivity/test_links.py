"""The response curves: values, derivatives, far tails."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bridgewire.bench.sensitivity.links import LINKS, Link

ETA = np.array([-9.0, -3.0, -0.7, 0.0, 0.4, 1.9, 3.0])


@pytest.mark.parametrize("link", LINKS.values(), ids=list(LINKS))
def test_derivatives_are_those_of_the_logarithms(link: Link) -> None:
    h = 1e-5
    s = link.slopes(ETA)
    lit = (link.log_lit(ETA + h) - link.log_lit(ETA - h)) / (2 * h)
    unlit = -(link.log_unlit(ETA + h) - link.log_unlit(ETA - h)) / (2 * h)
    np.testing.assert_allclose(s.lit, lit, rtol=1e-6, atol=1e-9)
    np.testing.assert_allclose(s.unlit, unlit, rtol=1e-6, atol=1e-9)
    up, down = link.slopes(ETA + h), link.slopes(ETA - h)
    np.testing.assert_allclose(s.lit_bend, -(up.lit - down.lit) / (2 * h), rtol=1e-5, atol=1e-8)
    np.testing.assert_allclose(
        s.unlit_bend, (up.unlit - down.unlit) / (2 * h), rtol=1e-5, atol=1e-8
    )


@pytest.mark.parametrize("link", LINKS.values(), ids=list(LINKS))
@pytest.mark.parametrize("p", [1e-12, 0.001, 0.5, 0.999, 1 - 1e-9])
def test_quantile_is_the_inverse(link: Link, p: float) -> None:
    at = np.array([link.quantile(p)])
    assert float(link.probability(at)[0]) == pytest.approx(p, rel=1e-9)
    assert float(link.log_unlit(at)[0]) == pytest.approx(math.log1p(-p), rel=1e-6)


@pytest.mark.parametrize("link", LINKS.values(), ids=list(LINKS))
def test_nothing_overflows_far_out(link: Link) -> None:
    far = np.array([-800.0, -40.0, 40.0, 800.0])
    s = link.slopes(far)
    for values in (s.lit, s.unlit, s.lit_bend, s.unlit_bend, link.log_lit(far)):
        assert np.all(np.isfinite(values))
    assert np.all(s.lit_bend >= 0.0)
    assert np.all(s.unlit_bend >= 0.0)
    assert np.all(np.diff(link.log_lit(far)) >= 0.0)


def test_cloglog_has_632_at_its_mu() -> None:
    """1 - 1/e; a definition."""
    p = float(LINKS["cloglog"].probability(np.array([0.0]))[0])
    assert p == pytest.approx(1.0 - math.exp(-1.0), rel=1e-15)
