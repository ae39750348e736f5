"""Conductors, cable specs and pulse heating: properties and ranges."""

from __future__ import annotations

import math
from typing import Any

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
)
from bridgewire.physics.conductor_tables import (
    copper_kt,
    from_75C,
    iec60228_kt,
    iec60228_max_ohm_per_m,
)
from bridgewire.physics.conductors import (
    awg_area_m2,
    awg_diameter_m,
    clad_iacs,
    loop_ohm,
    ohm_per_m_20C,
    resistance_factor,
)
from bridgewire.physics.continuity import allowed_test_current_A
from bridgewire.physics.fusing import (
    onderdonk_fusing_current_A,
    onderdonk_fusing_time_s,
    preece_fusing_current_A,
)

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
        lambda: awg_diameter_m(56.1),
        lambda: awg_diameter_m(-3.1),
        lambda: awg_diameter_m(math.nan),
        lambda: resistance_factor(250.1, "copper"),
        lambda: resistance_factor(-60.1, "copper"),
        lambda: ohm_per_m_20C("copper-clad-aluminium", 1e-6, 9.9),
        lambda: ohm_per_m_20C("copper-clad-aluminium", 1e-6, 100.0),
        lambda: ohm_per_m_20C("copper", 0.0),
        lambda: ohm_per_m_20C("copper", -1e-6),
        lambda: loop_ohm(0.1, 10.0, 0, 1),
        lambda: k_factor("copper", 160.0, 70.0),
        lambda: adiabatic_end_C(1.0, 1.0, 0.0, "copper", 20.0),
        lambda: adiabatic_end_C(1.0, 1.0, -1.0, "copper", 20.0),
        lambda: adiabatic_end_C(1.0, -1.0, 1.0, "copper", 20.0),
        lambda: adiabatic_max_current_A(0.0, 1.0, "copper", 70.0, 160.0),
        lambda: onderdonk_fusing_current_A(1e-6, 0.0, 25.0),
        lambda: preece_fusing_current_A(1e-3, "nickel"),
        lambda: from_75C(1.0, 20.0, "copper-clad-aluminium"),
        lambda: from_75C(1.0, 251.0),
        lambda: copper_kt(-61.0),
        lambda: iec60228_kt(101.0),
        lambda: iec60228_kt(float("nan")),
        lambda: preece_fusing_current_A(0.0),
        lambda: onderdonk_fusing_current_A(0.0, 1.0, 25.0),
        lambda: onderdonk_fusing_current_A(1e-6, 1.0, 1083.0),
        lambda: onderdonk_fusing_time_s(1e-6, 0.0, 25.0),
        lambda: onderdonk_fusing_time_s(1e-6, 10.0, -234.0),
        lambda: allowed_test_current_A(0.0),
        lambda: allowed_test_current_A(math.nan),
    ],
)
def test_out_of_range_is_refused(call: object) -> None:
    assert callable(call)
    with pytest.raises(ModelRangeError):
        call()


def test_the_ends_of_the_ranges_are_in_them() -> None:
    # Source: ASTM B258: 4/0 is 0.4600 in; 56 gauge 0.00049 in, cut to five decimals (from memory).
    assert awg_diameter_m(-3) == pytest.approx(0.4600 * 0.0254, rel=1e-4)
    assert awg_diameter_m(56) / 0.0254 == pytest.approx(0.00049, abs=5e-6)
    # Source: IEC 60028: 0.00393 /K.
    assert resistance_factor(-60.0, "copper") == pytest.approx(1 - 80 * 0.00393)
    assert resistance_factor(250.0, "copper") == pytest.approx(1 + 230 * 0.00393)
    # Just below all copper still counts as the higher class.
    assert clad_iacs(10.0) < clad_iacs(99.9) == clad_iacs(15.0)


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


@pytest.mark.parametrize("size", [{"gauge_awg": 24}, {"area_mm2": 0.5}])
def test_an_unknown_copper_share_is_ten_percent_at_worst_and_fifteen_at_best(
    size: dict[str, Any],
) -> None:
    def band(share: float | None) -> Band:
        clad = CableSpec("x", "copper-clad-aluminium", "solid", 2, clad_copper_pct=share)
        result = cable_ohm_per_m(evolve(clad, **size))
        assert result is not None
        return result

    assert band(None) == Band(band(15.0).min, band(10.0).typical, band(10.0).max)
    assert band(15.0).max < band(10.0).max


