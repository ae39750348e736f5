"""Meter readings and figures of labels as bands."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bridgewire.authoring.meter import Accuracy, hull, quantity, reading, resolution, worst_case
from bridgewire.authoring.pieces import contact_ohm, igniter_ohms, less_leads
from bridgewire.authoring.supply import BenchError
from bridgewire.model.band import Band


def test_percent_and_digits() -> None:
    """±(0.5 % of reading + 2 digits) on 12.30 V: 61.5 mV + 20 mV."""
    found = reading("12.30", Accuracy(0.5, 2))
    assert found.max - found.typical == pytest.approx(0.0815)
    assert found.stated


def test_the_last_nought_counts() -> None:
    sharp, blunt = reading("12.30", Accuracy(0.5, 2)), reading("12.3", Accuracy(0.5, 2))
    assert blunt.max - blunt.min == pytest.approx(sharp.max - sharp.min + 0.36)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("0.5 % + 2", (0.5, 2)),
        ("±0.8% + 3 digits", (0.8, 3)),
        ("1", (1.0, 0)),
        ("0.05+10d", (0.05, 10)),
    ],
)
def test_accuracies(text: str, found: tuple[float, int]) -> None:
    assert Accuracy.parse(text) == Accuracy(*found)


@pytest.mark.parametrize("text", ["", "good", "-1 % + 2", "120 %", "0.5 % + 2.5"])
def test_what_is_no_accuracy(text: str) -> None:
    with pytest.raises(ValueError, match="percent and digits"):
        Accuracy.parse(text)


@pytest.mark.parametrize("text", ["abc", "1,5", "nan", "inf", ""])
def test_what_is_no_reading(text: str) -> None:
    with pytest.raises(ValueError):
        resolution(text)


@pytest.mark.parametrize("text", ["6 to 4", "5 ± -1", "five", "1 to", "5 %"])
def test_what_is_no_figure(text: str) -> None:
    with pytest.raises(ValueError):
        quantity(text)


def test_a_bare_figure_states_no_tolerance() -> None:
    assert not quantity("5").stated
    assert quantity("5 ± 0").stated


small = st.floats(0.1, 10)


@given(small, small, small, st.floats(0, 1), st.floats(0, 1))
def test_a_worst_case_holds_every_inner_value(
    a: float, b: float, off: float, x: float, y: float
) -> None:
    """For a function that rises in one argument and falls in the other."""
    first, second = Band(a, a + off / 2, a + off), Band(b, b + off / 2, b + off)
    found = worst_case(lambda p, q: p / q, first, second)
    inside = (a + x * off) / (b + y * off)
    assert found.min <= inside * (1 + 1e-12)
    assert inside <= found.max * (1 + 1e-12)


@given(st.lists(st.floats(0.001, 100), min_size=1, max_size=9))
def test_a_hull_is_a_band(values: list[float]) -> None:
    found = hull([Band.exact(v) for v in values])
    assert found.min <= found.typical <= found.max
    assert found.max == max(values)


def test_the_meters_leads() -> None:
    held = less_leads(Band.with_tolerance(1.9, 0.02), Band.with_tolerance(0.2, 0.01))
    assert [held.min, held.max] == pytest.approx([1.67, 1.73])
    with pytest.raises(BenchError, match="own leads"):
        less_leads(Band.exact(0.2), Band.exact(0.2))


def test_igniters_of_a_batch() -> None:
    readings = [Band.with_tolerance(r, 0.02) for r in (1.85, 1.90, 2.00)]
    found = igniter_ohms(readings, Band(0.19, 0.2, 0.21))
    assert found.bridge_ohm.min == pytest.approx(1.85 - 0.02 - 0.21)
    assert found.bridge_ohm.max == pytest.approx(2.00 + 0.02 - 0.19)
    assert "3 pieces" in found.notes[0]
    with pytest.raises(BenchError, match="as much resistance"):
        igniter_ohms(readings, Band.exact(1.9))
    with pytest.raises(BenchError, match="no igniter"):
        igniter_ohms([], Band.exact(0.1))


def test_contacts_in_series() -> None:
    chain = [Band.with_tolerance(r, 0.01) for r in (0.30, 0.36)]
    found = contact_ohm(chain, 10, Band.exact(0.1))
    assert [found.min, found.max] == pytest.approx([0.019, 0.027])
    with pytest.raises(BenchError, match="more resistance than the whole chain"):
        contact_ohm(chain, 10, Band.exact(0.5))
    with pytest.raises(BenchError, match="at least one"):
        contact_ohm(chain, 0)
