"""What counts as a change between two revisions, and which way it goes."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

from bridgewire.report.diff_changes import Turn
from bridgewire.report.show_diff import (
    LIGHT_TOLERANCE,
    LIGHT_TOLERANCE_S,
    MARGIN_TOLERANCE,
    show_diff,
    verdict_turn,
)
from bridgewire.timeline.outcomes import Verdict
from tests.diff.revisions import SHOW, changed, difference, report_of

SHORT_PULSE = changed(("pulse_s = 2.0", "pulse_s = 0.35"))
NEW_CUE = '[[cue]]\nid = "finale"\nfire = "heron-1/1/3"\ntime_s = 30.0\npulse_s = {pulse}\n'
NEW_IGNITER = '[[igniter]]\nid = "wheel"\nat = "jetty/3"\nclass = "clip-on-short"\n'


def test_nothing_changed_where_only_words_and_lines_did(tmp_path: Path) -> None:
    found = difference(tmp_path, SHOW, "# moved\n\n" + SHOW)
    assert found.nothing_changed
    assert not found.got_worse


def test_a_verdict_that_got_worse_and_back(tmp_path: Path) -> None:
    found = difference(tmp_path, SHOW, SHORT_PULSE)
    (change,) = found.verdicts
    assert (change.cue, change.igniter, change.turn) == ("gerbs", "gerb", Turn.WORSE)
    assert (change.before, change.after) == (Verdict.SURE, Verdict.MARGINAL)
    assert found.got_worse
    assert [m.pulse_s for m in found.moves] == [(2.0, 0.35)]
    assert {f.code for f in found.found} >= {"FIR002"}
    back = difference(tmp_path, SHORT_PULSE, SHOW)
    assert [v.turn for v in back.verdicts] == [Turn.BETTER]
    assert not back.got_worse
    assert {f.code for f in back.cleared} >= {"FIR002"}


def test_every_pair_of_verdicts_goes_one_way() -> None:
    turns = {(a, b): verdict_turn(a, b) for a, b in itertools.product(Verdict, Verdict)}
    for a, b in itertools.permutations(Verdict, 2):
        both = {turns[a, b], turns[b, a]}
        assert both in ({Turn.WORSE, Turn.BETTER}, {Turn.OTHER, Turn.WORSE})
    assert all(turns[v, v] is Turn.OTHER for v in Verdict)
    assert all(turns[Verdict.SURE, v] is Turn.WORSE for v in Verdict if v is not Verdict.SURE)
    assert turns[Verdict.NO, Verdict.UNKNOWN] is Turn.OTHER
    assert turns[Verdict.MARGINAL, Verdict.UNKNOWN] is Turn.WORSE


@pytest.mark.parametrize("length", ["30.2", "36"])
def test_figures_are_told_beyond_their_tolerance_only(tmp_path: Path, length: str) -> None:
    old = report_of(tmp_path, SHOW, "old.toml")
    new = report_of(tmp_path, changed(("length_m = 30", f"length_m = {length}")), "new.toml")
    found = show_diff(old, new)
    assert found.verdicts == ()
    told = {(f.igniter, f.quantity) for f in found.figures}
    for before, after in zip(old.cues, new.cues, strict=True):
        was, now = before.meant[0], after.meant[0]
        assert was.margin is not None
        assert now.margin is not None
        moved = abs(now.margin - was.margin) > MARGIN_TOLERANCE * max(was.margin, now.margin)
        assert ((now.id, "margin") in told) is moved
        late = now.light.latest - was.light.latest
        moved = abs(late) > max(LIGHT_TOLERANCE * now.light.latest, LIGHT_TOLERANCE_S)
        assert ((now.id, "latest light") in told) is moved
    assert bool(told) is (length == "36")
    assert {f.turn for f in found.figures if f.quantity != "earliest light"} <= {Turn.WORSE}


def test_a_renamed_cue_is_the_same_cue(tmp_path: Path) -> None:
    found = difference(tmp_path, SHOW, changed(('id = "gerbs"', 'id = "first gerb"')))
    assert [(m.was, m.cue) for m in found.moves] == [("gerbs", "first gerb")]
    assert (found.added, found.removed, found.found, found.cleared) == ((), (), (), ())


def test_a_renamed_cue_that_moved_is_another(tmp_path: Path) -> None:
    new = changed(('id = "gerbs"', 'id = "first gerb"'), ("time_s = 5.0", "time_s = 6.0"))
    found = difference(tmp_path, SHOW, new)
    assert [c.id for c in found.added] == ["first gerb"]
    assert [c.id for c in found.removed] == ["gerbs"]
    assert not found.got_worse


def test_two_cues_at_one_time_on_one_way_leave_a_doubt(tmp_path: Path) -> None:
    twice = '[[cue]]\nid = "{0}"\nfire = "heron-1/1/1"\ntime_s = 5.0\npulse_s = 2.0\n'
    old = SHOW + twice.format("again")
    new = changed(('id = "gerbs"', 'id = "a"')) + twice.format("b")
    found = difference(tmp_path, old, new)
    assert {c.id for c in found.added} == {"a", "b"}
    assert {c.id for c in found.removed} == {"gerbs", "again"}


def test_a_renamed_igniter_is_matched_by_its_terminal(tmp_path: Path) -> None:
    new = changed(('id = "gerb"', 'id = "silver gerb"'), ("pulse_s = 2.0", "pulse_s = 0.35"))
    (change,) = difference(tmp_path, SHOW, new).verdicts
    assert (change.igniter, change.before, change.after) == (
        "silver gerb",
        Verdict.SURE,
        Verdict.MARGINAL,
    )


def test_a_new_cue_counts_as_worse_only_where_it_is_not_sure(tmp_path: Path) -> None:
    sure = SHOW + NEW_IGNITER + NEW_CUE.format(pulse=2.0)
    found = difference(tmp_path, SHOW, sure)
    assert [c.id for c in found.added] == ["finale"]
    assert found.verdicts == ()
    doubtful = SHOW + NEW_IGNITER + NEW_CUE.format(pulse=0.35)
    (change,) = difference(tmp_path, SHOW, doubtful).turned(Turn.WORSE)
    assert (change.cue, change.before, change.after) == ("finale", None, Verdict.MARGINAL)


def test_an_igniter_that_no_cue_lights_any_more_is_worse(tmp_path: Path) -> None:
    start = SHOW.index('[[cue]]\nid = "opening"')
    found = difference(tmp_path, SHOW, SHOW[:start])
    (change,) = found.verdicts
    assert (change.igniter, change.after, change.turn) == ("comet", None, Turn.WORSE)
    without = SHOW[:start].replace(
        '[[igniter]]\nid = "comet"\nat = "jetty/2"\nclass = "lantern-match"\n', ""
    )
    gone = difference(tmp_path, SHOW, without)
    assert gone.verdicts == ()
    assert [c.id for c in gone.removed] == ["opening"]


def test_moves(tmp_path: Path) -> None:
    new = changed(("time_s = 15.0", "time_s = 15.25"), ('"heron-1/1/2"', '"heron-1/2/2"'))
    (move,) = difference(tmp_path, SHOW, new).moves
    assert move.switch_s == (15.0, 15.25)
    assert move.way == (("heron-1", 1, 2), ("heron-1", 2, 2))
    assert move.pulse_s is None


def test_an_ignored_finding_is_silenced_and_not_cleared(tmp_path: Path) -> None:
    old = changed(("length_m = 30", "length_m = 60"))
    ignore = '[[checks.ignore]]\ncode = "WIR002"\nreason = "on loan"\n'
    found = difference(tmp_path, old, old + ignore)
    assert {f.code for f in found.silenced} == {"WIR002"}
    assert "WIR002" not in {f.code for f in found.cleared}
    back = difference(tmp_path, old + ignore, old)
    assert {f.code for f in back.found} == {"WIR002"}


def test_a_finding_that_got_clearly_worse(tmp_path: Path) -> None:
    old = changed(("length_m = 30", "length_m = 40"))
    new = changed(("length_m = 30", "length_m = 46"))
    found = difference(tmp_path, old, new)
    assert {f.code for f in found.worse_findings} == {"FIR006"}
    assert found.found == ()


def test_kits(tmp_path: Path) -> None:
    kit = 'format = 1\nid = "own"\nversion = "{0}"\nextends = "harrowmere"\ntitle = "{1}"\n'
    show = changed(('kits = ["harrowmere", "generic"]', 'kits = ["own", "generic"]'))
    for side, version, title in (("old", "1", "a"), ("new", "1", "b")):
        (tmp_path / side).mkdir()
        (tmp_path / side / "own.toml").write_text(kit.format(version, title), encoding="utf-8")
    (change,) = difference(tmp_path, show, show).kits
    assert change.same_version
    (tmp_path / "new" / "own.toml").write_text(kit.format("2", "b"), encoding="utf-8")
    (change,) = difference(tmp_path, show, show).kits
    assert not change.same_version
    other = difference(tmp_path, SHOW, show).kits
    assert [(k.id, k.before is None, k.after is None) for k in other] == [
        ("own", True, False),
        ("harrowmere", False, True),
    ]
