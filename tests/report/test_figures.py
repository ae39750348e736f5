from __future__ import annotations

import math

from hypothesis import given
from hypothesis import strategies as st

from bridgewire.report.figures import clock, light_band, number, short_seconds
from bridgewire.timeline.outcomes import Times

moments = st.floats(0.0, 999.0) | st.just(math.inf)


@given(moments, moments)
def test_a_light_band_fits_its_column(a: float, b: float) -> None:
    low, high = sorted((a, b))
    if high < 100.0 or math.isinf(high):
        assert len(light_band(Times(low, high, high))) <= 12


@given(st.floats(1e-7, 99.0), st.floats(1.0, 30.0))
def test_no_latest_light_is_rounded_away(low: float, times: float) -> None:
    high = min(low * times, 99.0)
    figures, unit = light_band(Times(low, high, high)).split(" ")
    shown = float(figures.split("-")[-1]) / {"s": 1.0, "ms": 1e3, "µs": 1e6}[unit]
    assert math.isclose(shown, high, rel_tol=0.051)


@given(st.floats(0.0, 86_399.0))
def test_a_clock_tells_its_moment_to_a_hundredth(time_s: float) -> None:
    parts = [float(p) for p in clock(time_s).split(":")]
    total = sum(p * 60.0**n for n, p in enumerate(reversed(parts)))
    assert abs(total - time_s) <= 0.00501


def test_never_is_a_word() -> None:
    assert short_seconds(math.inf) == "never"
    assert light_band(Times(0.5, 0.7, math.inf)) == "0.5 s-never"


@given(st.floats(1e-3, 1e6))
def test_a_number_keeps_three_digits(value: float) -> None:
    assert math.isclose(float(number(value)), value, rel_tol=6e-3)
