from __future__ import annotations

import math
from pathlib import Path

import pytest
from attrs import evolve

from bridgewire.api import load_show
from bridgewire.model.band import Band
from bridgewire.model.kit import RegulatedSupply
from bridgewire.timeline.assess import assess
from bridgewire.timeline.corners import TYPICAL_ROW
from bridgewire.timeline.outcomes import Assessment, CueOutcome, Verdict
from bridgewire.timeline.supply_log import cue_sags
from bridgewire.uncertainty.cold import layout_at
from bridgewire.uncertainty.standby import Lateness, delayed, latest_start, most_pulse_C
from tests.uncertainty.supply_bench import CAPACITY_AH, SHARE_AT_20, STANDBY_A, one_box

HOLDS_C = 3600.0 * CAPACITY_AH * SHARE_AT_20
REGATTA = Path(__file__).parents[2] / "examples" / "regatta-night" / "show.toml"
WAITING = {"standby_s": 600.0}


def only(a: Assessment) -> Lateness:
    (late,) = latest_start(a)
    return late


def after(a: Assessment, minutes: int) -> CueOutcome:
    return delayed(a, {"box": minutes})[-1]


def test_charge_alone_by_the_formula() -> None:
    a = one_box(cues=2, box={**WAITING, "charge_pct": Band(50.0, 90.0, 100.0)})
    late = only(a)
    assert late.limit == "charge"
    assert late.holds_C == pytest.approx(0.5 * HOLDS_C)
    waiting = STANDBY_A * (600.0 + 121.0)
    assert late.waiting_C == pytest.approx(waiting)
    assert late.pulses_C is not None
    spare = 0.5 * HOLDS_C - waiting - late.pulses_C
    assert late.minutes == math.floor(spare / STANDBY_A / 60.0)


def test_pulses_take_no_more_than_reckoned() -> None:
    a = one_box(cues=2, box=WAITING)
    most = most_pulse_C(a, "box")
    highest = sum(float(r.peak_supply_A.max()) for r in a.simulation.results)
    typical = sum(float(r.peak_supply_A[TYPICAL_ROW]) for r in a.simulation.results)
    # Pulses of 1 s at the highest current of any corner; the corners of single igniters mix
    # neighbours, so the bound is somewhat above.
    assert typical < highest <= most * (1 + 1e-6)
    assert most < 1.1 * highest


def test_a_verdict_that_is_lost_agrees_with_the_charge_curve() -> None:
    """The voltage at which the cue is no longer sure, found with the meter's reading alone."""

    def sure(volts: float) -> bool:
        box = {"standby_s": 0.0, "supply_V": Band(volts, volts, volts)}
        box["charge_pct"] = Band(100.0, 100.0, 100.0)
        a = one_box(length_m=52.0, pulse_s=2.0, box=box, supply={"standby_A": 0.0})
        return a.cues[0].verdict is Verdict.SURE

    low, high = 18.0, 20.8
    assert sure(high)
    assert not sure(low)
    while high - low > 1e-4:
        middle = 0.5 * (low + high)
        low, high = (low, middle) if sure(middle) else (middle, high)
    a = one_box(length_m=52.0, pulse_s=2.0, box={"standby_s": 600.0})
    late = only(a)
    assert late.limit == "verdict"
    assert late.cues == ("c1",)
    # 20.8 V full; down to 75 % 0.04 V, below it 0.044 V for each per cent (profiles/generic.toml).
    fall = 20.8 - high
    used_pct = fall / 0.04 if fall <= 1.0 else 25.0 + (fall - 1.0) / 0.044
    minutes = (used_pct / 100.0 * HOLDS_C / STANDBY_A - 600.0 - 60.0) / 60.0
    assert late.minutes == pytest.approx(minutes, abs=1.5)
    assert late.minutes is not None
    assert after(a, late.minutes).verdict is Verdict.SURE
    assert after(a, late.minutes + 1).verdict is not Verdict.SURE


def test_a_supply_that_sags_ends_the_wait() -> None:
    a = one_box(count=3, length_m=5.0, pulse_s=2.0, box=WAITING)
    lowest = a.cues[0].lowest_V
    assert lowest is not None
    a = one_box(
        count=3, length_m=5.0, pulse_s=2.0, box=WAITING, kind={"min_supply_V": lowest - 0.3}
    )
    late = only(a)
    assert late.limit == "supply"
    assert late.minutes is not None
    kind = a.layout.boxes["box"][1]
    assert not cue_sags(kind, after(a, late.minutes))
    assert cue_sags(kind, after(a, late.minutes + 1))


