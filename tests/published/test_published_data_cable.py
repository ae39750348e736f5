"""Published figures of data cable and of power over data cable."""

from __future__ import annotations

import pytest
from tests.agreements import Agreement

from bridgewire.model.kit import CableSpec
from bridgewire.physics.cable import cable_ohm_per_m
from bridgewire.physics.conductors import awg_area_m2, loop_ohm, ohm_per_m_20C

LOOPS = Agreement(
    "ieee-802.3-loops",
    oracle="IEEE 802.3, tables 33-1 and 145-1",
    what="power at the end of a loop, eight classes of supply",
    limit=2e-3,
    differences="The tables are printed to three digits.",
)


def power_over_loop(source_W: float, source_V: float, ohm: float) -> tuple[float, float, float]:
    """Current, loss and voltage at the far end for a source that gives a stated power."""
    current = source_W / source_V
    return current, current**2 * ohm, source_V - current * ohm


def test_horizontal_cable_limit() -> None:
    # Source: TIA-568.2-D: 9.38 ohm per 100 m of one conductor at 20 °C, and TSB-36: 28.6 ohm per
    # 1000 ft of one conductor, the same figure.
    assert float(loop_ohm(28.6 / 304.8, 100.0)) / 2 == pytest.approx(9.38, abs=5e-3)
    band = cable_ohm_per_m(CableSpec("x", "copper", "solid", 8, gauge_awg=24))
    assert band is not None
    assert 100 * band.max < 9.38
    # channel: loop of 100 m at most 25 ohm (TIA-568.2-D)
    assert loop_ohm(9.38 / 100, 100.0) == pytest.approx(18.76)
    assert loop_ohm(band.typical, 100.0) < 25.0


def test_28_gauge_solid_conductor() -> None:
    # Source: 28 gauge copper is 21.29 ohm per 100 m (64.9 ohm per 1000 ft in the wire table of
    # hyperphysics.phy-astr.gsu.edu).
    ours = 100 * float(ohm_per_m_20C("copper", awg_area_m2(28)))
    assert ours == pytest.approx(64.9 / 3.048, rel=5e-4)


# Source: IEEE 802.3 Tables 33-1 and 145-1: class, power and least voltage of the source, loop
# resistance, power at the far end.
POWER_CLASSES = [
    ("3", 15.4, 44.0, 20.0, 12.95),
    ("1", 4.0, 44.0, 20.0, 3.84),
    ("2", 7.0, 44.0, 20.0, 6.49),
    ("4", 30.0, 50.0, 12.5, 25.5),
    ("5", 45.0, 50.0, 6.25, 40.0),
    ("6", 60.0, 50.0, 6.25, 51.0),
    ("7", 75.0, 52.0, 6.25, 62.0),
    ("8", 90.0, 52.0, 6.25, 71.3),
]


@pytest.mark.parametrize(("name", "source_W", "source_V", "ohm", "load_W"), POWER_CLASSES)
def test_power_class(
    name: str, source_W: float, source_V: float, ohm: float, load_W: float
) -> None:
    current, loss, far_V = power_over_loop(source_W, source_V, ohm)
    LOOPS.close([source_W - loss, current * far_V], load_W)


def test_power_class_3_loss() -> None:
    # Source: IEEE 802.3 class 3: 0.350 A, largest loss 2.45 W, 37.0 V at the far end.
    current, loss, far_V = power_over_loop(15.4, 44.0, 20.0)
    assert (current, loss, far_V) == pytest.approx((0.350, 2.45, 37.0))


def test_the_loop_of_a_power_class_is_within_the_loop_of_its_cable() -> None:
    # Source: IEEE 802.3: 12.5 ohm of channel loop in two-pair powering (class 4), 100 m of TIA
    # cable at 9.38 ohm per 100 m: two conductors in parallel out, two back.
    assert loop_ohm(0.0938, 100.0, 2, 2) == pytest.approx(9.38)
    assert loop_ohm(0.0938, 100.0, 2, 2) < 12.5


def test_four_conductor_worked_example() -> None:
    # Source: "PoE max power loss", intkb.blogspot.com 2014: 100 m, 7 ohm per conductor, two out
    # and two back, 0.175 A per conductor: 2.45 V (printed 2.5), 0.214 W a wire, 0.858 W for four.
    ohm = float(loop_ohm(0.07, 100.0, 2, 2))
    assert 0.35 * ohm == pytest.approx(2.45)
    assert 0.35**2 * ohm / 4 == pytest.approx(0.214, abs=1e-3)
    assert 0.35**2 * ohm == pytest.approx(0.858, abs=1e-3)


def test_unbalance_has_two_definitions() -> None:
    # Source: IEEE 802.3: |R1 - R2| / (R1 + R2); ASTM D4566: (Rmax - Rmin) / Rmin. Trap: the same
    # pair gives about half or the whole. TIA-568.2-D limit 2.5 % (from memory).
    one = float(ohm_per_m_20C("copper", awg_area_m2(24)))
    other = 1.05 * one
    ieee = abs(one - other) / (one + other)
    astm = (other - one) / one
    assert astm == pytest.approx(0.05)
    assert ieee == pytest.approx(astm / 2, rel=0.03)
