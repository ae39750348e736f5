"""The search for remedies: what it gives back is true of the whole show."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from bridgewire.api import check
from bridgewire.diagnostics import Severity
from bridgewire.remedies.apply import changed_files
from bridgewire.remedies.case import Case, Trial
from bridgewire.remedies.edits import edited
from bridgewire.remedies.judge import harm, needs_help, state_of
from bridgewire.remedies.moves import heavier_cable, longer_pulse, move_cue
from bridgewire.remedies.search import Advice, advise
from bridgewire.timeline.outcomes import Verdict
from tests.remedies import shows
from tests.remedies.cases import EXAMPLES, case_from, case_of

FAULTS = {
    "short pulse": (shows.SHORT_PULSE, "go"),
    "long way": (shows.LONG_WAY, "go"),
    "chain": (shows.CHAIN, "go"),
    "hold-off": (shows.HOLD_OFF, "again"),
}


def advice_for(case: Case, cue_id: str) -> Advice:
    (found,) = advise(case, [cue_id])
    return found


@pytest.mark.parametrize("name", FAULTS)
def test_every_remedy_holds_for_the_changed_file(name: str, tmp_path: Path) -> None:
    """The file with the remedy made is checked from scratch, through the public API."""
    text, cue_id = FAULTS[name]
    case = case_from(text, tmp_path)
    before = check(tmp_path / "show.toml")
    found = advice_for(case, cue_id)
    assert found.remedies
    for n, remedy in enumerate(found.remedies):
        target = tmp_path / f"mended-{n}.toml"
        files = changed_files(tmp_path / "show.toml", target, case.show, case.data, remedy.edits)
        for path, raw in files.items():
            path.write_bytes(raw)
        report = check(target)
        cue = next(c for c in report.cues if c.id == cue_id)
        assert cue.verdict is Verdict.SURE
        errors = [f for f in report.findings if f.severity is Severity.ERROR]
        assert [f for f in errors if f.subjects[:1] == (cue_id,)] == []
        assert len(errors) < len([f for f in before.findings if f.severity is Severity.ERROR]) or (
            errors == []
        )


@pytest.mark.parametrize("name", FAULTS)
def test_no_remedy_beats_another_in_everything(name: str, tmp_path: Path) -> None:
    text, cue_id = FAULTS[name]
    found = advice_for(case_from(text, tmp_path), cue_id)
    respects = [
        (*r.cost.vector(), len(r.after.findings), -(r.after.margin or 0)) for r in found.remedies
    ]
    for i, mine in enumerate(respects):
        for j, other in enumerate(respects):
            if i != j:
                margins_alike = abs(mine[-1] - other[-1]) < 0.5
                assert not (
                    all(a <= b for a, b in zip(other, mine, strict=True))
                    and other != mine
                    and not margins_alike
                )


def test_the_cheapest_comes_first(tmp_path: Path) -> None:
    found = advice_for(case_from(shows.LONG_WAY, tmp_path), "go")
    totals = [
        r.cost.total for r in found.remedies if r.cost.total is not None and not r.after.findings
    ]
    assert all(a <= b for a, b in pairwise(totals))


def test_a_change_that_breaks_another_cue_is_not_advised(tmp_path: Path) -> None:
    """A longer pulse on the first cue would overlap the second."""
    text = (
        shows.SHORT_PULSE
        + shows.igniter("second", "west/2", "harrowmere:lantern-match")
        + shows.cue("next", "heron-1/1/1", 11.2, 0.05, 'lights = ["comet"]\n')
    )
    case = case_from(text, tmp_path)
    (found,) = advise(case, ["go"], moves=[longer_pulse.changes])
    for remedy in found.remedies:
        after = case.trial(remedy.edits)
        assert isinstance(after, Trial)
        assert harm(case.as_written, after, except_for=frozenset(["go"])) == []
    assert found.harmful
    assert all(words and broken for words, broken in found.harmful)


def test_without_moves_that_help_nothing_is_promised(tmp_path: Path) -> None:
    (found,) = advise(case_from(shows.LONG_WAY, tmp_path), ["go"], moves=[longer_pulse.changes])
    assert found.remedies == ()
    assert found.findings


def test_a_clear_show_needs_nothing() -> None:
    case = case_of(EXAMPLES / "midwinter-small.toml")
    cues = [c.id for c in case.show.cue]
    clear = [i for i in cues if state_of(case.as_written, i).clear]
    assert set(needs_help(case.as_written)) == set(cues) - set(clear)
    for found in advise(case, clear[:2]):
        assert (found.remedies, found.tried) == ((), 0)


def test_a_cue_that_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(KeyError):
        advise(case_from(shows.LONG_WAY, tmp_path), ["nothing"])


def test_costs_are_those_of_the_changes(tmp_path: Path) -> None:
    case = case_from(shows.LONG_WAY, tmp_path)
    (found,) = advise(case, ["go"], moves=[heavier_cable.changes])
    for remedy in found.remedies:
        # Cable has no price in the demo kits: money is not known, and so the total is not.
        assert remedy.cost.money is None
        assert remedy.cost.total is None
        assert any("price_per_m" in key for key in remedy.cost.not_stated)
    (found,) = advise(case_from(shows.HOLD_OFF, tmp_path), ["again"], moves=[move_cue.changes])
    for remedy in found.remedies:
        assert remedy.cost.total == pytest.approx(1.0 * remedy.cost.shift_s)


def test_edits_of_a_remedy_are_all_that_changes(tmp_path: Path) -> None:
    case = case_from(shows.SHORT_PULSE, tmp_path)
    (found,) = advise(case, ["go"], moves=[longer_pulse.changes])
    plain = edited(case.plain, found.remedies[0].edits)
    assert plain["cue"][0].pop("pulse_s") > 0.5
    before = dict(case.plain["cue"][0])
    before.pop("pulse_s")
    assert plain["cue"][0] == before
    assert {k: v for k, v in plain.items() if k != "cue"} == {
        k: v for k, v in case.plain.items() if k != "cue"
    }
