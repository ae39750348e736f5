"""Heating constants from igniter data: bounds are bounds, contradictions are refused."""

from __future__ import annotations

import math

import pytest
from attrs import evolve
from hypothesis import assume, given
from hypothesis import strategies as st

from bridgewire.errors import ModelRangeError
from bridgewire.model.band import Band
from bridgewire.model.kit import IgniterClass
from bridgewire.physics.bridge_heating import action, light_time
from bridgewire.physics.igniter_data import (
    Heating,
    Pair,
    heating,
    missing_heating_data,
)

ROOM = Band.exact(20.0)
THERMAL = IgniterClass(
    "clip",
    "clip-on-nichrome",
    bridge_ohm=Band(1.55, 1.7, 1.85),
    heat_capacity_J_per_K=Band(0.005, 0.006, 0.007),
    loss_W_per_K=Band(0.0017, 0.002, 0.0023),
    lit_C=Band(650.0, 700.0, 750.0),
)
SHEET = IgniterClass(
    "sheet",
    "bridge-igniter",
    no_fire_A=0.2,
    all_fire_A=0.6,
    all_fire_time_s=0.010,
    impulse_mJ_per_ohm=Band(0.8, 1.5, 3.0),
)


def known(klass: IgniterClass, ambient: Band = ROOM) -> Heating:
    result = heating(klass, ambient)
    assert result is not None
    return result


def fits(pair: Pair, no_fire: float, all_fire: float, time: float) -> bool:
    """Whether an igniter keeps a data sheet's currents, by the closed form alone."""
    return math.isinf(float(light_time(no_fire, *pair))) and (
        float(light_time(all_fire, *pair)) <= time
    )


def test_thermal_typical() -> None:
    h = known(THERMAL)
    assert h.typical == pytest.approx((math.sqrt(0.002 * 680 / 1.7), 3.0))
    assert h.basis == "thermal"
    assert h.theta_lit_K == Band(630.0, 680.0, 730.0)
    assert h.sure_from_A == h.slow[0] == h.threshold_A.max


def test_thermal_bounds_are_those_of_the_data() -> None:
    # I0 = √(γ θ / R0), τ = C / γ: by hand from the ends of THERMAL's bands.
    h = known(evolve(THERMAL, heat_capacity_J_per_K=Band(0.005, 0.0065, 0.007)))
    assert h.slow == pytest.approx((math.sqrt(0.0023 * 730 / 1.55), 0.007 / 0.0023))
    assert h.typical == pytest.approx((math.sqrt(0.002 * 680 / 1.7), 3.25))
    assert h.fast == pytest.approx((math.sqrt(0.0017 * 630 / 1.85), 0.005 / 0.0017))
    assert (h.tau_s.min, h.tau_s.typical, h.tau_s.max) == pytest.approx(
        (0.005 / 0.0023, 3.25, 0.007 / 0.0017)
    )
    assert (h.threshold_A.min, h.threshold_A.max) == (h.fast[0], h.slow[0])


def test_data_sheet_bounds_are_tight() -> None:
    h = known(SHEET)
    # The largest threshold goes with the least impulse and meets the all-fire time exactly; the
    # longest time constant is that of the largest impulse at the no-fire current.
    assert action(h.threshold_A.max, h.tau_s.min) == pytest.approx(0.8e-3)
    assert light_time(0.6, h.threshold_A.max, h.tau_s.min) == pytest.approx(0.010)
    assert h.tau_s.max == pytest.approx(3.0e-3 / 0.2**2)
    assert h.fast == pytest.approx((0.2, 0.8e-3 / 0.2**2))
    assert h.threshold_A.min == 0.2


def test_cold_makes_slower() -> None:
    assert known(THERMAL, Band(-15.0, 0.0, 10.0)).slow[0] > known(THERMAL).slow[0]


@given(
    C=st.floats(0.005, 0.007),
    gamma=st.floats(0.0017, 0.0023),
    lit=st.floats(650.0, 750.0),
    ohm=st.floats(1.55, 1.85),
    current=st.floats(0.3, 20.0),
)
def test_thermal_bounds_enclose_every_igniter(
    C: float, gamma: float, lit: float, ohm: float, current: float
) -> None:
    h = known(THERMAL)
    i0, tau = math.sqrt(gamma * (lit - 20.0) / ohm), C / gamma
    time = float(light_time(current, i0, tau))
    assert float(light_time(current, *h.fast)) <= time * (1 + 1e-9)
    assert float(light_time(current, *h.slow)) >= time * (1 - 1e-9)
    assert h.threshold_A.min <= i0 * (1 + 1e-9)
    assert i0 <= h.threshold_A.max * (1 + 1e-9)
    assert h.tau_s.min <= tau * (1 + 1e-9)
    assert tau <= h.tau_s.max * (1 + 1e-9)


