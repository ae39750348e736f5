"""Sweeps over values of a show."""

from __future__ import annotations

from itertools import pairwise

import pytest

from bridgewire.api import check
from bridgewire.remedies.setting import SettingError, parse_setting
from bridgewire.remedies.sweep import sweep
from bridgewire.timeline.outcomes import Verdict
from tests.remedies.cases import EXAMPLES, case_of

JETTY = EXAMPLES / "jetty-trial.toml"


def test_the_value_as_written_gives_what_a_check_gives() -> None:
    case = case_of(JETTY)
    (row,) = sweep(case, [parse_setting("run[chain-1].length_m=20", case.plain)])
    report = check(JETTY)
    for verdict in Verdict:
        assert row.counts[verdict] == sum(c.verdict is verdict for c in report.cues)
    assert row.latest_s is None
    assert row.first_bad == "chain"


def test_a_longer_pulse_reaches_further_down_the_chain() -> None:
    """physics.md, what a person must see the model explain."""
    case = case_of(JETTY)
    pulses = parse_setting("cue[chain].pulse_s=1,2,4", case.plain)
    shorter = parse_setting("run[*].length_m=x0.25", case.plain)
    rows = sweep(case, [shorter, pulses], ["chain"])
    order = [Verdict.NO, Verdict.MARGINAL, Verdict.SURE]
    found = [next(v for v in order if row.counts[v]) for row in rows]
    assert [order.index(v) for v in found] == sorted(order.index(v) for v in found)
    assert found[0] is not found[-1]
    margins = [row.margin or 0.0 for row in rows]
    assert all(a < b for a, b in pairwise(margins))


def test_values_that_cannot_be_used_give_their_reason() -> None:
    case = case_of(JETTY)
    (row,) = sweep(case, [parse_setting("run[chain-1].cable=no-such", case.plain)])
    assert "no kit has a cable 'no-such'" in row.problems[0]
    (row,) = sweep(case, [parse_setting("run[chain-1].length_m=-3", case.plain)])
    assert row.problems


def test_two_settings_for_one_place_are_refused() -> None:
    case = case_of(JETTY)
    both = [parse_setting(t, case.plain) for t in ("run[*].length_m=1", "run[chain-1].length_m=2")]
    with pytest.raises(SettingError, match="same place"):
        sweep(case, both)


def test_too_many_combinations_are_refused() -> None:
    case = case_of(JETTY)
    many = [
        parse_setting(t, case.plain)
        for t in ("run[chain-1].length_m=1..100/1", "cue[chain].pulse_s=1..100/1")
    ]
    with pytest.raises(SettingError, match="10000 combinations"):
        sweep(case, many)
