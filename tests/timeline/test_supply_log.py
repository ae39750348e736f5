"""Voltage and charge of a supply through a show, and what is said of what is not known."""

from __future__ import annotations

import pytest

from bridgewire.model.band import Band
from bridgewire.model.kit import ColdPoint
from bridgewire.timeline.corners import TYPICAL_ROW
from bridgewire.timeline.outcomes import Assessment
from bridgewire.timeline.supply_log import supply_logs
from tests.uncertainty.supply_bench import CAPACITY_AH, SHARE_AT_20, STANDBY_A, one_box


@pytest.fixture(scope="module")
def three_cues() -> Assessment:
    return one_box(cues=3, box={"standby_s": 600.0, "charge_pct": Band(90.0, 100.0, 100.0)})


def test_charge_is_first_current_times_pulse_plus_waiting(three_cues: Assessment) -> None:
    (log,) = supply_logs(three_cues)
    pulses = 0.0
    for n, entry in enumerate(log.entries):
        waiting = STANDBY_A * (600.0 + 60.0 * (n + 1))
        assert entry.used_before_C == pytest.approx(pulses + waiting, rel=1e-6)
        # The bench's bridge only heats up, so the solver's highest current is the first one; it
        # comes from the equations of the circuit, not from the book of charge.
        (result,) = three_cues.cues[n].results
        pulses += float(result.peak_supply_A[TYPICAL_ROW]) * 1.0
    assert log.used_C == pytest.approx(pulses + STANDBY_A * (600.0 + 180.0 + 1.0), rel=1e-6)


def test_voltage_and_charge_left_follow_the_curve(three_cues: Assessment) -> None:
    (log,) = supply_logs(three_cues)
    assert log.capacity_Ah == pytest.approx(CAPACITY_AH * SHARE_AT_20)
    for entry in log.entries:
        assert entry.used_before_C is not None
        assert entry.used_before_Ah == pytest.approx(entry.used_before_C / 3600.0)
        used_pct = 100.0 * entry.used_before_C / (3600.0 * CAPACITY_AH * SHARE_AT_20)
        assert entry.left_pct == pytest.approx(90.0 - used_pct)
        assert entry.left_typical_pct == pytest.approx(100.0 - used_pct)
        # 19.8 V at 75 % to 20.8 V at 100 %, profiles/generic.toml: 0.04 V for each per cent.
        assert entry.open_typical_V == pytest.approx(20.8 - 0.04 * used_pct)
        assert entry.lowest_V is not None
        assert entry.lowest_typical_V is not None
        assert entry.open_typical_V is not None
        assert entry.lowest_V < entry.lowest_typical_V < entry.open_typical_V
    assert [e.id for e in log.entries] == ["c1", "c2", "c3"]
    assert log.lowest is log.entries[-1]
    assert log.notes == ()


def test_the_lowest_voltage_is_open_voltage_less_current_times_resistance(
    three_cues: Assessment,
) -> None:
    entry = supply_logs(three_cues)[0].entries[0]
    (result,) = three_cues.cues[0].results
    drop = 0.3 * float(result.peak_supply_A[TYPICAL_ROW])  # internal_ohm, profiles/generic.toml
    assert entry.open_typical_V is not None
    assert entry.lowest_typical_V == pytest.approx(entry.open_typical_V - drop, rel=1e-4)


def test_a_supply_below_its_minimum_is_marked() -> None:
    a = one_box(count=2, pulse_s=2.0, length_m=2.0, kind={"min_supply_V": 16.0})
    (log,) = supply_logs(a)
    assert [e.id for e in log.below_minimum] == ["c1"]
    (log,) = supply_logs(one_box(count=2, pulse_s=2.0, length_m=2.0))
    assert log.below_minimum == ()


@pytest.mark.parametrize(
    ("box", "kind", "supply", "words"),
    [
        ({}, {}, {}, "standby_s in the show is not stated"),
        ({"standby_s": 60.0}, {}, {"standby_A": None}, "standby_A of generic:battery-matrix"),
        ({"standby_s": 60.0}, {}, {"capacity_Ah": None}, "does not state supply.capacity_Ah"),
        ({"standby_s": 60.0}, {}, {"cold_curve": ()}, "does not state supply.cold_curve"),
        ({"standby_s": 60.0}, {}, {"internal_ohm": None}, "no voltage can be computed"),
        ({"standby_s": 60.0}, {"min_supply_V": None}, {}, "does not state min_supply_V"),
    ],
)
def test_what_is_not_known_is_said(
    box: dict[str, object], kind: dict[str, object], supply: dict[str, object], words: str
) -> None:
    (log,) = supply_logs(one_box(box=box, kind=kind, supply=supply))
    assert any(words in note for note in log.notes)
    if "capacity_Ah" in supply or "cold_curve" in supply:
        assert log.capacity_Ah is None
        assert log.left_pct is None
    if "internal_ohm" in supply:
        assert log.entries[0].open_V is None
        assert log.lowest is None


def test_a_battery_that_holds_nothing_in_the_cold_is_empty() -> None:
    cold = (ColdPoint(-40.0, 0.0), ColdPoint(40.0, 0.0))
    (log,) = supply_logs(one_box(cues=2, box={"standby_s": 60.0}, supply={"cold_curve": cold}))
    assert log.capacity_Ah == 0.0
    assert log.left_pct == 0.0
    # 15.0 V at 0 % and 20.8 V at 100 %, profiles/generic.toml: all of the fall.
    assert log.entries[1].open_typical_V == pytest.approx(15.0)


def test_notes_agree_in_number() -> None:
    (both,) = supply_logs(one_box(supply={"standby_A": None}))
    assert any("in the kit and standby_s in the show are not stated" in n for n in both.notes)
