"""The plugin's parts, by the helpers of bridgewire.testing."""

from pathlib import Path

import pytest
from harrowmere_plugin import spotter_rule
from harrowmere_plugin.call_sheet import WRITER
from harrowmere_plugin.damp_head import MODEL
from harrowmere_plugin.mere_sheet import IMPORTER

from bridgewire.plugins import PluginRule
from bridgewire.testing import (
    assert_cue_importer,
    assert_igniter_model,
    assert_kit_conforms,
    assert_report_writer,
    assert_rule_case,
    assert_rule_page,
    import_cues,
    rule_cases,
)

HERE = Path(__file__).parent
RULE = PluginRule.from_module(spotter_rule)
CASES = rule_cases(HERE / "cases")


@pytest.mark.parametrize("case", CASES, ids=[c.name for c in CASES])
def test_the_rule_finds_its_fault_and_nothing_else(case):
    assert_rule_case(case, RULE)


def test_the_rule_s_page_is_whole():
    assert_rule_page(RULE)


@pytest.mark.parametrize("damp_share", [0.0, 0.8, 1.0])
def test_the_model_can_run_in_the_solver(damp_share):
    assert_igniter_model(MODEL, {"damp_share": damp_share, "dry_x": 0.5})


def test_the_importer_reads_the_sheet_and_survives_damage():
    assert_cue_importer(IMPORTER, HERE / "cues.txt", cues=3)


def test_the_importer_says_where_and_what():
    cues, problems = import_cues(
        IMPORTER, "0:01  1/1  early\nbox b\n0:99  1/1  a\n0:09  1-1  b\n0:09  1/1  c  loud\n"
    )
    assert cues == []
    assert [(p.line, p.column) for p in problems] == [(1, 1), (3, 1), (4, 7), (5, 15)]


def test_the_importer_s_offset():
    cues, _ = import_cues(IMPORTER, HERE / "cues.txt", options={"offset_s": 60})
    assert [c.fields["time_s"] for c in cues] == [70.0, 86.5, 105.0]


def test_the_writer_copes_with_every_report():
    assert_report_writer(WRITER)


def test_the_profile_conforms():
    """Needs the plugin installed: the profile names its model."""
    folder = Path(spotter_rule.__file__).parent / "profiles"
    assert_kit_conforms(folder / "harrowmere-damp.toml")