sheets = st.tuples(
    st.floats(0.05, 0.98),  # no-fire over all-fire
    st.floats(0.2, 5.0),  # all-fire A
    st.floats(1e-3, 3.0),  # time
)


@given(
    sheet=sheets,
    low=st.floats(0.01, 0.95),
    high=st.floats(0.05, 0.999),
    i0=st.floats(0.0, 1.0),
    k=st.floats(0.0, 1.0),
    over=st.floats(1.0, 20.0),
)
def test_data_sheet_bounds_enclose_every_compliant_igniter(
    sheet: tuple[float, float, float], low: float, high: float, i0: float, k: float, over: float
) -> None:
    ratio, all_fire, time = sheet
    no_fire = ratio * all_fire
    budget = all_fire**2 * time * 1e3  # mJ/ohm
    assume(low < high)
    klass = IgniterClass(
        "x",
        "bridge-igniter",
        no_fire_A=no_fire,
        all_fire_A=all_fire,
        all_fire_time_s=time,
        impulse_mJ_per_ohm=Band(low * budget, (low + high) / 2 * budget, high * budget),
    )
    try:
        h = known(klass)
    except ModelRangeError as error:
        assert "would also light at no_fire_A" in str(error)  # noqa: PT017
        return
    threshold = no_fire + i0 * (all_fire - no_fire)
    impulse = (low + k * (high - low)) * budget * 1e-3
    pair = (threshold, impulse / threshold**2)
    for own in (h.slow, h.typical, h.fast):
        assert fits((own[0], own[1] * (1 - 1e-6)), no_fire, all_fire, time)
    current = over * all_fire
    assert light_time(current, *h.fast) <= float(light_time(current, *h.typical)) * (1 + 1e-9)
    assert light_time(current, *h.typical) <= float(light_time(current, *h.slow)) * (1 + 1e-9)
    if not fits(pair, no_fire, all_fire, time):
        return
    own_time = float(light_time(current, *pair))
    assert light_time(current, *h.fast) <= own_time * (1 + 1e-9)
    assert light_time(current, *h.slow) >= own_time * (1 - 1e-6)
    assert h.threshold_A.min <= threshold * (1 + 1e-9)
    assert threshold <= h.threshold_A.max * (1 + 1e-8)
    assert h.tau_s.min <= pair[1] * (1 + 1e-9)
    assert pair[1] <= h.tau_s.max * (1 + 1e-9)


def test_an_impulse_far_below_the_all_fire_impulse() -> None:
    # the threshold may then lie next to the all-fire current; the slowest must still light there
    h = known(evolve(SHEET, impulse_mJ_per_ohm=Band(0.01, 0.02, 0.03)))
    assert float(light_time(0.6, *h.slow)) <= 0.010
    assert h.slow[0] == pytest.approx(0.6)


@given(
    sheet=sheets, i0=st.floats(0.0, 1.0), fraction=st.floats(0.01, 1.0), over=st.floats(1.0, 20.0)
)
def test_without_an_impulse_nothing_is_assumed_but_the_currents(
    sheet: tuple[float, float, float], i0: float, fraction: float, over: float
) -> None:
    ratio, all_fire, time = sheet
    no_fire = ratio * all_fire
    klass = IgniterClass(
        "x", "bridge-igniter", no_fire_A=no_fire, all_fire_A=all_fire, all_fire_time_s=time
    )
    h = known(klass)
    assert h.basis == "data-sheet"
    assert h.sure_from_A == all_fire
    threshold = no_fire + i0 * (all_fire - no_fire) * 0.999
    tau = fraction * time / -math.log1p(-((threshold / all_fire) ** 2))
    current = over * all_fire
    own_time = float(light_time(current, threshold, tau))
    assert light_time(current, *h.slow) >= own_time * (1 - 1e-9)
    assert light_time(current, *h.typical) <= float(light_time(current, *h.slow)) * (1 + 1e-9)
    # the fastest takes a thousandth of the slowest, at any current
    assert float(light_time(current, *h.fast)) == pytest.approx(
        1e-3 * float(light_time(current, *h.slow))
    )


