"""What in a kit cannot be: each judgment fires, and keeps still on sound values."""

from __future__ import annotations

import attrs
import pytest

from bridgewire.model.band import Band
from bridgewire.model.kit import (
    BatterySupply,
    BoxKind,
    CableSpec,
    CapacitorSupply,
    ChargePoint,
    ColdPoint,
    Contact,
    ContinuityTest,
    CurrentLimit,
    IgniterClass,
    Kit,
    PathMap,
    RegulatedSupply,
    Supply,
)
from bridgewire.physics.box_plausibility import stored_J
from bridgewire.physics.kit_plausibility import kit_judgments


def b(value: float) -> Band:
    return Band.with_percent(value, 5.0)


MATCH = IgniterClass(
    "match", "electric-match", bridge_ohm=b(1.5), lead_ohm=b(0.2), threshold_A=b(0.32),
    tau_s=b(0.0045), no_fire_A=0.25, all_fire_A=0.45, default_pulse_s=0.05,
)  # fmt: skip
WIRE = IgniterClass(
    "wire", "clip-on-nichrome", bridge_ohm=b(1.7), threshold_A=b(0.9), tau_s=b(5.0),
)  # fmt: skip
CAPACITOR = CapacitorSupply("capacitor", b(40.0), b(0.0047), b(0.4), b(1.0))
BATTERY = BatterySupply("battery", open_circuit_V=b(21.3), internal_ohm=b(0.3))
BOX = BoxKind("box", 1, 8, PathMap("common-return", 1, 2), BATTERY)
REEL = CableSpec("reel", "copper", "solid", 8, gauge_awg=24, rated_A=2.0)
PLUG = Contact("plug", contact_ohm=b(0.008), rated_A=7.5)


def keys(*, box: BoxKind | None = None, **entries: object) -> list[str]:
    """Keys judged in a kit of a few entries."""
    tables: dict[str, tuple[object, ...]] = {"contact": (PLUG,), "cable": (REEL,)}
    tables |= {
        name: value if isinstance(value, tuple) else (value,) for name, value in entries.items()
    }
    if box is not None:
        tables["box"] = (box,)
    kit = Kit(1, "club", **tables)  # type: ignore[arg-type]
    found = list(kit_judgments(kit))
    for j in found:
        assert j.message
        assert j.measured != j.limit
    return [j.key for j in found]


def with_supply(supply: Supply, **changes: object) -> BoxKind:
    return attrs.evolve(BOX, supply=supply, **changes)  # type: ignore[arg-type]


def test_sound_entries_are_left_in_peace() -> None:
    assert keys(box=BOX, igniter_class=(MATCH, WIRE)) == []
    assert keys(box=with_supply(CAPACITOR), igniter_class=MATCH) == []


def test_a_hot_contact() -> None:
    assert keys(contact=attrs.evolve(PLUG, contact_ohm=b(0.8))) == ["contact_ohm"]


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"ohm_per_m": b(0.1684)}, "ohm_per_m"),  # there and back
        ({"ohm_per_m": b(0.842)}, "ohm_per_m"),
        ({"area_mm2": 0.5}, "area_mm2"),
        ({"rated_A": 10.0}, "rated_A"),
        ({"clad_copper_pct": 10.0}, "clad_copper_pct"),
    ],
)
def test_cables(changes: dict[str, object], key: str) -> None:
    assert keys(cable=attrs.evolve(REEL, **changes)) == [key]  # type: ignore[arg-type]


def test_clad_aluminium_counted_as_copper_is_not_called_a_wrong_unit() -> None:
    assert keys(cable=attrs.evolve(REEL, ohm_per_m=b(0.131))) == []


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"after_fire": "residual", "after_fire_ohm": b(0.5)}, "after_fire_ohm"),
        ({"after_fire": "shorted", "after_fire_ohm": b(5.0)}, "after_fire_ohm"),
        ({"tau_s": b(2.0), "default_pulse_s": None}, "tau_s"),
        ({"kind": "clip-on-nichrome"}, "tau_s"),
        ({"default_pulse_s": 0.001}, "default_pulse_s"),
    ],
)
def test_igniter_classes(changes: dict[str, object], key: str) -> None:
    assert keys(igniter_class=attrs.evolve(MATCH, **changes)) == [key]  # type: ignore[arg-type]


