"""Operating points of supplies, by hand."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from bridgewire.physics.laws import Law, SupplyModel, SupplyState
from bridgewire.physics.network import Floats
from bridgewire.physics.supply import SupplyArrays, fold_back_slope, operating_point


def supply(
    emf_V: float = 12.0,
    internal_ohm: float = 0.5,
    limit_A: float = math.inf,
    short_A: float | None = None,
) -> SupplyArrays:
    """One supply; the limit is a constant current unless its short-circuit value is given."""
    return evolve(
        SupplyArrays.plain(emf_V, internal_ohm),
        limit_A=np.array([limit_A]),
        short_circuit_A=np.array([limit_A if short_A is None else short_A]),
    )


def point(one: SupplyArrays, load_S: float, drop_V: float = 0.0) -> tuple[float, float, bool]:
    """Output voltage, current and whether the limit is in force."""
    volts, current, limited = operating_point(
        one, one.emf_V, np.array([load_S]), np.array([drop_V])
    )
    return float(volts[0]), float(current[0]), bool(limited[0])


def test_no_limit() -> None:
    # 12 V over 0.5 + 2.5 ohm.
    assert point(supply(), 0.4) == pytest.approx((10.0, 4.0, False))


def test_no_load() -> None:
    assert point(supply(), 0.0) == (12.0, 0.0, False)
    assert point(supply(limit_A=3.0), 0.0) == (12.0, 0.0, False)


def test_drop_comes_off_the_voltage() -> None:
    # (12 - 1) V over 0.5 + 1.7 ohm: 5 A; the terminals stand at 12 - 2.5 V.
    assert point(supply(), 1 / 1.7, 1.0) == pytest.approx((9.5, 5.0, False))


def test_drop_above_the_voltage_blocks() -> None:
    assert point(supply(emf_V=0.6), 1.0, 0.7) == (0.6, 0.0, False)


def test_constant_current() -> None:
    # Free: 12 / 3 = 4 A. At 3 A the output is what the load of 2.5 ohm takes.
    assert point(supply(limit_A=3.0), 0.4) == pytest.approx((7.5, 3.0, True))
    assert point(supply(limit_A=5.0), 0.4) == pytest.approx((10.0, 4.0, False))


def test_exactly_at_the_limit_is_not_limited() -> None:
    # 12 V on 4 ohm: 3 A, without a rounding error.
    assert point(supply(internal_ohm=0.0, limit_A=3.0), 0.25) == (12.0, 3.0, False)
    assert point(supply(internal_ohm=0.0, limit_A=2.99), 0.25)[2]


def test_constant_current_with_drop() -> None:
    # 3 A in 1.7 ohm and 1 V.
    assert point(supply(limit_A=3.0), 1 / 1.7, 1.0) == pytest.approx((6.1, 3.0, True))


def test_fold_back() -> None:
    # Limit 6 A at 12 V, 2 A at 0 V: I = 2 + V / 3. With 1 ohm: V = 3 V / 3 -> I = V = 3.
    one = supply(limit_A=6.0, short_A=2.0)
    assert float(fold_back_slope(one)[0]) == pytest.approx(1 / 3)
    assert point(one, 1.0) == pytest.approx((3.0, 3.0, True))
    # Into a near short, the short-circuit current.
    assert point(one, 1e9)[1] == pytest.approx(2.0)


def test_fold_back_needs_a_load_steeper_than_its_limit() -> None:
    # A load of 0.3 S is flatter than 1/3 S; 12 V drive 3.13 A, below the limit there.
    assert point(supply(limit_A=6.0, short_A=2.0), 0.3) == pytest.approx(
        (12 / 1.15, 0.3 * 12 / 1.15, False)
    )


def test_slope_is_zero_without_a_limit() -> None:
    assert float(fold_back_slope(supply())[0]) == 0.0
    assert float(fold_back_slope(supply(limit_A=4.0))[0]) == 0.0


def test_take_keeps_the_order() -> None:
    v = np.array([1.0, 2.0, 3.0])
    both = SupplyArrays(v, v, v, v, v, v)
    taken = both.take(np.array([0, 2]))
    assert taken.emf_V.tolist() == [1.0, 3.0]
    assert taken.capacitance_F.tolist() == [1.0, 3.0]


def test_plain_sources_are_alike() -> None:
    three = SupplyArrays.plain(12.0, 0.5, count=3)
    assert three.emf_V.tolist() == three.nominal_V.tolist() == [12.0] * 3
    assert three.internal_ohm.tolist() == [0.5] * 3
    for none in (three.limit_A, three.short_circuit_A, three.capacitance_F):
        assert none.tolist() == [math.inf] * 3


def modelled(current_A: Callable[[SupplyState], Floats], *, count: int = 1) -> SupplyArrays:
    """Sources of 12 V whose last obeys a model."""
    law = Law(SupplyModel("own", current_A), np.array([count - 1]), {})
    return evolve(SupplyArrays.plain(12.0, 0.5, count), laws=(law,))


@settings(max_examples=60, deadline=None)
@given(load_S=st.floats(1e-3, 1e2), drop_V=st.floats(0.0, 13.0))
def test_the_built_in_law_as_a_model_gives_the_same_point(load_S: float, drop_V: float) -> None:
    two = modelled(lambda s: np.maximum(s.emf_V - s.output_V, 0.0) / 0.5, count=2)
    volts, current, _ = operating_point(two, two.emf_V, np.full(2, load_S), np.full(2, drop_V))
    assert volts[1] == pytest.approx(volts[0], rel=1e-9)
    assert current[1] == pytest.approx(current[0], rel=1e-9, abs=1e-9 * load_S)
    assert not two.faults.faults


@pytest.mark.parametrize(
    ("current_A", "load_S", "rises"),
    [
        (lambda v: 2.0 + 0.0 * v, 0.4, False),
        (lambda v: 2.0 - 0.1 * v, 0.4, False),
        # rounding is no rise, a microampere is
        (lambda v: 2.0 + 1e-10 * v, 0.4, False),
        (lambda v: 2.0 + 1e-6 * v, 0.4, True),
        # 6 V and 3 A: it rises below that point only
        (lambda v: np.minimum(1.0 + v, 3.0), 0.5, True),
        # 2 V and 2 A: it rises above that point only
        (lambda v: 2.0 + np.maximum(v - 6.0, 0.0), 1.0, True),
    ],
)
def test_a_model_that_rises_with_the_voltage_is_noted(
    current_A: Callable[[Floats], Floats], load_S: float, rises: bool
) -> None:
    one = modelled(lambda s: current_A(s.output_V))
    point(one, load_S)
    texts = [f.text for f in one.faults.faults]
    assert texts == (["current_A: rises with the output voltage"] if rises else [])


@settings(max_examples=200, deadline=None)
@given(
    emf_V=st.floats(0.1, 100.0),
    internal_ohm=st.floats(0.0, 5.0),
    limit_A=st.floats(0.1, 50.0),
    share=st.floats(0.1, 1.0),
    load_S=st.floats(1e-3, 1e3),
    drop_V=st.floats(0.0, 1.5),
)
def test_point_lies_on_load_and_source(
    emf_V: float,
    internal_ohm: float,
    limit_A: float,
    share: float,
    load_S: float,
    drop_V: float,
) -> None:
    one = supply(emf_V, internal_ohm, limit_A, share * limit_A)
    volts, current, limited = point(one, load_S, drop_V)
    assert current == pytest.approx(load_S * max(volts - drop_V, 0.0), rel=1e-6, abs=1e-9)
    if limited:
        assert current == pytest.approx(share * limit_A + (1 - share) * limit_A / emf_V * volts)
        assert volts <= emf_V - internal_ohm * current + 1e-6 * emf_V
    else:
        assert volts == pytest.approx(emf_V - internal_ohm * current)
