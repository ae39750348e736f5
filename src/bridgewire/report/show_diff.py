"""Compares two revisions of a show: what changed, and for better or worse."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping

from attrs import evolve

from bridgewire.diagnostics import Finding
from bridgewire.report.contents import Checked, UsedKit
from bridgewire.report.diff_changes import (
    CueMove,
    FigureChange,
    KitChange,
    ShowDiff,
    Turn,
    VerdictChange,
)
from bridgewire.report.diff_matching import matched_cues, matched_igniters
from bridgewire.report.fingerprints import fingerprint
from bridgewire.report.worsening import clearly_worse
from bridgewire.timeline.outcomes import CueOutcome, IgniterOutcome, Verdict

MARGIN_TOLERANCE = 0.05
"""A margin has changed where it moved by more than this part of the larger one."""
LIGHT_TOLERANCE = 0.05
"""A light time has changed where it moved by more than this part of the later one …"""
LIGHT_TOLERANCE_S = 0.001
"""… and by more than this, s."""
_MOMENT_S = 0.0005
_RANK = {Verdict.NO: 0, Verdict.UNKNOWN: 1, Verdict.MARGINAL: 2, Verdict.SURE: 3}


def show_diff(old: Checked, new: Checked) -> ShowDiff:
    """Compare two revisions of a show.

    Cues and igniters are matched as in `bridgewire.report.diff_matching`. A cue or an igniter of a
    cue that is new and not sure counts as worse, and so does an igniter that is still there and
    that no cue means to light any more.

    Parameters
    ----------
    old, new : Checked
        Reports of ``bridgewire.check``.

    Returns
    -------
    ShowDiff
    """
    pairs, added, removed = matched_cues(old.cues, new.cues)
    verdicts: list[VerdictChange] = []
    figures: list[FigureChange] = []
    moves: list[CueMove] = []
    for before, after in pairs:
        verdicts += _verdicts(before, after, old, new)
        figures += _figures(before, after, old, new)
        moves += _moves(before, after)
    for cue in added:
        verdicts += [_appeared(cue, i) for i in cue.meant]
    for cue in removed:
        verdicts += [_vanished(cue, i, old, new) for i in cue.meant]
    verdicts = [v for v in verdicts if not (v.turn is Turn.OTHER and None in (v.before, v.after))]
    renamed = {b.id: a.id for b, a in pairs if b.id != a.id}
    found, cleared, worse, silenced = _findings(old, new, renamed)
    return ShowDiff(
        old,
        new,
        tuple(verdicts),
        tuple(figures),
        tuple(moves),
        tuple(added),
        tuple(removed),
        found,
        cleared,
        worse,
        silenced,
        tuple(_kits(old.kits, new.kits)),
    )


def _verdicts(
    before: CueOutcome, after: CueOutcome, old: Checked, new: Checked
) -> Iterator[VerdictChange]:
    for was, now in matched_igniters(before, after, old, new):
        if now is None:
            assert was is not None
            yield _vanished(after, was, old, new)
        elif was is None:
            yield _appeared(after, now)
        elif was.verdict is not now.verdict:
            turn = verdict_turn(was.verdict, now.verdict)
            yield VerdictChange(after.id, now.id, was.verdict, now.verdict, turn, was, now)


def verdict_turn(before: Verdict, after: Verdict) -> Turn:
    """Whether a verdict got worse or better.

    From *no* to *unknown* is neither: nothing was gained by knowing less.

    Examples
    --------
    >>> verdict_turn(Verdict.SURE, Verdict.UNKNOWN), verdict_turn(Verdict.NO, Verdict.UNKNOWN)
    (<Turn.WORSE: 'worse'>, <Turn.OTHER: 'other'>)
    """
    if (before, after) == (Verdict.NO, Verdict.UNKNOWN) or before is after:
        return Turn.OTHER
    return Turn.WORSE if _RANK[after] < _RANK[before] else Turn.BETTER


def _appeared(cue: CueOutcome, igniter: IgniterOutcome) -> VerdictChange:
    turn = Turn.OTHER if igniter.verdict is Verdict.SURE else Turn.WORSE
    return VerdictChange(cue.id, igniter.id, None, igniter.verdict, turn, None, igniter)


def _vanished(
    cue: CueOutcome, igniter: IgniterOutcome, old: Checked, new: Checked
) -> VerdictChange:
    turn = Turn.WORSE if _left_unlit(igniter, new) else Turn.OTHER
    return VerdictChange(cue.id, igniter.id, igniter.verdict, None, turn, igniter, None)


def _left_unlit(igniter: IgniterOutcome, new: Checked) -> bool:
    """Whether an igniter is still in the show and no cue means to light it."""
    if new.assessment is None:
        return False
    index = new.assessment.layout.igniter_ids.get(igniter.id)
    return index is not None and index not in new.assessment.verdicts()


def _figures(
    before: CueOutcome, after: CueOutcome, old: Checked, new: Checked
) -> Iterator[FigureChange]:
    for was, now in matched_igniters(before, after, old, new):
        if was is None or now is None or was.verdict is not now.verdict:
            continue
        if _margin_moved(was.margin, now.margin):
            turn = _turn_of(was.margin, now.margin, higher_is_better=True)
            yield FigureChange(after.id, now.id, "margin", "", was.margin, now.margin, turn)
        for name, a, b in (
            ("earliest light", was.light.earliest, now.light.earliest),
            ("latest light", was.light.latest, now.light.latest),
        ):
            if _light_moved(a, b):
                turn = Turn.OTHER if name == "earliest light" else _turn_of(a, b)
                yield FigureChange(after.id, now.id, name, "s", a, b, turn)


def _turn_of(before: float | None, after: float | None, *, higher_is_better: bool = False) -> Turn:
    if after is None:
        return Turn.WORSE
    if before is None:
        return Turn.OTHER
    return Turn.BETTER if (after > before) == higher_is_better else Turn.WORSE


def _margin_moved(before: float | None, after: float | None) -> bool:
    if before is None or after is None:
        return before is not after
    return _beyond(before, after, MARGIN_TOLERANCE, 0.0)


def _light_moved(before: float, after: float) -> bool:
    return _beyond(before, after, LIGHT_TOLERANCE, LIGHT_TOLERANCE_S)


def _beyond(before: float, after: float, part: float, least: float) -> bool:
    if before == after:
        return False
    if not (math.isfinite(before) and math.isfinite(after)):
        return True
    return abs(after - before) > max(part * max(abs(before), abs(after)), least)


def _moves(before: CueOutcome, after: CueOutcome) -> Iterator[CueMove]:
    switch = pulse = way = None
    if abs(after.switch_s - before.switch_s) > _MOMENT_S:
        switch = before.switch_s, after.switch_s
    if before.pulse_s != after.pulse_s:
        pulse = before.pulse_s, after.pulse_s
    if before.way != after.way:
        way = before.way, after.way
    if switch or pulse or way or before.id != after.id:
        yield CueMove(after.id, before.id, switch, pulse, way)


def _findings(
    old: Checked, new: Checked, renamed: Mapping[str, str]
) -> tuple[tuple[Finding, ...], tuple[Finding, ...], tuple[Finding, ...], tuple[Finding, ...]]:
    """New, cleared, worse and silenced findings."""
    before, after = _by_mark(old.findings, old, renamed), _by_mark(new.findings, new)
    hidden = _by_mark((i.finding for i in new.ignored), new)
    found: list[Finding] = []
    worse: list[Finding] = []
    cleared: list[Finding] = []
    silenced: list[Finding] = []
    for key, now in after.items():
        then = before.get(key, [])
        found += now[len(then) :]
        worse += [b for a, b in zip(then, now, strict=False) if _is_worse(a, b)]
    for key, then in before.items():
        gone = then[len(after.get(key, ())) :]
        quiet = len(hidden.get(key, ()))
        silenced += gone[:quiet]
        cleared += gone[quiet:]
    return tuple(found), tuple(cleared), tuple(worse), tuple(silenced)


def _by_mark(
    findings: Iterable[Finding], report: Checked, renamed: Mapping[str, str] | None = None
) -> dict[str, list[Finding]]:
    """Findings by fingerprint, as if cues had the ids that they have got since."""
    show = None if report.assessment is None else report.assessment.layout.show
    ids = {} if renamed is None else renamed
    if show is not None and ids:
        show = evolve(show, cue=tuple(evolve(c, id=ids.get(c.id, c.id)) for c in show.cue))
    groups: dict[str, list[Finding]] = defaultdict(list)
    for finding in findings:
        about = evolve(finding, subjects=tuple(ids.get(s, s) for s in finding.subjects))
        groups[fingerprint(about, show)].append(finding)
    return groups


def _is_worse(before: Finding, after: Finding) -> bool:
    return after.severity > before.severity or clearly_worse(
        before.measured, after.measured, after.limit
    )


def _kits(old: Iterable[UsedKit], new: Iterable[UsedKit]) -> Iterator[KitChange]:
    before, after = {k.id: k for k in old}, {k.id: k for k in new}
    for kit_id in dict.fromkeys((*after, *before)):
        a, b = before.get(kit_id), after.get(kit_id)
        if a is None or b is None or (a.version, a.sha256) != (b.version, b.sha256):
            yield KitChange(kit_id, a, b)
