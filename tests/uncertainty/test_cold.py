from __future__ import annotations

import pytest

from bridgewire.model.band import Band
from bridgewire.model.kit import ColdPoint
from bridgewire.timeline.assess import assess
from bridgewire.timeline.outcomes import Assessment, Verdict
from bridgewire.uncertainty.cold import (
    ColdBox,
    ColdStep,
    at_temperature,
    cold_sweep,
    layout_at,
    temperatures,
)
from tests.uncertainty.supply_bench import CAPACITY_AH, one_box

NO_MINIMUM = {"min_supply_V": None}


@pytest.fixture(scope="module")
def weak_in_the_cold() -> Assessment:
    """Six slow igniters on a short cable: what the battery's resistance costs decides."""
    return one_box(count=6, pulse_s=2.0, length_m=2.0, kind=NO_MINIMUM, box={"standby_s": 0.0})


def only(step: ColdStep) -> ColdBox:
    (box,) = step.boxes
    return box


def test_the_temperature_of_failure_agrees_with_a_dense_sweep(weak_in_the_cold: Assessment) -> None:
    sweep = cold_sweep(weak_in_the_cold, temperatures(-18, 35, 8))
    assert sweep.start_C == 20.0
    assert sweep.failing_at_start == ()
    failure = sweep.colder
    assert failure is not None
    assert failure.still_well_C - failure.at_C <= 0.5
    assert failure.cues == (("c1", Verdict.MARGINAL, "verdict"),)
    dense = [-18.0 + 0.25 * n for n in range(153)]
    sure = {t: at_temperature(weak_in_the_cold, t).cues[0].verdict is Verdict.SURE for t in dense}
    coldest_sure = min(t for t, well in sure.items() if well)
    assert all(sure[t] for t in dense if t >= coldest_sure)
    assert failure.at_C < coldest_sure <= failure.still_well_C + 0.25
    for at_C, verdict in ((failure.at_C, Verdict.MARGINAL), (failure.still_well_C, Verdict.SURE)):
        assert at_temperature(weak_in_the_cold, at_C).cues[0].verdict is verdict
    assert sweep.warmer is None


def test_a_long_cable_fails_in_the_heat() -> None:
    long = one_box(length_m=57.0, pulse_s=2.0)
    start = at_temperature(long, -10.0).cues[0]
    assert start.verdict is Verdict.SURE
    cold = assess(layout_at(long.layout, -10.0))
    sweep = cold_sweep(cold, temperatures(-10, 35, 15))
    assert sweep.start_C == -10.0
    assert sweep.colder is None
    assert sweep.warmer is not None
    assert 0.0 < sweep.warmer.at_C - sweep.warmer.still_well_C <= 0.5
    assert at_temperature(long, sweep.warmer.at_C).cues[0].verdict is not Verdict.SURE
    assert at_temperature(long, sweep.warmer.still_well_C).cues[0].verdict is Verdict.SURE


def test_a_supply_below_its_minimum_is_a_failure_too() -> None:
    a = one_box(count=2, pulse_s=2.0, length_m=2.0, kind={"min_supply_V": 15.0})
    failure = cold_sweep(a, temperatures(0, 20, 10)).colder
    assert failure is not None
    assert failure.cues == (("c1", Verdict.SURE, "supply"),)
    for at_C, below in ((failure.at_C, True), (failure.still_well_C, False)):
        lowest = at_temperature(a, at_C).cues[0].lowest_V
        assert lowest is not None
        assert (lowest < 15.0) is below


def test_a_step_is_the_show_assessed_at_that_temperature(weak_in_the_cold: Assessment) -> None:
    sweep = cold_sweep(weak_in_the_cold, (-9.0, 20.0))
    for step in sweep.steps:
        whole = assess(layout_at(weak_in_the_cold.layout, step.at_C))
        assert step.verdicts[Verdict.SURE] == sum(
            v is Verdict.SURE for v in whole.verdicts().values()
        )
        assert step.margin == pytest.approx(whole.cues[0].meant[0].margin)
        assert only(step).lowest_V == pytest.approx(whole.cues[0].lowest_V)


