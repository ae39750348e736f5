"""The hook `bridgewire_supply_models`: laws of supplies in the solver."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import bridgewire
from bridgewire import Verdict
from tests.plugins.distributions import install
from tests.plugins.shows import KIT_DIRS, write_kit, write_show

PLUGIN = """
@hookimpl
def bridgewire_supply_models(context):
    def current_A(state):
        return {law}

    return [SupplyModel("mill", current_A, parameters=("inner_ohm",))]
"""
LINEAR = "(state.emf_V - state.output_V).clip(0.0) / state.parameters['inner_ohm']"


def show_with(folder: Path, inner_ohm: float) -> Path:
    kit = write_kit(folder, "own")
    text = kit.read_text(encoding="utf-8")
    own = (
        '[box.supply]\nkind = "model"\nmodel = "mill"\nparameters = { inner_ohm = '
        f"{inner_ohm} }}\n[box.pulses]"
    )
    text = re.sub(r"\[box\.supply\].*?\[box\.pulses\]", own, text, count=1, flags=re.S)
    kit.write_text(text, encoding="utf-8")
    return write_show(
        folder, ('kits = ["bench"]', 'kits = ["own", "bench"]'), ("bench:mains", "own:mains")
    )


def current_A(show: Path) -> float:
    report = bridgewire.check(bridgewire.load_show(show, kit_dirs=KIT_DIRS))
    assert not [f for f in report.findings if f.code.startswith("PLG")]
    found = report.cues[0].igniters[0].terminal_A
    assert found is not None
    return found


def test_a_box_delivers_by_the_law_of_a_plugin(site: Path, tmp_path: Path) -> None:
    """Bench box: 12 V read on site, 0.3 ohm inside; the same as a plugin's linear law."""
    install(site, PLUGIN.format(law=LINEAR))
    plain = current_A(write_show(tmp_path))
    same = current_A(show_with(tmp_path, 0.3))
    weak = current_A(show_with(tmp_path, 3.3))
    assert same == pytest.approx(plain, rel=1e-3)
    assert weak < 0.8 * same


def test_a_supply_model_that_misbehaves(site: Path, tmp_path: Path) -> None:
    install(site, PLUGIN.format(law="state.emf_V * float('nan')"))
    show = show_with(tmp_path, 0.3)
    report = bridgewire.check(bridgewire.load_show(show, kit_dirs=KIT_DIRS))
    (finding,) = [f for f in report.findings if f.code == "PLG004"]
    assert "the supply of box 'own:mains'" in finding.message
    assert report.cues[0].verdict is Verdict.UNKNOWN
