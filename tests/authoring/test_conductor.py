"""Ohms per metre from a loop, and what a reading says of the printed size."""

from __future__ import annotations

import pytest

from bridgewire.authoring.conductor import check_label, loop_ohm_per_m
from bridgewire.authoring.meter import Accuracy, reading
from bridgewire.authoring.supply import BenchError
from bridgewire.model.band import Band

FOOT_M = 0.3048
C20 = Band.exact(20.0)

# ohm per 1000 ft at 20 °C. Copper: textbook wire table (Floyd, Electric Circuit Fundamentals, as
# shown by a university's physics pages). Clad 10 % and 15 %: a wire table of copper-clad
# aluminium on the web (its two columns were taken the way the conductivities of ASTM B566 go).
COPPER_KFT = {14: 2.525, 15: 3.184, 16: 4.016, 17: 5.064, 18: 6.385, 19: 8.051, 20: 10.15,
              22: 16.14, 24: 25.67, 26: 40.81, 28: 64.9}  # fmt: skip
CLAD_KFT = {14: (3.91, 3.79), 15: (4.93, 4.78), 16: (6.23, 6.05), 17: (7.83, 7.60),
            18: (9.90, 9.61), 19: (12.5, 12.1), 20: (15.7, 15.2), 21: (19.8, 19.2)}  # fmt: skip


def per_m(ohm_per_kft: float) -> float:
    return ohm_per_kft / (1000.0 * FOOT_M)


def test_loop_of_a_two_core_cable() -> None:
    """ISO/IEC 11801 and IEC 61156-5 (from memory): a loop of 19 ohm per 100 m is 9.5 ohm per
    100 m of one conductor."""
    found = loop_ohm_per_m(Band.exact(19.0), Band.exact(100.0), "copper", C20)
    assert found.typical == pytest.approx(0.095)


def test_a_warm_drum_is_brought_to_20_degrees() -> None:
    """IEC 60028: copper has 0.00393 /K at 20 °C; 1.015 ohm at 20 °C gains 0.0399 ohm in 10 K
    (published example)."""
    found = loop_ohm_per_m(Band.exact(1.0549), Band.exact(0.5), "copper", Band.exact(30.0))
    assert found.typical == pytest.approx(1.015, abs=1e-4)


def test_the_meters_leads_are_taken_off() -> None:
    bare = loop_ohm_per_m(Band.exact(8.42), Band.exact(50.0), "copper", C20)
    held = loop_ohm_per_m(Band.exact(8.72), Band.exact(50.0), "copper", C20, Band.exact(0.3))
    assert held.typical == pytest.approx(bare.typical)


def test_uncertainties_add_up_to_the_worst_case() -> None:
    loop = reading("8.42", Accuracy(0.8, 3))
    found = loop_ohm_per_m(loop, Band.with_percent(50.0, 1.0), "copper", Band(15.0, 20.0, 25.0))
    # Own arithmetic: (8.42 + 0.8 % + 0.03) over the shortest cable, as cold as may be.
    assert found.max == pytest.approx((8.42 * 1.008 + 0.03) / 99.0 / (1 - 5 * 0.00393))
    assert found.min == pytest.approx((8.42 * 0.992 - 0.03) / 101.0 / (1 + 5 * 0.00393))


def test_a_cable_shorter_than_the_meters_leads_is_refused() -> None:
    with pytest.raises(BenchError, match="longer cable"):
        loop_ohm_per_m(Band.with_tolerance(0.3, 0.05), Band.exact(1.0), "copper", C20,
                       Band.with_tolerance(0.28, 0.05))  # fmt: skip


@pytest.mark.parametrize("gauge", list(COPPER_KFT))
def test_copper_of_the_printed_gauge_is_recognised(gauge: int) -> None:
    found = check_label(Band.with_percent(per_m(COPPER_KFT[gauge]), 0.5), "copper", "solid", gauge)
    assert found.as_printed
    assert found.notes == ()


@pytest.mark.parametrize("gauge", list(CLAD_KFT))
@pytest.mark.parametrize("share", [0, 1])
def test_clad_aluminium_sold_as_copper_is_noticed(gauge: int, share: int) -> None:
    measured = Band.with_percent(per_m(CLAD_KFT[gauge][share]), 0.5)
    found = check_label(measured, "copper", "solid", gauge)
    assert not found.as_printed
    assert found.fits[0].metal == "copper-clad-aluminium"
    assert found.fits[0].size == f"{gauge} AWG"
    assert any("looks like copper-clad aluminium" in n for n in found.notes)


@pytest.mark.parametrize("gauge", [16, 18, 20])
def test_clad_aluminium_cannot_be_told_from_copper_two_gauges_thinner(gauge: int) -> None:
    """Wire tables: 9.90 ohm per 1000 ft for 18 AWG clad (10 %), 10.15 for 20 AWG copper."""
    measured = Band.with_percent(per_m(CLAD_KFT[gauge][0]), 3.0)
    found = check_label(measured, "copper", "solid", gauge)
    assert {str(f) for f in found.fits} >= {
        f"{gauge} AWG copper-clad aluminium",
        f"{gauge + 2} AWG copper",
    }
    assert any("thinner" in n for n in found.notes)


def test_a_thinner_gauge_than_printed() -> None:
    measured = Band.with_percent(per_m(COPPER_KFT[28]), 0.5)
    found = check_label(measured, "copper", "solid", 24)
    assert "28 AWG copper" in [str(f) for f in found.fits]
    assert any("28 AWG" in n for n in found.notes)
    assert found.ratio == pytest.approx(64.9 / 25.67, rel=0.01)


def test_one_way_and_loop_are_not_mixed_up() -> None:
    """Trap: the length there and back entered as one way halves the result, one way entered as
    the loop doubles it."""
    true = per_m(COPPER_KFT[24])
    doubled = check_label(Band.with_percent(2 * true, 1.0), "copper", "solid", 24)
    assert any("half of it would fit" in n for n in doubled.notes)
    halved = check_label(Band.with_percent(true / 2, 1.0), "copper", "solid", 24)
    assert any("twice of it would fit" in n for n in halved.notes)
    assert any("less resistance" in n for n in halved.notes)


def test_metric_sizes() -> None:
    """IEC 60228: at most 39.0 ohm per km for 0.5 mm² class 5; 26.0 for 0.75 mm²."""
    at_limit = Band.with_percent(0.0390, 0.3)
    assert check_label(at_limit, "copper", "stranded", area_mm2=0.5).as_printed
    sold_as_more = check_label(at_limit, "copper", "stranded", area_mm2=0.75)
    assert not sold_as_more.as_printed
    assert "0.5 mm² copper" in [str(f) for f in sold_as_more.fits]


def test_a_size_is_needed() -> None:
    with pytest.raises(BenchError, match="one printed size"):
        check_label(Band.exact(0.08), "copper", "solid")
    with pytest.raises(BenchError, match="one printed size"):
        check_label(Band.exact(0.08), "copper", "solid", 24, 0.2)