def test_capacity_left_by_hand(weak_in_the_cold: Assessment) -> None:
    step = cold_sweep(weak_in_the_cold, (-9.0, 20.0)).steps[0]
    box = only(step)
    # Half way from 50 % at -18 °C to 70 % at 0 °C, profiles/generic.toml.
    assert box.capacity_Ah == pytest.approx(0.6 * CAPACITY_AH)
    at_9 = at_temperature(weak_in_the_cold, -9.0)
    waiting = 0.1 * 62.0  # from the start of the show to the end of the pulse at 60 s
    used_Ah = (at_9.simulation.ledgers["box"].used_C + waiting) / 3600.0
    assert box.left_Ah == pytest.approx(0.6 * CAPACITY_AH - used_Ah)
    assert box.left_pct == pytest.approx(100.0 * (1.0 - used_Ah / (0.6 * CAPACITY_AH)))


def test_a_box_with_its_own_ambient_is_set_to_the_temperature_too() -> None:
    own = one_box(box={"ambient_C": Band(5.0, 5.0, 5.0)})
    (step, *_) = cold_sweep(own, (-9.0, 20.0)).steps
    assert only(step).capacity_Ah == pytest.approx(0.6 * CAPACITY_AH)


def test_a_check_colder_than_the_curve_is_unknown_too() -> None:
    layout = one_box().layout  # the curve of profiles/generic.toml begins at -18 °C
    assert assess(layout_at(layout, -18.0)).cues[0].verdict is Verdict.SURE
    cold = assess(layout_at(layout, -18.5)).cues[0]
    assert cold.verdict is Verdict.UNKNOWN
    assert [m.key for m in cold.missing] == ["supply.cold_curve"]
    assert "below -18 °C" in cold.missing[0].prevents


def test_without_a_cold_curve_only_20_degrees_are_known() -> None:
    a = one_box(supply={"cold_curve": ()}, box={"standby_s": 0.0})
    cold, warm = cold_sweep(a, (0.0, 20.0)).steps
    assert cold.verdicts[Verdict.UNKNOWN] == 1
    assert cold.margin is None
    assert only(cold).lowest_V is None
    assert "no cold_curve" in (only(cold).unknown or "")
    assert warm.verdicts[Verdict.SURE] == 1
    assert only(warm).lowest_V is not None
    assert only(warm).left_Ah is None


def test_a_cold_curve_without_resistance_tells_no_voltage() -> None:
    curve = (ColdPoint(-20.0, 50.0), ColdPoint(20.0, 100.0))
    a = one_box(supply={"cold_curve": curve})
    cold, _ = cold_sweep(a, (0.0, 20.0)).steps
    assert cold.verdicts[Verdict.UNKNOWN] == 1
    assert "internal_ohm_factor" in (only(cold).unknown or "")


@pytest.mark.parametrize(
    ("at_C", "words"), [(-25.0, "min_C, -20"), (-19.0, "begins at -18"), (65.0, "max_C, 60")]
)
def test_outside_the_kit_nothing_is_assumed(at_C: float, words: str) -> None:
    sweep = cold_sweep(one_box(), tuple(sorted((at_C, 20.0))))
    step = next(s for s in sweep.steps if s.at_C == at_C)
    assert words in (only(step).unknown or "")
    assert step.verdicts[Verdict.UNKNOWN] == 1
    assert sweep.colder is None
    assert sweep.warmer is None


def test_what_is_used_although_not_quite_said_is_noted() -> None:
    step = cold_sweep(one_box(), (20.0, 40.0)).steps[-1]
    assert "its last point (27 °C) is used" in (only(step).note or "")
    assert "standby_s in the show is not stated" in (only(step).note or "")
    assert step.verdicts[Verdict.SURE] == 1


@pytest.mark.parametrize(
    ("low", "high", "step"), [(5, 0, 1), (0, 10, 0), (0, 10, -1), (-60, 80, 0.1), (0, 1e999, 1)]
)
def test_nonsense_ranges_are_refused(low: float, high: float, step: float) -> None:
    with pytest.raises(ValueError, match=r"must|many"):
        temperatures(low, high, step)