def test_many_boxes_are_each_right_to_the_minute() -> None:
    """The full-size example with boxes that need more volts: some are limited, some are not."""
    layout = load_show(REGATTA).layout
    boxes = {
        box: (index, evolve(kind, min_supply_V=15.6) if box.startswith("heron") else kind, name)
        for box, (index, kind, name) in layout.boxes.items()
    }
    a = assess(evolve(layout, boxes=boxes))
    late = {x.box: x for x in latest_start(a) if x.minutes is not None}
    sagging = {box: set(x.cues) for box, x in late.items() if x.limit == "supply"}
    assert len(sagging) >= 2
    assert len({late[box].minutes for box in sagging}) >= 2
    assert any(x.limit == "charge" for x in late.values())
    for more in (0, 1):
        cues = delayed(a, {box: (x.minutes or 0) + more for box, x in late.items()})
        found: dict[str, set[str]] = {}
        for cue in cues:
            if cue.way and cue.way[0] in late and cue_sags(boxes[cue.way[0]][1], cue):
                found.setdefault(cue.way[0], set()).add(cue.id)
        assert found == (sagging if more else {})


def test_on_time_already_too_little() -> None:
    a = one_box(box={"standby_s": 3600.0 * 80.0})
    late = only(a)
    assert (late.minutes, late.limit) == (0, "charge")
    assert "even on time" in late.reason
    a = one_box(count=3, length_m=5.0, pulse_s=2.0, box=WAITING, kind={"min_supply_V": 20.0})
    late = only(a)
    assert (late.minutes, late.limit) == (0, "supply")
    assert "already" in late.reason


def test_the_cold_shortens_the_wait() -> None:
    charge = Band(50.0, 90.0, 100.0)
    a = one_box(box={**WAITING, "charge_pct": charge}, kind={"min_supply_V": None})
    late, cold = only(a), only(assess(layout_at(a.layout, -9.0)))
    assert (late.limit, cold.limit) == ("charge", "charge")
    assert late.minutes is not None
    assert cold.minutes is not None
    # 92 % of the capacity at 20 °C, 60 % at -9 °C.
    lost_C = 0.5 * (SHARE_AT_20 - 0.6) * CAPACITY_AH * 3600.0
    assert late.minutes - cold.minutes == pytest.approx(lost_C / STANDBY_A / 60.0, abs=1.5)


def test_no_standby_current_does_not_limit() -> None:
    late = only(one_box(supply={"standby_A": 0.0}))
    assert (late.minutes, late.limit) == (None, "none")
    assert "nothing" in late.reason


def test_a_regulated_supply_does_not_limit() -> None:
    a = one_box(box=WAITING)
    index, kind, kind_id = a.layout.boxes["box"]
    band = Band(20.0, 20.8, 21.0)
    steady = RegulatedSupply("regulated", open_circuit_V=band, internal_ohm=Band(0.1, 0.1, 0.1))
    layout = evolve(a.layout, boxes={"box": (index, evolve(kind, supply=steady), kind_id)})
    assert only(assess(layout)).limit == "none"


def test_a_tiny_current_is_looked_into_for_a_week() -> None:
    late = only(one_box(box=WAITING, supply={"standby_A": 1e-6}))
    assert (late.minutes, late.limit) == (7 * 24 * 60, "search")


@pytest.mark.parametrize(
    ("box", "supply", "words"),
    [
        ({}, {}, "standby_s in the show is not stated"),
        ({}, {"standby_A": None}, "in the kit and standby_s in the show are not stated"),
        (WAITING, {"standby_A": None}, "standby_A of generic:battery-matrix in the kit"),
        (WAITING, {"capacity_Ah": None}, "supply.capacity_Ah"),
        (WAITING, {"cold_curve": ()}, "supply.cold_curve"),
        (WAITING, {"charge_curve": ()}, "not state"),
        (WAITING, {"internal_ohm": None}, "supply.internal_ohm"),
        ({**WAITING, "ambient_C": Band(-30.0, 0.0, 5.0)}, {}, "min_C, -20"),
        ({**WAITING, "ambient_C": Band(-19.0, 0.0, 5.0)}, {}, "begins at -18"),
    ],
)
def test_what_is_not_known_is_said(
    box: dict[str, object], supply: dict[str, object], words: str
) -> None:
    late = only(one_box(box=box, supply=supply))
    assert late.minutes is None
    assert late.limit == "not known"
    assert words in late.reason
