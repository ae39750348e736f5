"""How far cables reach."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from attrs import evolve

from bridgewire.circuit.catalogue import Catalogue
from bridgewire.kits.discovery import find_kits, kit_folders
from bridgewire.model.band import Band
from bridgewire.model.kit import (
    BatterySupply,
    BoxKind,
    CableSpec,
    Contact,
    IgniterClass,
    Kit,
    PathMap,
    RegulatedSupply,
    StripKind,
)
from bridgewire.remedies.reach import ReachQuestion, reaches
from bridgewire.report.reach_table import reach_text

EXACT = Band.exact


def bench_kit() -> Kit:
    """One box, one cable, one igniter class; no tolerances, contacts without resistance."""
    return Kit(
        1,
        "bench",
        contact=(Contact("joint", contact_ohm=EXACT(0.0)),),
        cable=(CableSpec("wire", "copper", "solid", 2, ohm_per_m=EXACT(0.05)),),
        strip=(
            StripKind(
                "strip",
                1,
                through=1,
                inlet_contact="joint",
                through_contact="joint",
                terminal_contact="joint",
                inner_ohm=EXACT(0.0),
            ),
        ),
        igniter_class=(
            IgniterClass(
                "wire-igniter",
                "clip-on-nichrome",
                bridge_ohm=EXACT(2.0),
                lead_ohm=EXACT(0.0),
                threshold_A=EXACT(1.0),
                tau_s=EXACT(1.0),
                burn_open=EXACT(900.0),
                after_fire="open",
            ),
        ),
        box=(
            BoxKind(
                "box",
                1,
                1,
                PathMap("pair"),
                RegulatedSupply("regulated", EXACT(12.0), EXACT(0.0)),
                output_contact="joint",
                switch_ohm=EXACT(0.0),
            ),
        ),
    )


def shipped() -> Catalogue:
    found = find_kits(["harrowmere", "generic"], kit_folders(Path("x.toml"), []))
    return Catalogue({k: v.kit for k, v in found.items()})


BENCH_KITS = Catalogue({"bench": bench_kit()})
SLOW = ReachQuestion(
    "harrowmere:heron",
    "harrowmere:jetty-strip-8",
    "harrowmere:shore-cable",
    "generic:clip-on-short",
    2.0,
    Band(-5, 5, 15),
    counts=(1, 2, 4),
)


def test_reach_falls_with_the_number_of_igniters_and_typical_is_farther() -> None:
    found = reaches(SLOW, shipped())
    assert [r.count for r in found] == [1, 2, 4]
    sure = [r.sure_m or 0.0 for r in found]
    assert sure == sorted(sure, reverse=True)
    assert sure[0] > 2 * sure[1] > 0
    assert all((r.typical_m or 0) > (r.sure_m or 0) for r in found)


def test_reach_rises_with_the_pulse_and_falls_with_the_cable() -> None:
    catalogue = shipped()
    short = reaches(evolve(SLOW, pulse_s=1.0, counts=(2,)), catalogue)[0].sure_m or 0.0
    long = reaches(evolve(SLOW, pulse_s=4.0, counts=(2,)), catalogue)[0].sure_m or 0.0
    heavy = reaches(
        evolve(SLOW, pulse_s=1.0, counts=(2,), cable="harrowmere:raft-cable"), catalogue
    )[0].sure_m
    assert 0 < short < long
    assert (heavy or 0.0) > 4 * short


def test_no_length_does_for_too_many() -> None:
    (found,) = reaches(evolve(SLOW, counts=(60,), pulse_s=0.05), shipped())
    assert found.sure_m is None


def test_the_longest_length_asked_for_is_the_end() -> None:
    question = evolve(SLOW, counts=(1,), longest_m=10.0)
    (found,) = reaches(question, shipped())
    assert (found.sure_m, found.typical_m) == (10.0, 10.0)


BENCH = ReachQuestion(
    "bench:box", "bench:strip", "bench:wire", "bench:wire-igniter", 1.5, EXACT(20.0), (1, 2)
)


@pytest.mark.parametrize("pulse_s", [0.3, 1.5, 4.0])
def test_reach_is_that_of_the_closed_form(pulse_s: float) -> None:
    """t = -tau ln(1 - (I0/I)^2) for constant current (design notes, bridge heating): the lowest
    current that lights in the pulse, and the length at which Ohm's law leaves it."""
    for n, found in zip((1, 2), reaches(evolve(BENCH, pulse_s=pulse_s), BENCH_KITS), strict=True):
        current_A = 1.0 / math.sqrt(1.0 - math.exp(-pulse_s / 1.0))
        longest = (12.0 / (n * current_A) - 2.0 / n) / (2 * 0.05)
        assert not found.unknown
        assert found.sure_m == pytest.approx(longest, rel=4e-3)
        assert (found.sure_m or 0) <= longest * (1 + 1e-4)
        assert found.typical_m == pytest.approx(longest, rel=4e-3)


def test_a_missing_value_is_unknown() -> None:
    kit = bench_kit()
    assert not any(r.unknown for r in reaches(BENCH, BENCH_KITS))
    blank = evolve(kit, cable=(evolve(kit.cable[0], ohm_per_m=None),))
    found = reaches(BENCH, Catalogue({"bench": blank}))
    assert all(r.unknown for r in found)
    assert found[0].missing == ("cable bench:wire: ohm_per_m",)
    text = " ".join(reach_text(BENCH, {"bench:wire": found}).split())
    assert "the kits do not state: cable bench:wire: ohm_per_m" in text
    assert "--supply-V" not in text
    assert "do not state" not in reach_text(BENCH, {"bench:wire": reaches(BENCH, BENCH_KITS)})


def test_a_battery_of_unknown_state_wants_a_reading() -> None:
    kit = bench_kit()
    battery = BatterySupply("battery", open_circuit_V=EXACT(12.0), internal_ohm=EXACT(0.0))
    catalogue = Catalogue({"bench": evolve(kit, box=(evolve(kit.box[0], supply=battery),))})
    text = reach_text(BENCH, {"bench:wire": reaches(BENCH, catalogue)})
    assert "--supply-V MIN MAX states" in text
    read = evolve(BENCH, supply_V=EXACT(12.0))
    assert "--supply-V" not in reach_text(read, {"bench:wire": reaches(read, catalogue)})


def test_names_that_are_not_there_are_said() -> None:
    with pytest.raises(ValueError, match="no kit has a cable 'nothing'"):
        reaches(evolve(SLOW, cable="nothing"), shipped())
