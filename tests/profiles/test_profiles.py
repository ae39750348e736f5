"""The shipped kit profiles: every value has a source, and the figures hang together."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from bridgewire.documents.loader import load_kit
from bridgewire.model.band import Band
from bridgewire.model.kit import BatterySupply, CapacitorSupply, IgniterClass, Kit, RegulatedSupply
from bridgewire.physics.bridge_heating import light_time
from bridgewire.physics.cable import (
    cable_area_mm2,
    cable_ohm_per_m,
    nominal_copper_ohm_per_m,
)
from bridgewire.physics.continuity import allowed_test_current_A
from bridgewire.physics.igniter_data import heating, missing_heating_data

PROFILES = Path(__file__).parents[2] / "profiles"
FILES = sorted(PROFILES.glob("*.toml"))
SORTS = ("contact", "cable", "strip", "splitter", "igniter_class", "box")
NO_SOURCE = ("common practice, no source", "from memory")
AMBIENT = Band(-10.0, 15.0, 35.0)

# What is not an electrical value: names, counts, choices and references.
NOT_ELECTRICAL = {
    "id", "title", "kind", "metal", "stranding", "conductors", "ways", "through", "outlets",
    "outputs", "max_strips", "leads_per_terminal", "inlet_contact", "through_contact",
    "terminal_contact", "outlet_contact", "output_contact", "map", "feed_conductors",
    "return_conductors", "rows", "columns", "scope", "sources",
}  # fmt: skip
BAND_KEYS = {"min", "typical", "max", "tol", "tol_pct"}


def electrical_keys(table: dict[str, Any], prefix: str = "") -> Iterator[str]:
    for key, value in table.items():
        if key in NOT_ELECTRICAL:
            continue
        if isinstance(value, dict) and not BAND_KEYS.issuperset(value):
            yield from electrical_keys(value, f"{prefix}{key}.")
        else:
            yield prefix + key


def entries() -> list[tuple[str, str, dict[str, Any]]]:
    found = []
    for file in FILES:
        data = tomllib.loads(file.read_text(encoding="utf-8"))
        found += [(file.stem, sort, entry) for sort in SORTS for entry in data.get(sort, [])]
    return found


def kit(name: str) -> Kit:
    return load_kit(PROFILES / f"{name}.toml")[0]


@pytest.fixture(scope="module")
def generic() -> Kit:
    return kit("generic")


@pytest.fixture(scope="module")
def harrowmere() -> Kit:
    return kit("harrowmere")


@pytest.mark.parametrize(
    ("name", "sort", "entry"), entries(), ids=lambda v: v["id"] if isinstance(v, dict) else str(v)
)
def test_every_electrical_value_has_a_source(name: str, sort: str, entry: dict[str, Any]) -> None:
    sources = entry.get("sources", {})
    keys = set(electrical_keys(entry))
    assert keys - set(sources) == set(), "without a source"
    assert set(sources) - keys == set(), "a source for a value that is not there"
    for key, text in sources.items():
        known = text in NO_SOURCE or any(
            mark in text
            for mark in ("IEC", "ASTM", "TIA", "VDE", "SprengV", "published", "article", "http")
        )
        assert known or (name == "harrowmere" and "invented demo data" in text), (key, text)


def test_what_the_generic_kit_holds(generic: Kit) -> None:
    assert len(generic.cable) == 10
    assert {c.id for c in generic.igniter_class} == {
        "electric-match",
        "bridge-a",
        "bridge-u",
        "clip-on-short",
        "clip-on-long",
    }
    assert [type(b.supply) for b in generic.box] == [
        BatterySupply,
        CapacitorSupply,
        RegulatedSupply,
    ]
    assert {b.path.map for b in generic.box} == {"matrix", "common-return", "pair"}


@pytest.mark.parametrize("name", ["generic", "harrowmere"])
def test_references_and_conductors(name: str) -> None:
    own = kit(name)
    contacts = {c.id for c in own.contact}
    named = [s.inlet_contact for s in own.strip] + [s.through_contact for s in own.strip]
    named += [s.terminal_contact for s in own.strip]
    named += [c for s in own.splitter for c in (s.inlet_contact, s.outlet_contact)]
    named += [b.output_contact for b in own.box]
    assert {n for n in named if n is not None} <= contacts
    assert None not in named
    for box in own.box:
        # one of the kit's cables carries all ways of an output
        assert box.path.conductors_needed(box.ways) <= max(c.conductors for c in own.cable)
        assert box.path.map != "matrix" or (box.path.rows, box.path.columns) == (4, 4)


@pytest.mark.parametrize("name", ["generic", "harrowmere"])
def test_cables_are_plausible(name: str) -> None:
    for spec in kit(name).cable:
        band, area = cable_ohm_per_m(spec), cable_area_mm2(spec)
        assert band is not None
        assert area is not None
        assert spec.rated_A is not None
        copper = nominal_copper_ohm_per_m(spec)
        assert copper is not None
        most = 1.7 if spec.metal == "copper-clad-aluminium" else 1.25
        assert 0.95 * copper < band.min <= band.typical <= band.max < most * copper
        assert 2.0 < spec.rated_A / area < 15.0  # A/mm²


def test_thin_or_clad_cable_costs_a_third_of_the_reach(generic: Kit) -> None:
    # reach goes with one over the resistance per metre
    ohm = {c.id: band.typical for c in generic.cable if (band := cable_ohm_per_m(c)) is not None}
    for other in ("patch-26awg", "patch-28awg", "patch-24awg-cca"):
        assert ohm["pair-24awg-solid"] / ohm[other] < 2 / 3


@pytest.mark.parametrize("name", ["generic", "harrowmere"])
def test_boxes_are_complete(name: str) -> None:
    for box in kit(name).box:
        for key in ("pulses", "hold_off", "continuity_test", "switch_ohm", "min_supply_V",
                    "max_output_A", "max_strips"):  # fmt: skip
            assert getattr(box, key) is not None, (box.id, key)
        supply = box.supply
        volts = supply.charged_V if isinstance(supply, CapacitorSupply) else supply.open_circuit_V
        assert volts is not None
        assert box.min_supply_V is not None
        assert 0.5 * volts.min < box.min_supply_V + 1.0 <= volts.min
        if isinstance(supply, BatterySupply):
            curve = [(p.charge_pct, p.open_circuit_V) for p in supply.charge_curve]
            assert curve == sorted(curve)
            assert curve[-1][0] == 100.0
            assert volts.min <= curve[-1][1] <= volts.max
            cold = [(p.at_C, p.capacity_pct) for p in supply.cold_curve]
            assert cold == sorted(cold)
            factors = [p.internal_ohm_factor or 0.0 for p in supply.cold_curve]
            assert factors == sorted(factors, reverse=True)
            assert min(factors) > 0.5


@pytest.mark.parametrize("name", ["generic", "harrowmere"])
def test_continuity_tests_keep_the_code_for_every_generic_igniter(name: str, generic: Kit) -> None:
    # WAC 212-17-317(6), text of the fireworks display code: 0.05 A or 20 % of no-fire
    limits = [
        float(allowed_test_current_A(c.no_fire_A))
        for c in generic.igniter_class
        if c.no_fire_A is not None
    ]
    assert len(limits) == 5
    for box in kit(name).box:
        assert box.continuity_test is not None
        assert box.continuity_test.current_A is not None
        assert box.continuity_test.current_A.max <= min(limits)


def classes() -> list[IgniterClass]:
    return list(kit("generic").igniter_class)


def test_igniter_classes_hang_together() -> None:
    for cls in classes():
        assert missing_heating_data(cls) == ()
        h = heating(cls, AMBIENT)
        assert h is not None
        assert cls.all_fire_A is not None
        assert cls.all_fire_time_s is not None
        assert cls.no_fire_A is not None
        # the slowest still keeps the class's own all-fire, the fastest its no-fire
        assert float(light_time(cls.all_fire_A, *h.slow)) <= cls.all_fire_time_s * (1 + 1e-9)
        assert cls.no_fire_A <= h.threshold_A.min
        assert cls.burn_open is not None
        assert cls.burn_open.min > 1.0
        assert cls.default_pulse_s is not None


def test_the_slow_wire_of_the_reference_ladder(generic: Kit) -> None:
    # threshold 0.894 A and time constant 3 s, as in the design's reference ladder
    short = next(c for c in generic.igniter_class if c.id == "clip-on-short")
    h = heating(short, Band.exact(20.0))
    assert h is not None
    assert h.typical == pytest.approx((0.8944, 3.0), abs=1e-4)
    assert short.burn_open is not None
    assert 20.0 + short.burn_open.typical * 680.0 == pytest.approx(1100.0, abs=2.0)


def test_regulated_classes_keep_their_total_resistance(generic: Kit) -> None:
    # 1. SprengV Anlage 2: at most 4.5 ohm (A) and 3.5 ohm (U) with leads
    for name, total in (("bridge-a", 4.5), ("bridge-u", 3.5)):
        cls = next(c for c in generic.igniter_class if c.id == name)
        assert cls.bridge_ohm is not None
        assert cls.lead_ohm is not None
        assert cls.bridge_ohm.max + cls.lead_ohm.max == pytest.approx(total)
