"""Published firing circuits of blasting: resistances, voltages and currents of series, parallel
and mixed circuits."""

from __future__ import annotations

import pytest

from bridgewire.physics.conductors import awg_area_m2, ohm_per_m_20C

FOOT_M = 0.3048


def series(*ohms: float) -> float:
    return sum(ohms)


def parallel(*ohms: float) -> float:
    return 1.0 / sum(1.0 / r for r in ohms)


def test_twenty_caps_in_series() -> None:
    # Source: FM 5-250 Appendix E, equations E-1 and E-2 (numbers from memory): 20 caps of 2 ohm,
    # 500 ft of two-conductor 18 gauge at 6.4 ohm per 1000 ft: 46.4 ohm, 69.6 V, 104.4 W at 1.5 A.
    cable = 1000 * FOOT_M * float(ohm_per_m_20C("copper", awg_area_m2(18)))
    total = series(*[2.0] * 20, cable)
    assert total == pytest.approx(46.4, abs=0.03)
    assert 1.5 * total == pytest.approx(69.6, abs=0.05)
    assert 1.5**2 * total == pytest.approx(104.4, abs=0.08)


# Source: FM 5-250 Table E-1, ohm per 1000 ft (from memory), printed to one decimal.
@pytest.mark.parametrize(
    ("awg", "ohm"),
    [(8, 0.6), (10, 1.0), (12, 1.6), (14, 2.5), (16, 4.0), (18, 6.4), (20, 10.2)],
)
def test_army_wire_table(awg: int, ohm: float) -> None:
    ours = 1000 * FOOT_M * float(ohm_per_m_20C("copper", awg_area_m2(awg)))
    assert ours == pytest.approx(ohm, abs=0.06)


def test_forty_detonators_in_series() -> None:
    # Source: kafkapa.blogspot.com 2011/09 (resistances of a blasters' handbook, Table XXXIV):
    # 40 x 2.3 ohm, 200 ft of 20 gauge, 500 ft of 14 gauge, doubled: 92 + 2.03 + 2.53 = 96.56 ohm.
    # Trap: the one-way length of the firing line counts twice, the connecting wire once.
    connecting = 200 * FOOT_M * float(ohm_per_m_20C("copper", awg_area_m2(20)))
    firing = 2 * 500 * FOOT_M * float(ohm_per_m_20C("copper", awg_area_m2(14)))
    assert connecting == pytest.approx(2.03, abs=5e-3)
    assert firing == pytest.approx(2.53, abs=6e-3)
    total = series(*[2.3] * 40, connecting, firing)
    assert total == pytest.approx(96.56, abs=0.01)
    # computed from the published inputs
    assert 220.0 / total == pytest.approx(2.2784, abs=5e-4)
    assert 1.5 * total == pytest.approx(144.84, abs=0.02)


def test_thirty_detonators_loop_length_trap() -> None:
    # Source: scribd 60564457, "Electrical circuits": 30 x 2 ohm, 50 m at 0.1 ohm/m, 200 m of
    # two-core cable whose 0.05 ohm/m is already the loop; answers computed: 75 ohm, 112.5 V.
    total = series(30 * 2.0, 50 * 0.1, 200 * 0.05)
    assert total == pytest.approx(75.0)
    assert 1.5 * total == pytest.approx(112.5)
    assert 1.5**2 * total == pytest.approx(168.75)


def test_fifty_detonators_in_series() -> None:
    # Source: fdokumen.com, "Rangkaian dalam peledakan": 50 x 1.6 = 80 ohm; 45 m of 23 gauge at
    # 20.3 ohm per 330 m: 2.7675; 300 m of lead at 5.8 ohm per 100 m: 17.4 ohm.
    printed = round(20.3 / 330, 4) * 45
    assert printed == pytest.approx(2.7675)
    # the printed 20.3 ohm is that of 1000 ft (304.8 m), so the page's own per-metre value is low
    ours = 45 * float(ohm_per_m_20C("copper", awg_area_m2(23)))
    assert ours == pytest.approx(printed * 330 / 304.8, rel=5e-3)
    total = series(80.0, printed, 17.4)
    assert total == pytest.approx(100.1675)
    assert 1.5 * total == pytest.approx(150.25, abs=5e-3)
    assert 1.5**2 * total == pytest.approx(225.38, abs=5e-3)


# Source: the same set of problems (inputs); answers of the bridge networks computed.
@pytest.mark.parametrize(
    ("network_ohm", "total_A", "ohm", "amps"),
    [
        (parallel(*[1.8] * 50), 50 * 0.5, 0.036, 25.0),
        (parallel(*[series(*[1.8] * 10)] * 5), 5 * 1.5, 3.6, 7.5),
        (series(*[parallel(*[1.8] * 4)] * 4), 4 * 0.5, 1.8, 2.0),
    ],
)
def test_parallel_and_mixed(network_ohm: float, total_A: float, ohm: float, amps: float) -> None:
    assert network_ohm == pytest.approx(ohm)
    assert total_A == pytest.approx(amps)


# Source: 1. SprengV (firing machines, type U): largest circuit resistance for n igniters.
@pytest.mark.parametrize(
    ("n", "ohm"),
    [(10, 55), (20, 90), (30, 125), (50, 195), (80, 300), (100, 370), (200, 720), (400, 1420)],
)
def test_machine_resistance_limits(n: int, ohm: float) -> None:
    # computed: exactly 20 + 3.5 n, 3.5 ohm being the largest total resistance of a U igniter
    assert series(20.0, *[3.5] * n) == pytest.approx(ohm)
