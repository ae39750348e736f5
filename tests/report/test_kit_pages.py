from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

from bridgewire.documents.loader import load_kit
from bridgewire.kits.discovery import shipped_profiles_dir
from bridgewire.model.band import Band
from bridgewire.model.kit import (
    BatterySupply,
    BoxKind,
    CableSpec,
    Contact,
    IgniterClass,
    Kit,
    PathMap,
    StripKind,
)
from bridgewire.report.kit_gaps import kit_doubts, kit_entries, kit_gaps
from bridgewire.report.kit_page import entry_values, gaps_text, kit_page
from bridgewire.rules.kit007_inconsistent_igniter_data import contradictions
from tests.report.fixtures import SHOWS

SHIPPED = sorted(shipped_profiles_dir().glob("*.toml"))


@pytest.mark.parametrize("file", SHIPPED, ids=lambda p: p.stem)
def test_every_value_is_on_the_page_with_its_source(file: Path) -> None:
    kit, _ = load_kit(file)
    page = " ".join(kit_page(kit, str(file)).split())
    for item, entry in kit_entries(kit):
        assert item in page
        for key, text in entry_values(entry):
            assert f"{key}: {' '.join(text.split())}" in page
        for source in entry.sources.values():
            assert " ".join(source.split()) in page


def test_a_figure_without_source_says_so() -> None:
    kit = Kit(1, "club", contact=(Contact("plug", contact_ohm=Band.exact(0.02)),))
    page = kit_page(kit, "f")
    assert "0.02 Ω (no tolerance stated)  [no source stated]" in page


def test_derived_resistance_of_a_pair() -> None:
    # IEC 60228: 0.0842 ohm/m there and back over 100 m is 16.84 ohm.
    cable = CableSpec("reel", "copper", "solid", 8, ohm_per_m=Band.exact(0.0842))
    page = kit_page(Kit(1, "club", cable=(cable,)), "f")
    assert "a pair of 100 m, there and back: 16.8 Ω" in page


def test_derived_heating_follows_from_thermal_data() -> None:
    # I0 = sqrt(gamma theta / R), tau = C / gamma (L. A. Rosenthal, Rev. Sci. Instrum. 32, 1033).
    exact = Band.exact
    klass = IgniterClass(
        "wire",
        "clip-on-nichrome",
        bridge_ohm=exact(1.7),
        heat_capacity_J_per_K=exact(0.006),
        loss_W_per_K=exact(0.002),
        lit_C=exact(700.0),
    )
    page = kit_page(Kit(1, "club", igniter_class=(klass,)), "f")
    current = math.sqrt(0.002 * 680.0 / 1.7)
    found = re.search(r"typical: threshold current I0 ([\d.]+) A, time constant tau ([\d.]+)", page)
    assert found is not None
    assert float(found[1]) == pytest.approx(current, rel=1e-3)
    assert float(found[2]) == pytest.approx(3.0, rel=1e-3)


def test_gaps_name_what_cannot_be_checked() -> None:
    kit, _ = load_kit(SHOWS / "kits" / "bench.toml")
    gaps = {(g.item, g.key): g for g in kit_gaps(kit)}
    assert gaps["igniter class unmeasured", "threshold_A"].blocks
    assert gaps["igniter class unmeasured", "burn_open"].prevents == "whether it lights"
    assert not gaps["box heron", "max_strips"].blocks
    text = " ".join(gaps_text(kit, "bench.toml", kit_gaps(kit), kit_doubts(kit)).split())
    assert "Cannot be computed without" in text
    assert "max_strips (for: more strips than an output addresses)" in text


def test_an_empty_box_lacks_its_supply() -> None:
    box = BoxKind("b", 1, 8, PathMap("pair"), BatterySupply("battery"))
    strip = StripKind("s", 8, through=1)
    gaps = {(g.item, g.key): g.blocks for g in kit_gaps(Kit(1, "c", box=(box,), strip=(strip,)))}
    assert gaps["box b", "supply.internal_ohm"] is True
    assert gaps["box b", "supply.cold_curve"] is False
    assert gaps["box b", "switch_ohm"] is True
    assert gaps["strip s", "through_contact"] is True


@pytest.mark.parametrize("file", SHIPPED, ids=lambda p: p.stem)
def test_shipped_profiles_are_plausible(file: Path) -> None:
    assert kit_doubts(load_kit(file)[0]) == ()


def test_implausible_values_are_doubted() -> None:
    exact = Band.exact
    kit = Kit(
        1,
        "club",
        contact=(Contact("plug", contact_ohm=exact(15.0)),),
        cable=(CableSpec("c", "copper", "solid", 2, gauge_awg=24, ohm_per_m=exact(0.0257)),),
        igniter_class=(
            IgniterClass("m", "electric-match", no_fire_A=0.5, all_fire_A=0.3),
            IgniterClass("w", "clip-on-nichrome", lit_C=exact(7000.0)),
        ),
    )
    doubted = {(d.item, d.key) for d in kit_doubts(kit)}
    # What contradicts itself is rule KIT007's; `kits validate` shows both.
    doubted |= {
        (f"igniter class {c.id}", key)
        for c in kit.igniter_class
        for key, *_ in contradictions(c, exact(20.0))
    }
    assert doubted == {
        ("contact plug", "contact_ohm"),
        ("cable c", "ohm_per_m"),
        ("igniter class m", "no_fire_A"),
        ("igniter class w", "lit_C"),
    }
