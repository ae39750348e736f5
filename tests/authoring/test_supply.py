"""Internal resistance and current limit from loads."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from bridgewire.authoring.supply import (
    BenchError,
    LoadReading,
    internal_ohm,
    supply_estimate,
)
from bridgewire.model.band import Band
from bridgewire.physics.supply import SupplyArrays, operating_point


def load(ohm: float, volts: float, percent: float = 0.5, off: float = 0.02) -> LoadReading:
    return LoadReading(Band.with_percent(ohm, percent), Band.with_tolerance(volts, off))


def test_two_point_method() -> None:
    """Ri = (V1 - V2) R / V2 with R = 4 ohm: web article on measuring cells of the size 18650. The
    article's class "excellent" is 75 to 150 mohm: from 4.00 V at rest, 3.90 V on the load is
    103 mohm."""
    found = internal_ohm(Band.exact(4.0), load(4.0, 3.9, 0.0, 0.0))
    assert found.typical == pytest.approx(0.1 * 4.0 / 3.9)
    assert 0.075 < found.typical < 0.150


def test_the_resistance_is_not_below_zero() -> None:
    found = internal_ohm(Band.with_tolerance(12.0, 0.05), load(10.0, 12.0, off=0.05))
    assert found.min == 0.0
    assert found.max > 0.0


def test_more_voltage_on_a_load_than_without_is_refused() -> None:
    with pytest.raises(BenchError, match="above the open-circuit voltage"):
        internal_ohm(Band.with_tolerance(12.0, 0.02), load(10.0, 12.6))


# -- limits: readings made with the library's own model of a supply


def reads(emf: float, inner: float, ohm: float, limit: float = 1e9, short: float = 1e9) -> float:
    """What a supply shows on a resistor."""
    import numpy as np

    s = SupplyArrays.plain(emf, inner)
    s.limit_A[:], s.short_circuit_A[:] = limit, short
    return float(operating_point(s, s.emf_V, np.array([1.0 / ohm]), np.zeros(1))[0][0])


OPEN = Band.with_tolerance(24.0, 0.02)


def test_no_limit_seen() -> None:
    found = supply_estimate(OPEN, [load(r, reads(24.0, 0.3, r)) for r in (20.0, 6.0)])
    assert found.limit == "none seen"
    assert found.internal_ohm is not None
    assert found.internal_ohm.min <= 0.3 <= found.internal_ohm.max
    assert "no limit up to" in found.notes[0]


def test_the_heavier_load_narrows_the_resistance() -> None:
    light = load(40.0, reads(24.0, 0.3, 40.0))
    alone = supply_estimate(OPEN, [light]).internal_ohm
    both = supply_estimate(OPEN, [light, load(4.0, reads(24.0, 0.3, 4.0))]).internal_ohm
    assert alone is not None
    assert both is not None
    assert both.max - both.min < (alone.max - alone.min) / 3.0


def test_constant_current() -> None:
    volts = {r: reads(24.0, 0.3, r, 3.0, 3.0) for r in (20.0, 5.0, 2.0)}
    found = supply_estimate(OPEN, [load(r, v) for r, v in volts.items()])
    assert found.limit == "constant-current"
    assert found.limit_A is not None
    assert found.limit_A.min <= 3.0 <= found.limit_A.max
    assert found.short_circuit_A is None


def test_fold_back() -> None:
    volts = {r: reads(24.0, 0.3, r, 4.0, 1.0) for r in (20.0, 4.0, 1.0)}
    found = supply_estimate(OPEN, [load(r, v, 0.1, 0.005) for r, v in volts.items()])
    assert found.limit == "fold-back"
    assert found.limit_A is not None
    assert found.short_circuit_A is not None
    assert found.limit_A.min <= 4.0 <= found.limit_A.max
    assert found.short_circuit_A.min <= 1.0 <= found.short_circuit_A.max


def test_one_point_on_the_limit_does_not_tell_its_kind() -> None:
    found = supply_estimate(OPEN, [load(20.0, 23.64), load(5.0, 15.0)])
    assert found.limit == "unknown"
    assert found.limit_A is None
    assert "smaller resistor" in found.notes[0]


def test_one_load_tells_nothing_of_a_limit() -> None:
    found = supply_estimate(OPEN, [load(20.0, 23.64)])
    assert found.limit == "unknown"


def test_both_on_the_limit_leave_the_resistance_unknown() -> None:
    volts = {r: reads(24.0, 0.3, r, 2.0, 2.0) for r in (8.0, 4.0)}
    found = supply_estimate(OPEN, [load(r, v) for r, v in volts.items()])
    assert found.limit == "constant-current"
    assert found.internal_ohm is None


@pytest.mark.parametrize(
    ("loads", "words"),
    [
        ([load(20.0, 23.0), load(5.0, 23.0)], "allows at most"),
        ([load(20.0, 23.6), load(20.1, 23.6)], "too much alike"),
        ([load(20.0, 23.64), load(5.0, 15.0), load(1.0, 5.0)], "more current on the limit"),
        ([load(20.0, 23.64), load(5.0, 15.0), load(2.0, 17.0)], "more current on the limit"),
        ([], "one to three"),
    ],
)
def test_readings_that_contradict_one_another(loads: list[LoadReading], words: str) -> None:
    with pytest.raises(BenchError, match=words):
        supply_estimate(OPEN, loads)


@given(
    emf=st.floats(6, 60),
    inner=st.floats(0.02, 1.0),
    first=st.floats(10, 50),
    part=st.floats(0.1, 0.5),
    errors=st.lists(st.floats(-1, 1), min_size=5, max_size=5),
)
def test_the_true_resistance_is_in_the_band(
    emf: float, inner: float, first: float, part: float, errors: list[float]
) -> None:
    """Whatever the meter's and the resistors' errors within their limits."""

    def seen(value: float, percent: float, error: float) -> Band:
        """A band of ±percent round a reading that is off by a share of that."""
        shown = value / (1.0 + error * percent / 100.0)
        return Band.with_percent(shown, percent * 1.001)

    e = iter(errors)
    open_V = seen(emf, 0.5, next(e))
    loads = []
    for ohm in (first, first * part):
        volts = emf * ohm / (ohm + inner)
        loads.append(LoadReading(seen(ohm, 1.0, next(e)), seen(volts, 0.5, next(e))))
    assume(loads[0].voltage_V.typical <= open_V.max)
    found = supply_estimate(open_V, loads)
    assert found.limit == "none seen"
    assert found.internal_ohm is not None
    assert found.internal_ohm.min <= inner <= found.internal_ohm.max
