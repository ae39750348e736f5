"""Integrals and roots within one step of a bridge, against quadrature and by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bridgewire.physics import step_response
from bridgewire.physics.network import Floats
from bridgewire.physics.step_response import Weights, crossing

NODES, SHARES = np.polynomial.legendre.leggauss(40)
S, DS = 0.5 * (NODES + 1.0), 0.5 * SHARES
"""Places and widths of Gauss-Legendre quadrature from 0 to 1."""


@pytest.mark.parametrize("z", [1e-6, 1e-3, 0.01, 0.0199999, 0.02, 0.5, 3.0, 20.0])
def test_weights_are_the_integrals_that_they_are_said_to_be(z: float) -> None:
    """z times the integral of e^(-z(1-s)) s^n; on both sides of where the series ends."""
    w = Weights(np.array([z]))
    for n, ours in enumerate((w.m0, w.m1, w.m2)):
        integral = z * float(np.sum(DS * np.exp(-z * (1.0 - S)) * S**n))
        assert float(ours[0]) == pytest.approx(integral, rel=1e-9), n


def test_the_root_of_a_smooth_rise_takes_few_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    """Newton's method doubles the digits; halving the bracket would take more than 40 steps."""
    asked: list[float] = []
    response = step_response.response

    def counted(*args: Floats) -> tuple[Floats, Floats]:
        asked.append(float(args[-1][0]))
        return response(*args)

    monkeypatch.setattr(step_response, "response", counted)
    # From cold with u = 2 the rise is 1 after ln 2 time constants.
    step = (np.array([v]) for v in (1.0, 0.0, 2.0, 2.0, 0.0, 1.0, 1.0))
    (s,) = crossing(*step)
    assert float(s) == pytest.approx(math.log(2.0), rel=1e-13)
    assert len(asked) <= 8