def test_clad_gauge_at_its_worst_is_the_standard_s_resistivity_and_a_thin_wire() -> None:
    # Source: ASTM B566, largest resistivity of class 10A at 20 °C: 0.02743 ohm mm²/m (from memory);
    # a diameter 1 % below nominal takes 1.99 % of the metal: 1.0203 in resistance.
    clad = CableSpec("x", "copper-clad-aluminium", "solid", 2, gauge_awg=24, clad_copper_pct=10.0)
    band = cable_ohm_per_m(clad)
    assert band is not None
    assert band.max * float(awg_area_m2(24)) == pytest.approx(0.02743e-6 * 1.0203, rel=1e-3)


@pytest.mark.parametrize("stranding", ["solid", "stranded"])
@pytest.mark.parametrize("area", [0.09, 0.6, 3.0, 18.0])
def test_a_metric_size_without_a_limit_has_the_slack_of_those_with_one(
    area: float, stranding: Stranding
) -> None:
    # Source: IEC 60228 Table 3, class 5: 0.5 mm² 39.0 ohm/km, the widest of the copper limits.
    widest = 39.0e-3 * 0.5e-6 / 1.7241e-8
    assert iec60228_max_ohm_per_m(area, 5) is None
    band = cable_ohm_per_m(CableSpec("x", "copper", stranding, 2, area_mm2=area))
    assert band is not None
    nominal = float(ohm_per_m_20C("copper", area * 1e-6))
    assert band.min == pytest.approx(nominal)
    assert widest <= band.max / nominal <= 1.01 * widest
    assert band.typical == pytest.approx((band.min + band.max) / 2)


def test_no_metal_is_no_conductor() -> None:
    bare = CableSpec("x", "copper", "solid", 2)
    assert cable_ohm_per_m(evolve(bare, area_mm2=0.0)) is None
    assert cable_ohm_per_m(evolve(bare, area_mm2=-0.5)) is None
    assert cable_area_mm2(evolve(bare, ohm_per_m=Band.exact(0.0))) is None
    assert cable_area_mm2(evolve(bare, ohm_per_m=Band.exact(-0.1))) is None


def test_a_stated_area_counts_before_a_gauge() -> None:
    area = CableSpec("x", "copper", "solid", 2, area_mm2=0.5)
    assert cable_ohm_per_m(evolve(area, gauge_awg=24)) == cable_ohm_per_m(area)
    assert cable_area_mm2(evolve(area, gauge_awg=24)) == 0.5


@pytest.mark.parametrize(("share", "iacs"), [(10.0, 0.645), (15.0, 0.665), (None, 0.665)])
def test_clad_wire_at_its_best_has_the_conductivity_of_the_wire_tables(
    share: float | None, iacs: float
) -> None:
    # Source: wire tables of copper-clad aluminium: 64.5 % IACS (10 % copper), 66.5 % (15 %), as in
    # tests/published; IEC 60028: 100 % IACS is 1.7241e-8 ohm m.
    clad = CableSpec("x", "copper-clad-aluminium", "solid", 2, clad_copper_pct=share)
    band = cable_ohm_per_m(evolve(clad, area_mm2=0.6))
    assert band is not None
    assert band.min == pytest.approx(1.7241e-8 / iacs / 0.6e-6)


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


@pytest.mark.parametrize(
    ("share", "counts_as", "ohm_mm2_per_m"),
    # Source: ASTM B566, largest resistivity of classes 10A and 15A at 20 °C (from memory).
    [(None, 10.0, 0.02743), (10.0, 10.0, 0.02743), (15.0, 15.0, 0.02676)],
)
def test_clad_wire_takes_the_heat_of_its_parts(
    share: float | None, counts_as: float, ohm_mm2_per_m: float
) -> None:
    # Source: IEC 60949: heat per volume of copper 3.45e-3, of aluminium 2.5e-3 J/(K mm³). Near
    # 20 °C the rise is I² ρ t / (S² Qc), without the constants of the exponential form.
    heat = counts_as / 100 * 3.45e-3 + (1 - counts_as / 100) * 2.5e-3
    rise = float(adiabatic_end_C(1.0, 0.1, 0.5, "copper-clad-aluminium", 20.0, share)) - 20.0
    assert rise == pytest.approx(ohm_mm2_per_m * 1e-3 * 0.1 / (0.25 * heat), rel=2e-3)


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
