"""Published adiabatic constants and fusing currents."""

from __future__ import annotations

import pytest
from tests.agreements import Agreement

from bridgewire.model.kit import Insulation
from bridgewire.physics.conductor_heating import INSULATION_LIMITS, k_factor, material_factor
from bridgewire.physics.fusing import (
    CIRCULAR_MIL_M2,
    PREECE,
    onderdonk_fusing_current_A,
    onderdonk_fusing_time_s,
    preece_fusing_current_A,
)

K_TABLE = Agreement(
    "iec-60364-5-54",
    oracle="IEC 60364-5-54 and BS 7671, tables of k",
    what="the factor k of copper and aluminium in six insulations",
    limit=0.6,
    unit="A s^½/mm²",
    differences="The tables are printed in whole numbers.",
)

INCH_M = 0.0254


def test_material_factors() -> None:
    # Source: IEC 60949: K = 226 (copper), 148 (aluminium) A s^0.5 / mm².
    assert round(material_factor("copper")) == 226
    assert round(material_factor("aluminium")) == 148


# Source: IEC 60364-5-54 / BS 7671 k tables: insulation, copper k, aluminium k, up to 300 mm².
@pytest.mark.parametrize(
    ("insulation", "copper", "aluminium"),
    [
        ("pvc-70", 115, 76),
        ("pvc-90", 100, 66),
        ("xlpe", 143, 94),
        ("rubber-60", 141, 93),
        ("rubber-85", 134, 89),
        ("silicone", 132, 87),
    ],
)
def test_k_table(insulation: Insulation, copper: int, aluminium: int) -> None:
    limits = INSULATION_LIMITS[insulation]
    K_TABLE.close(k_factor("copper", *limits), copper)
    K_TABLE.close(k_factor("aluminium", *limits), aluminium)


def test_temperatures_of_insulations() -> None:
    # Source: the same tables, initial and final temperatures in °C, up to 300 mm².
    assert dict(INSULATION_LIMITS) == {
        "pvc-70": (70.0, 160.0),
        "pvc-90": (90.0, 160.0),
        "xlpe": (90.0, 250.0),
        "rubber-60": (60.0, 200.0),
        "rubber-85": (85.0, 220.0),
        "silicone": (180.0, 350.0),
    }


@pytest.mark.parametrize(
    ("start", "end", "copper", "aluminium"),
    # Source: the same tables, PVC above 300 mm². Trap: a page prints 78 for 68.
    [(70.0, 140.0, 103, 68), (90.0, 140.0, 86, 57)],
)
def test_k_table_large_sections(start: float, end: float, copper: int, aluminium: int) -> None:
    assert k_factor("copper", start, end) == pytest.approx(copper, abs=0.6)
    assert k_factor("aluminium", start, end) == pytest.approx(aluminium, abs=0.5)


def test_k_from_30C() -> None:
    # Source: IEC 60364-5-54 for separate protective conductors (from memory): copper in PVC 143,
    # in XLPE 176, from 30 °C.
    assert k_factor("copper", 30.0, 160.0) == pytest.approx(143, abs=0.5)
    assert k_factor("copper", 30.0, 250.0) == pytest.approx(176, abs=0.5)


# Source: Preece's table of copper wire diameters in inches that fuse at a current, as an
# engineering web page on fuses gives it.
@pytest.mark.parametrize(
    ("amps", "inch"),
    [(1, 0.0021), (5, 0.0062), (10, 0.0098), (20, 0.0156), (50, 0.0288), (100, 0.0457)],
)
def test_preece_copper(amps: float, inch: float) -> None:
    # printed to a ten-thousandth of an inch
    low = preece_fusing_current_A((inch - 6e-5) * INCH_M)
    high = preece_fusing_current_A((inch + 6e-5) * INCH_M)
    assert low <= amps <= high


def test_preece_misprint_for_aluminium() -> None:
    # Source: the same table. Trap: 250 A of aluminium is printed 0.1208, must be 0.1028.
    assert preece_fusing_current_A(0.1028 * INCH_M, "aluminium") == pytest.approx(250, rel=2e-3)
    assert float(preece_fusing_current_A(0.1208 * INCH_M, "aluminium")) > 300
    assert (PREECE["iron"], PREECE["tin"], PREECE["lead"]) == (3148, 1642, 1379)
    # Source: worked value 123 A for 0.0524 in copper, physicsforums thread 364495.
    assert preece_fusing_current_A(0.0524 * INCH_M) == pytest.approx(122.88, abs=0.05)


def test_onderdonk_sign_trap() -> None:
    # Source: Onderdonk's equation, worked with 234 + Ta: 2581 cmil, 5 s, 25 °C: 168.86 A; 4110 cmil
    # at 400 A: 2.26 s. The web post (physicsforums thread 364495) that prints 178 A and 2.5 s has
    # 234 - Ta.
    assert onderdonk_fusing_current_A(2581 * CIRCULAR_MIL_M2, 5.0, 25.0) == pytest.approx(
        168.86, abs=0.01
    )
    assert onderdonk_fusing_time_s(4110 * CIRCULAR_MIL_M2, 400.0, 25.0) == pytest.approx(
        2.26, abs=5e-3
    )
    assert onderdonk_fusing_current_A(2581 * CIRCULAR_MIL_M2, 5.0, 25.0) < 0.96 * 177.76
