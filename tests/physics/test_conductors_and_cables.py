"""Conductors, cable specs and pulse heating: properties and ranges."""

from __future__ import annotations

import math

import numpy as np
import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from bridgewire.errors import ModelRangeError
from bridgewire.model.band import Band
from bridgewire.model.kit import CableSpec, Metal, Stranding
from bridgewire.physics.cable import cable_area_mm2, cable_ohm_per_m
from bridgewire.physics.conductor_heating import (
    adiabatic_end_C,
    adiabatic_max_current_A,
    k_factor,
    material_factor,
    onderdonk_fusing_current_A,
    onderdonk_fusing_time_s,
    preece_fusing_current_A,
)
from bridgewire.physics.conductor_tables import from_75C, iec60228_max_ohm_per_m
from bridgewire.physics.conductors import (
    awg_area_m2,
    awg_diameter_m,
    loop_ohm,
    ohm_per_m_20C,
    resistance_factor,
)
from bridgewire.physics.continuity import allowed_test_current_A

METALS: tuple[Metal, ...] = ("copper", "copper-clad-aluminium", "aluminium")
metals = st.sampled_from(METALS)
strandings = st.sampled_from(["solid", "stranded"])


@given(awg=st.floats(-3.0, 55.0))
def test_a_higher_gauge_is_thinner(awg: float) -> None:
    assert awg_diameter_m(awg + 1) < awg_diameter_m(awg)


@given(metal=metals, cold=st.floats(-60.0, 249.0), step=st.floats(0.01, 1.0))
def test_a_warmer_conductor_resists_more(metal: Metal, cold: float, step: float) -> None:
    assert resistance_factor(cold + step, metal) > resistance_factor(cold, metal)


def test_arrays_pass_through() -> None:
    ohms = ohm_per_m_20C("copper", awg_area_m2(np.array([24.0, 26.0])))
    np.testing.assert_allclose(ohms, [0.0842132, 0.1339043], rtol=1e-5)


@pytest.mark.parametrize(
    "call",
    [
        lambda: awg_diameter_m(57),
        lambda: awg_diameter_m(math.nan),
        lambda: resistance_factor(300.0, "copper"),
        lambda: ohm_per_m_20C("copper", 0.0),
        lambda: ohm_per_m_20C("copper-clad-aluminium", 1e-6, 5.0),
        lambda: loop_ohm(0.1, 10.0, 0, 1),
        lambda: k_factor("copper", 160.0, 70.0),
        lambda: adiabatic_end_C(1.0, 1.0, 0.0, "copper", 20.0),
        lambda: adiabatic_end_C(1.0, -1.0, 1.0, "copper", 20.0),
        lambda: adiabatic_max_current_A(0.0, 1.0, "copper", 70.0, 160.0),
        lambda: onderdonk_fusing_current_A(1e-6, 0.0, 25.0),
        lambda: preece_fusing_current_A(1e-3, "nickel"),
        lambda: from_75C(1.0, 20.0, "copper-clad-aluminium"),
        lambda: allowed_test_current_A(0.0),
        lambda: allowed_test_current_A(math.nan),
    ],
)
def test_out_of_range_is_refused(call: object) -> None:
    assert callable(call)
    with pytest.raises(ModelRangeError):
        call()


@given(awg=st.integers(10, 36), metal=metals, stranding=strandings)
def test_derived_resistance_encloses_the_nominal_conductor(
    awg: int, metal: Metal, stranding: Stranding
) -> None:
    band = cable_ohm_per_m(CableSpec("x", metal, stranding, 2, gauge_awg=awg))
    assert band is not None
    nominal = float(ohm_per_m_20C(metal, awg_area_m2(awg)))
    assert band.min < nominal < band.max
    assert band.stated


@given(area=st.floats(0.05, 20.0), metal=metals, stranding=strandings)
def test_metric_sizes_are_never_better_than_nominal(
    area: float, metal: Metal, stranding: Stranding
) -> None:
    band = cable_ohm_per_m(CableSpec("x", metal, stranding, 2, area_mm2=area))
    assert band is not None
    assert band.typical >= ohm_per_m_20C(metal, area * 1e-6) * (1 - 1e-12)
    assert band.max > ohm_per_m_20C("copper", area * 1e-6)


@pytest.mark.parametrize("area", [0.22, 0.25, 0.34, 0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0])
def test_flex_keeps_to_its_limit(area: float) -> None:
    band = cable_ohm_per_m(CableSpec("x", "copper", "stranded", 2, area_mm2=area))
    assert band is not None
    assert band.max == iec60228_max_ohm_per_m(area, 5)
    assert band.min < band.typical < band.max