def test_energy_of_a_capacitor() -> None:
    assert stored_J(CAPACITOR) == pytest.approx(0.0047 * 40.0**2 / 2)
    in_microfarad = attrs.evolve(CAPACITOR, capacitance_F=b(4700.0))
    assert keys(box=with_supply(in_microfarad)) == ["supply.capacitance_F"]
    at_once = attrs.evolve(CAPACITOR, recharge_s=b(0.001))
    assert keys(box=with_supply(at_once)) == ["supply.recharge_s"]


def test_a_capacitor_that_lights_nothing_of_the_kit() -> None:
    assert keys(box=with_supply(CAPACITOR), igniter_class=WIRE) == ["supply.capacitance_F"]
    assert keys(box=with_supply(CAPACITOR), igniter_class=(WIRE, MATCH)) == []


def test_a_supply_that_lights_nothing_of_the_kit() -> None:
    limit = CurrentLimit("constant-current", b(0.2))
    weak = RegulatedSupply("regulated", b(24.0), b(0.1), limit)
    assert keys(box=with_supply(weak), igniter_class=(MATCH, WIRE)) == ["supply.limit.limit_A"]
    feeble = RegulatedSupply("regulated", b(0.3), b(1.0))
    assert keys(box=with_supply(feeble), igniter_class=MATCH) == ["supply"]


def test_curves_that_run_the_wrong_way() -> None:
    falling = (ChargePoint(0.0, 21.0), ChargePoint(100.0, 20.0))
    assert keys(box=with_supply(attrs.evolve(BATTERY, charge_curve=falling))) == [
        "supply.charge_curve"
    ]
    other = (ChargePoint(0.0, 11.0), ChargePoint(100.0, 12.7))
    assert keys(box=with_supply(attrs.evolve(BATTERY, charge_curve=other))) == [
        "supply.charge_curve"
    ]
    cold = (ColdPoint(-10.0, 110.0), ColdPoint(20.0, 100.0))
    assert keys(box=with_supply(attrs.evolve(BATTERY, cold_curve=cold))) == ["supply.cold_curve"]


def test_a_fold_back_that_folds_the_wrong_way() -> None:
    limit = CurrentLimit("fold-back", b(2.0), b(4.0))
    supply = attrs.evolve(BATTERY, limit=limit)
    assert keys(box=with_supply(supply)) == ["supply.limit.short_circuit_A"]


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"min_supply_V": 24.0}, "min_supply_V"),
        ({"output_contact": "plug", "max_output_A": 200.0}, "max_output_A"),
        ({"path": PathMap("pair", 8, 8)}, "path.map"),
        ({"path": PathMap("matrix", 1, 1, rows=2, columns=2)}, "path.rows"),
        ({"continuity_test": ContinuityTest(b(0.06))}, "continuity_test.current_A"),
        ({"continuity_test": ContinuityTest(b(0.01), 1.0)}, "continuity_test.threshold_ohm"),
        ({"continuity_test": ContinuityTest(b(0.01), 100.0)}, None),
    ],
)
def test_boxes(changes: dict[str, object], key: str | None) -> None:
    box = attrs.evolve(BOX, **changes)  # type: ignore[arg-type]
    assert keys(box=box, igniter_class=MATCH) == ([] if key is None else [key])


def test_a_judgment_knows_its_path() -> None:
    kit = Kit(1, "club", box=(BOX, attrs.evolve(BOX, min_supply_V=30.0)))
    (found,) = kit_judgments(kit)
    assert found.path == ("box", 1, "min_supply_V")
