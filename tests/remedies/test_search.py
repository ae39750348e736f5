"""The search for remedies: what it gives back is true of the whole show."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from bridgewire.api import check
from bridgewire.diagnostics import Severity
from bridgewire.remedies.apply import changed_files
from bridgewire.remedies.case import Case, Trial
from bridgewire.remedies.edits import Set, edited
from bridgewire.remedies.judge import harm, needs_help, state_of
from bridgewire.remedies.moves import heavier_cable, longer_pulse, move_cue, other_class
from bridgewire.remedies.numbered import numbered
from bridgewire.remedies.remedy import ENOUGH_MARGIN, MARGIN_STEP, Advice
from bridgewire.remedies.search import advise
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
    """Compared where every price is known; margins nearer than a step are alike."""
    text, cue_id = FAULTS[name]
    found = advice_for(case_from(text, tmp_path), cue_id)
    respects = [
        (
            *r.cost.vector(),
            r.effort.longer_s,
            len(r.after.findings),
            len(r.caveats),
            -min(r.after.margin or 0, ENOUGH_MARGIN) + MARGIN_STEP,
        )
        for r in found.remedies
        if r.cost.money is not None
    ]
    for i, mine in enumerate(respects):
        for j, other in enumerate(respects):
            if i != j:
                clearly = other[-1] + 2 * MARGIN_STEP <= mine[-1]
                beaten = all(a <= b for a, b in zip(other, mine, strict=True))
                assert not (beaten and clearly), found.remedies[i].words


def test_what_has_no_price_is_beaten_by_less_of_the_same_only(tmp_path: Path) -> None:
    """Three igniters without a price are not said to be dearer than fifty metres of cable."""
    found = advice_for(case_from(shows.SHORT_PULSE, tmp_path), "go")
    kinds = {k for r in found.remedies for k in r.kinds}
    assert {"longer-pulse", "heavier-cable", "parallel-runs", "other-class"} <= kinds
    unpriced = [r for r in found.remedies if r.cost.money is None]
    assert unpriced
    assert all(not r.caveats for r in found.remedies[:2])


def test_the_cheapest_comes_first(tmp_path: Path) -> None:
    found = advice_for(case_from(shows.LONG_WAY, tmp_path), "go")
    totals = [
        r.cost.total
        for r in found.remedies
        if r.cost.total is not None and not r.after.findings and not r.caveats
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
    assert found.remedies
    prices = {"harrowmere:pier-cable": 1.30, "harrowmere:raft-cable": 2.60}  # of the demo kit
    for remedy in found.remedies:
        (bought,) = [i for i in remedy.effort.items if i.count > 0]
        # 50 m of shore cable, 0.45 a metre, are no longer needed.
        assert remedy.cost.money == pytest.approx(50 * (prices[bought.full_id] - 0.45))
        assert remedy.cost.not_stated == ()
    (found,) = advise(case, ["go"], moves=[other_class.changes])
    generic = [r for r in found.remedies if "generic:" in r.words]
    assert generic
    for remedy in generic:
        assert remedy.cost.money is None
        assert remedy.cost.total is None
        assert any("price_each" in key for key in remedy.cost.not_stated)
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


ALIKE = (
    shows.HEAD
    + shows.strip("west")
    + shows.run("heron-1/1", "west", 42)
    + "".join(shows.igniter(f"comet {n}", f"west/{n}") for n in (1, 2, 3))
    + "".join(shows.cue(f"go {n}", f"heron-1/1/{n}", 10 * n, 0.5) for n in (1, 2, 3))
    + shows.cue("empty", "heron-1/2/1", 60, 0.05)
)
"""Three cues with the same fault, and one with another."""


def test_cues_that_fail_alike_are_mended_alike(tmp_path: Path) -> None:
    case = case_from(ALIKE, tmp_path)
    found = advise(case)
    assert sorted(map(len, (a.cue_ids for a in found))) == [1, 3]
    alike = max(found, key=lambda a: len(a.cue_ids))
    pulses = [r for r in alike.remedies if r.kinds == ("longer-pulse",)]
    assert pulses
    for remedy in alike.remedies:
        assert set(remedy.mends) == {"go 1", "go 2", "go 3"}
    assert {e.path for e in pulses[0].edits} == {("cue", n, "pulse_s") for n in range(3)}
    assert pulses[0].words.startswith("for each of 3 cues: give it a pulse of ")
    cable = next(r for r in alike.remedies if r.kinds == ("heavier-cable",))
    assert len(cable.edits) == 1  # one run feeds all


def test_remedies_have_the_same_numbers_each_time(tmp_path: Path) -> None:
    one, other = (numbered(advise(case_from(ALIKE, tmp_path))) for _ in range(2))
    assert one.count == other.count > 3
    for n in range(1, one.count + 1):
        mine, theirs = one.remedy(n), other.remedy(n)
        assert mine is not None
        assert theirs is not None
        assert mine.edits == theirs.edits
    assert one.remedy(one.count + 1) is None


def test_a_remedy_for_several_groups_comes_first(tmp_path: Path) -> None:
    """Slow igniters of two classes on one thin run: the run mends both kinds of cue."""
    text = (
        shows.HEAD
        + shows.strip("west")
        + shows.run("heron-1/1", "west", 48)
        + shows.igniter("short", "west/1")
        + shows.igniter("long", "west/2", "generic:clip-on-long")
        + shows.cue("one", "heron-1/1/1", 10, 0.5)
        + shows.cue("two", "heron-1/1/2", 20, 0.6)
    )
    advice = advise(case_from(text, tmp_path))
    assert [a.cue_ids for a in advice] == [("one",), ("two",)]
    found = numbered(advice)
    assert found.several
    for n, remedy in found.several:
        assert set(remedy.mends) == {"one", "two"}
        assert all(n in found.also(item) for item, _ in found.groups)
        assert all(n != m for _, rest in found.groups for m, _ in rest)


def test_ids_with_numbers_do_not_hide_harm(tmp_path: Path) -> None:
    """A finding about another cue is new, though the same two cues are named in it."""
    case = case_from(shows.HOLD_OFF, tmp_path)
    (found,) = advise(case, ["again"], moves=[move_cue.changes])
    for remedy in found.remedies:
        after = case.trial(remedy.edits)
        assert isinstance(after, Trial)
        assert not after.about("first")
    swapped = [Set(("cue", 0, "time_s"), 10.3), Set(("cue", 1, "time_s"), 10.0)]
    after = case.trial(swapped)
    assert isinstance(after, Trial)
    assert any("'first'" in words for words in harm(case.as_written, after))


def test_more_of_the_same_is_harm(tmp_path: Path) -> None:
    """A second igniter that fails under the same cue is told, though the code is known."""
    case = case_from(shows.CHAIN, tmp_path)
    after = case.trial([Set(("cue", 0, "pulse_s"), 0.05)])
    assert isinstance(after, Trial)
    assert harm(case.as_written, after)