@pytest.mark.parametrize("share", [None, 10.0, 12.0, 15.0])
def test_copper_clad_worst_case_uses_the_minimum(share: float | None) -> None:
    spec = CableSpec("x", "copper-clad-aluminium", "solid", 2, gauge_awg=24, clad_copper_pct=share)
    band = cable_ohm_per_m(spec)
    assert band is not None
    copper = float(ohm_per_m_20C("copper", awg_area_m2(24)))
    least = 0.644 if share == 15.0 else 0.629
    assert band.max >= copper / least
    # a third of the reach or more is gone
    assert copper / band.typical < 0.67


def test_a_stated_resistance_wins() -> None:
    own = Band(0.09, 0.1, 0.11)
    assert cable_ohm_per_m(CableSpec("x", "copper", "solid", 2, gauge_awg=24, ohm_per_m=own)) == own


def test_unknown_stays_unknown() -> None:
    bare = CableSpec("x", "copper", "solid", 2)
    assert cable_ohm_per_m(bare) is None
    assert cable_area_mm2(bare) is None
    thin_cladding = CableSpec(
        "x", "copper-clad-aluminium", "solid", 2, gauge_awg=24, clad_copper_pct=5.0
    )
    assert cable_ohm_per_m(thin_cladding) is None
    assert cable_ohm_per_m(evolve(bare, gauge_awg=99.0)) is None


def test_area_from_what_is_known() -> None:
    bare = CableSpec("x", "copper", "solid", 2)
    assert cable_area_mm2(evolve(bare, area_mm2=0.5)) == 0.5
    assert cable_area_mm2(evolve(bare, gauge_awg=24)) == pytest.approx(0.2047, rel=1e-3)
    # 0.039 ohm/m is no more than 0.442 mm² of copper
    measured = evolve(bare, ohm_per_m=Band(0.036, 0.037, 0.039))
    assert cable_area_mm2(measured) == pytest.approx(0.442, abs=5e-4)


@given(
    metal=metals,
    area=st.floats(0.05, 10.0),
    time=st.floats(0.01, 5.0),
    start=st.floats(-20.0, 90.0),
    rise=st.floats(1.0, 200.0),
)
def test_largest_current_reaches_the_stated_temperature(
    metal: Metal, area: float, time: float, start: float, rise: float
) -> None:
    current = adiabatic_max_current_A(time, area, metal, start, start + rise)
    end = adiabatic_end_C(current, time, area, metal, start)
    assert end == pytest.approx(start + rise, rel=1e-9, abs=1e-6)


def test_small_pulses_heat_as_the_heat_balance_says() -> None:
    # dT = I² ρ t / (S² Qc) with Qc = 3.45e-3 J/(K mm³) and ρ = 17.241e-6 ohm mm, near 20 °C
    rise = float(adiabatic_end_C(1.0, 0.1, 0.5, "copper", 20.0)) - 20.0
    assert rise == pytest.approx(1.0 * 17.241e-6 * 0.1 / (0.25 * 3.45e-3), rel=1e-3)


def test_clad_wire_heats_more_than_copper_and_about_as_aluminium() -> None:
    assert material_factor("aluminium") * 0.95 < material_factor("copper-clad-aluminium")
    assert material_factor("copper-clad-aluminium", 15) < material_factor("copper")


def test_a_huge_current_gives_no_overflow() -> None:
    assert math.isinf(float(adiabatic_end_C(1e4, 100.0, 0.1, "copper", 20.0)))


@given(area=st.floats(1e-8, 1e-4), time=st.floats(0.01, 10.0), ambient=st.floats(-40.0, 60.0))
def test_fusing_time_and_current_agree(area: float, time: float, ambient: float) -> None:
    current = onderdonk_fusing_current_A(area, time, ambient)
    assert onderdonk_fusing_time_s(area, current, ambient) == pytest.approx(time, rel=1e-9)


@given(no_fire=st.floats(1e-3, 100.0))
def test_test_current_is_never_above_a_fifth_or_the_cap(no_fire: float) -> None:
    code = float(allowed_test_current_A(no_fire))
    tenth = float(allowed_test_current_A(no_fire, "one-tenth"))
    assert tenth <= code <= min(0.05, 0.2 * no_fire) * (1 + 1e-12)
