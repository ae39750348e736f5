"""What changed between two revisions of a show: verdicts, figures, cues, findings, kits."""

from __future__ import annotations

import enum
import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from attrs import evolve, frozen

from bridgewire.circuit.layout import WayKey
from bridgewire.diagnostics import Finding
from bridgewire.report.contents import Checked, UsedKit
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


class Turn(enum.Enum):
    """Which way a verdict or a figure went."""

    WORSE = "worse"
    BETTER = "better"
    OTHER = "other"


@frozen
class VerdictChange:
    """One igniter under one cue whose verdict is another, or that the cue means no more or anew."""

    cue: str
    igniter: str
    before: Verdict | None
    """None where the cue did not mean to light it."""
    after: Verdict | None
    """None where the cue does not mean to light it any more."""
    turn: Turn
    old: IgniterOutcome | None = None
    new: IgniterOutcome | None = None


@frozen
class FigureChange:
    """A margin or a light time that moved by more than its tolerance."""

    cue: str
    igniter: str
    quantity: str
    """``margin``, ``earliest light`` or ``latest light``."""
    unit: str
    before: float | None
    after: float | None
    """``inf`` is never, None is not known."""
    turn: Turn


@frozen
class CueMove:
    """What the crew has to set otherwise for a cue that is in both revisions."""

    cue: str
    was: str
    """Its old id; the same where it kept it."""
    switch_s: tuple[float, float] | None = None
    pulse_s: tuple[float | None, float | None] | None = None
    way: tuple[WayKey | None, WayKey | None] | None = None


@frozen
class KitChange:
    """A kit profile that is another, was added or is used no more."""

    id: str
    before: UsedKit | None
    after: UsedKit | None

    @property
    def same_version(self) -> bool:
        """Whether the contents changed and the version that it states did not."""
        return (
            self.before is not None
            and self.after is not None
            and self.before.version == self.after.version
        )


@frozen
class ShowDiff:
    """The difference of two revisions of one show.

    Attributes
    ----------
    old, new : Checked
        The two reports.
    verdicts : tuple of VerdictChange
        In the order of the new show's cues, removed cues last.
    figures : tuple of FigureChange
        Of igniters whose verdict is the same, beyond the tolerances of this module.
    moves : tuple of CueMove
    added, removed : tuple of CueOutcome
    found, cleared : tuple of Finding
        New findings (among them those that the show ignored before) and those that are gone.
    worse_findings : tuple of Finding
        Findings of both whose severity rose or whose value got clearly worse.
    silenced : tuple of Finding
        Found as before, but the show now asks not to hear of them.
    kits : tuple of KitChange
    """

    old: Checked
    new: Checked
    verdicts: tuple[VerdictChange, ...] = ()
    figures: tuple[FigureChange, ...] = ()
    moves: tuple[CueMove, ...] = ()
    added: tuple[CueOutcome, ...] = ()
    removed: tuple[CueOutcome, ...] = ()
    found: tuple[Finding, ...] = ()
    cleared: tuple[Finding, ...] = ()
    worse_findings: tuple[Finding, ...] = ()
    silenced: tuple[Finding, ...] = ()
    kits: tuple[KitChange, ...] = ()

    def turned(self, turn: Turn) -> tuple[VerdictChange, ...]:
        """Changes of verdicts that went one way."""
        return tuple(v for v in self.verdicts if v.turn is turn)

    @property
    def got_worse(self) -> bool:
        """Whether any verdict got worse."""
        return bool(self.turned(Turn.WORSE))

    @property
    def nothing_changed(self) -> bool:
        """Whether there is nothing to say, in verdicts or in anything else."""
        return not (
            self.verdicts
            or self.figures
            or self.moves
            or self.added
            or self.removed
            or self.found
            or self.cleared
            or self.worse_findings
            or self.silenced
            or self.kits
        )


def show_diff(old: Checked, new: Checked) -> ShowDiff:
    """Compare two revisions of a show.

    Cues are matched by id; those left over by way and switching time, where that leaves no doubt.
    Igniters of a cue are matched by id, then by terminal. A cue or an igniter of a cue that is new
    and not sure counts as worse, and so does an igniter that is still there and that no cue means
    to light any more.

    Parameters
    ----------
    old, new : Checked
        Reports of ``bridgewire.check``.

    Returns
    -------
    ShowDiff
    """
    pairs, added, removed = _matched(old.cues, new.cues)
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


def _matched(
    old: Sequence[CueOutcome], new: Sequence[CueOutcome]
) -> tuple[list[tuple[CueOutcome, CueOutcome]], list[CueOutcome], list[CueOutcome]]:
    """Pairs in the new order, cues added, cues removed."""
    by_id = {c.id: c for c in old}
    left = {c.id: c for c in new if c.id not in by_id}
    gone = [c for c in old if c.id not in {n.id for n in new}]
    renamed = _renamed(gone, list(left.values()))
    pairs = []
    for cue in new:
        before = by_id.get(cue.id) or renamed.get(cue.id)
        if before is not None:
            pairs.append((before, cue))
    matched = {c.id for c in renamed.values()}
    added = [c for c in left.values() if c.id not in renamed]
    return pairs, added, [c for c in gone if c.id not in matched]


def _renamed(gone: Iterable[CueOutcome], left: Iterable[CueOutcome]) -> dict[str, CueOutcome]:
    """Old cues by the new id that they have got."""

    def grouped(cues: Iterable[CueOutcome]) -> dict[tuple[WayKey, float], list[CueOutcome]]:
        groups: dict[tuple[WayKey, float], list[CueOutcome]] = defaultdict(list)
        for cue in cues:
            if cue.way is not None:
                groups[cue.way, round(cue.switch_s, 3)].append(cue)
        return groups

    before, after = grouped(gone), grouped(left)
    return {
        cues[0].id: before[key][0]
        for key, cues in after.items()
        if len(cues) == 1 and len(before.get(key, ())) == 1
    }


def _igniters(
    before: CueOutcome, after: CueOutcome, old: Checked, new: Checked
) -> Iterator[tuple[IgniterOutcome | None, IgniterOutcome | None]]:
    """The igniters that a cue means, old beside new."""
    olds = {i.id: i for i in before.meant}
    rest = [i for i in after.meant if i.id not in olds]
    for igniter in after.meant:
        if igniter.id in olds:
            yield olds.pop(igniter.id), igniter
    by_terminal: dict[str, list[IgniterOutcome]] = defaultdict(list)
    for igniter in olds.values():
        by_terminal[_terminal(old, igniter)].append(igniter)
    newcomers: dict[str, list[IgniterOutcome]] = defaultdict(list)
    for igniter in rest:
        newcomers[_terminal(new, igniter)].append(igniter)
    for terminal, here in newcomers.items():
        there = by_terminal.get(terminal, [])
        if terminal and len(here) == len(there) == 1:
            del by_terminal[terminal]
            yield there[0], here[0]
        else:
            for igniter in here:
                yield None, igniter
    for igniters in by_terminal.values():
        for igniter in igniters:
            yield igniter, None


def _terminal(report: Checked, igniter: IgniterOutcome) -> str:
    if report.assessment is None:
        return ""
    return report.assessment.layout.show.igniter[igniter.igniter].at


def _verdicts(
    before: CueOutcome, after: CueOutcome, old: Checked, new: Checked
) -> Iterator[VerdictChange]:
    for was, now in _igniters(before, after, old, new):
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
    for was, now in _igniters(before, after, old, new):
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
