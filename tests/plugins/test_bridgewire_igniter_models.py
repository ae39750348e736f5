"""The hook `bridgewire_igniter_models`: laws of igniters in the solver."""

from __future__ import annotations

from pathlib import Path

import pytest

import bridgewire
from bridgewire import Verdict
from bridgewire.plugins import load_plugins
from tests.plugins.distributions import install
from tests.plugins.shows import KIT_DIRS, write_kit, write_show

LAW = """
@hookimpl
def bridgewire_igniter_models(context):
    def heating(state):
        ratio = state.current_A / state.threshold_A
        return state.parameters["share"] * ratio * ratio

    return [IgniterModel("share-law", heating, parameters=("share",), title="part of the heat")]
"""


def show_with(folder: Path, model: str) -> Path:
    """The show with an igniter class that names a model."""
    write_kit(
        folder, "own", ("default_pulse_s = 0.5", f"default_pulse_s = 0.5\n{model}")
    )  # the first class is the electric match
    return write_show(
        folder, ('kits = ["bench"]', 'kits = ["own", "bench"]'), ("bench:match", "own:match")
    )


def light_s(show: Path) -> float:
    report = bridgewire.check(bridgewire.load_show(show, kit_dirs=KIT_DIRS))
    assert not [f for f in report.findings if f.code.startswith("PLG")]
    return report.cues[0].igniters[0].light.typical


def test_a_class_lights_by_the_law_of_a_plugin(site: Path, tmp_path: Path) -> None:
    install(site, LAW)
    full = light_s(show_with(tmp_path, 'model = "share-law"\nparameters = { share = 1.0 }'))
    weak = light_s(show_with(tmp_path, 'model = "share-law"\nparameters = { share = 0.25 }'))
    plain = light_s(write_show(tmp_path))
    assert full == pytest.approx(plain, rel=0.02)
    assert weak > 3.0 * full


def test_a_model_that_nobody_provides_makes_the_verdict_unknown(site: Path, tmp_path: Path) -> None:
    show = show_with(tmp_path, 'model = "share-law"\nparameters = { share = 1.0 }')
    report = bridgewire.check(bridgewire.load_show(show, kit_dirs=KIT_DIRS))
    (finding,) = [f for f in report.findings if f.code == "PLG005"]
    assert finding.location is not None
    assert finding.location.snippet == 'model = "share-law"'
    assert report.cues[0].verdict is Verdict.UNKNOWN
    assert not [f for f in report.findings if f.code == "KIT001" and "model" in f.message]


def test_a_parameter_that_the_class_does_not_give(site: Path, tmp_path: Path) -> None:
    install(site, LAW)
    show = show_with(tmp_path, 'model = "share-law"')
    report = bridgewire.check(bridgewire.load_show(show, kit_dirs=KIT_DIRS))
    assert [f for f in report.findings if f.code == "KIT001" and "parameters.share" in f.message]
    assert report.cues[0].verdict is Verdict.UNKNOWN


WRONG = {
    "raises": "raise ZeroDivisionError('nothing to divide by')",
    "shape": "return state.x[:0]",
    "nan": "return state.x * float('nan')",
    "negative": "return -1.0 - state.x",
}


@pytest.mark.parametrize("case", WRONG)
def test_a_model_that_misbehaves_is_a_finding_and_no_verdict(
    site: Path, tmp_path: Path, case: str
) -> None:
    source = f"""
    @hookimpl
    def bridgewire_igniter_models(context):
        def heating(state):
            {WRONG[case]}

        return [IgniterModel("odd-law", heating)]
    """
    install(site, source)
    show = show_with(tmp_path, 'model = "odd-law"')
    ignore = '\n[[checks.ignore]]\ncode = "PLG004"\nreason = "we know"\n'
    show.write_text(show.read_text(encoding="utf-8") + ignore, encoding="utf-8")
    loaded = bridgewire.load_show(show, kit_dirs=KIT_DIRS, plugins=load_plugins(allow_broken=True))
    report = bridgewire.check(loaded)
    found = [f for f in report.findings if f.code == "PLG004"]
    assert found
    assert all("'odd-law'" in f.message and f.severity is bridgewire.Severity.ERROR for f in found)
    assert all(f.location is not None and "odd-law" in f.location.snippet for f in found)
    assert report.cues[0].verdict is Verdict.UNKNOWN
    assert [f for f in report.findings if f.code == "DOC022"]