def test_typical_impulse_is_the_geometric_mean() -> None:
    h = known(SHEET)
    assert action(*h.typical) == pytest.approx(math.sqrt(0.8e-3 * 3.0e-3))


def test_threshold_form_scales_with_ambient_only_where_it_can() -> None:
    plain = IgniterClass(
        "m", "electric-match", threshold_A=Band(0.3, 0.32, 0.34), tau_s=Band(0.004, 0.005, 0.006)
    )
    assert known(plain, Band.exact(-20.0)).threshold_A == plain.threshold_A
    lit = evolve(plain, lit_C=Band.exact(300.0))
    assert known(lit).threshold_A.typical == pytest.approx(0.32)
    cold = known(lit, Band.exact(-20.0))
    assert cold.threshold_A.typical == pytest.approx(0.32 * math.sqrt(320 / 280))
    assert cold.basis == "threshold"
    # each end by its own rise
    wide = evolve(plain, lit_C=Band(280.0, 300.0, 340.0))
    ends = known(wide, Band(-30.0, -20.0, 0.0)).threshold_A
    assert ends.min == pytest.approx(0.30 * math.sqrt(280 / 260))
    assert ends.max == pytest.approx(0.34 * math.sqrt(370 / 320))


def test_the_best_form_wins() -> None:
    both = evolve(SHEET, threshold_A=Band.exact(0.3), tau_s=Band.exact(0.005))
    assert known(both).basis == "threshold"
    assert known(SHEET).basis == "data-sheet with impulse"


def test_missing_data_are_named() -> None:
    empty = IgniterClass("x", "electric-match")
    assert heating(empty, ROOM) is None
    assert missing_heating_data(empty) == ("threshold_A", "tau_s")
    assert missing_heating_data(evolve(THERMAL, loss_W_per_K=None)) == ("loss_W_per_K",)
    assert missing_heating_data(evolve(SHEET, all_fire_time_s=None)) == ("all_fire_time_s",)
    assert missing_heating_data(SHEET) == ()
    # an impulse alone does not say how the igniter takes a current
    assert heating(evolve(SHEET, no_fire_A=None), ROOM) is None


def test_a_threshold_cannot_hold_at_20_C_for_what_lights_there() -> None:
    klass = IgniterClass(
        "m",
        "electric-match",
        threshold_A=Band.exact(0.3),
        tau_s=Band.exact(0.005),
        lit_C=Band(20.0, 300.0, 310.0),
    )
    with pytest.raises(ModelRangeError, match="is not above 20 °C"):
        heating(klass, Band.exact(-20.0))


@pytest.mark.parametrize(
    ("klass", "text"),
    [
        (
            evolve(SHEET, impulse_mJ_per_ohm=Band(0.8, 2.0, 3.6)),
            "an igniter of 3.6 mJ/Ω cannot light within 0.01 s at all_fire_A 0.6: that gives "
            "only 3.6 mJ/Ω",
        ),
        # exactly the lossless impulse, in numbers without a rounding error
        (
            evolve(
                SHEET, all_fire_A=0.5, all_fire_time_s=0.008, impulse_mJ_per_ohm=Band.exact(2.0)
            ),
            "gives only 2 mJ/Ω",
        ),
        (evolve(SHEET, no_fire_A=0.6), "is not below all_fire_A"),
        (evolve(SHEET, no_fire_A=0.59, impulse_mJ_per_ohm=Band.exact(3.0)), "also light at no"),
        (evolve(SHEET, all_fire_time_s=0.0), "must be above 0"),
        (evolve(THERMAL, loss_W_per_K=Band(0.0, 0.002, 0.003)), "loss_W_per_K must be above 0"),
        (evolve(THERMAL, loss_W_per_K=Band(-0.1, 0.002, 0.003)), "loss_W_per_K must be above 0"),
        (evolve(THERMAL, lit_C=Band(10.0, 700.0, 750.0)), "not above the ambient"),
        (evolve(THERMAL, lit_C=Band(20.0, 700.0, 750.0)), "not above the ambient"),
    ],
)
def test_contradictions_are_refused(klass: IgniterClass, text: str) -> None:
    with pytest.raises(ModelRangeError, match=text):
        heating(klass, ROOM)
