from __future__ import annotations

import re

import pytest
from attrs import evolve

from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.cue_table import WIDE, heading_lines
from bridgewire.report.ink import Ink
from bridgewire.report.plain_text import columns
from bridgewire.report.text import TextOptions, cue_section, one_line, report_text
from bridgewire.timeline.outcomes import Verdict
from tests.report.fixtures import SMALL, small_report
from tests.report.regression import assert_unchanged


@pytest.mark.parametrize("verbose", [False, True])
def test_no_line_is_wider_than_the_terminal(verbose: bool) -> None:
    for width in (80, 100, 120, 160):
        text = report_text(small_report(), TextOptions(width, verbose, everything=True))
        for line in text.splitlines():
            if str(SMALL.parent) not in line:  # paths are left whole
                assert columns(line) <= width, line


def test_verdicts_can_be_read_without_colour() -> None:
    text = report_text(small_report())
    assert "\x1b" not in text
    assert re.search(r"opening .* sure 1/1", text)
    assert re.search(r"three …jetty .* no 1/3", text)
    assert re.search(r"riddle .* unknown 1/1", text)
    counts = small_report().verdict_counts()
    for verdict in Verdict:
        assert f"{counts[verdict]} {verdict.value}" in text


def test_colour_adds_nothing_but_colour() -> None:
    plain = report_text(small_report(), TextOptions())
    dressed = report_text(small_report(), TextOptions(ink=Ink(True)))
    assert re.sub(r"\x1b\[[0-9;]*m", "", dressed) == plain


def test_details_are_for_cues_that_are_not_sure_unless_asked_for() -> None:
    brief = "\n".join(cue_section(small_report(), TextOptions()))
    full = "\n".join(cue_section(small_report(), TextOptions(verbose=True)))
    assert "    comet far" in brief
    assert "    opener" not in brief
    assert "    opener" in full


def test_what_it_waits_for_and_what_costs_most_is_told() -> None:
    text = " ".join("\n".join(cue_section(small_report(), TextOptions())).split())
    far = next(
        i for c in small_report().cues for i in c.meant if i.id == "comet middle" and i.waits_for
    )
    assert far.waits_for == ("comet near",)
    assert "Lights only after comet near burned open" in text
    assert far.drops[0].label in text


def test_the_missing_value_is_named() -> None:
    text = " ".join(report_text(small_report()).split())
    assert "igniter class bench:unmeasured" in text


def test_the_way_to_remedies_is_told_where_something_is_not_sure() -> None:
    line = "bridgewire advise SHOW tells what to change."
    report = small_report()
    assert line in report_text(report).splitlines()
    sure = tuple(c for c in report.cues if c.verdict is Verdict.SURE)
    assert sure
    assert line not in report_text(evolve(report, cues=sure))


def test_cautions_are_always_there() -> None:
    words = " ".join(report_text(small_report()).split())
    for caution in CAUTIONS:
        assert caution in words


def test_a_wide_terminal_tells_where_voltage_is_lost() -> None:
    assert "most voltage lost in" not in heading_lines(WIDE - 1)[0]
    assert "most voltage lost in" in heading_lines(WIDE)[0]


def test_one_line_names_file_and_counts() -> None:
    line = one_line(small_report())
    assert line.startswith(str(SMALL))
    assert "4 cues" in line


def test_regression_of_the_cue_table() -> None:
    for width in (80, 120):
        text = "\n".join(cue_section(small_report(), TextOptions(width, verbose=True)))
        assert_unchanged(f"cues-{width}.txt", text)
