"""Whether a change helps a cue, and whether it does harm elsewhere."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection

from attrs import frozen

from bridgewire.diagnostics import Finding, Severity
from bridgewire.remedies.case import CURABLE, FindingKey, Trial, key_of
from bridgewire.timeline.outcomes import CueOutcome, Verdict

_RANK = {Verdict.NO: 0, Verdict.UNKNOWN: 0, Verdict.MARGINAL: 1, Verdict.SURE: 2}


@frozen
class State:
    """How a cue stands.

    Attributes
    ----------
    verdict : Verdict or None
    margin : float or None
        The smallest of the igniters it means to light, at the worst corner.
    latest_s : float or None
        Latest light time; None where one never lights.
    findings : tuple of Finding
        That name the cue first, at least warnings.
    left_out : bool
        Whether the show has the cue no more.
    """

    verdict: Verdict | None
    margin: float | None
    latest_s: float | None
    findings: tuple[Finding, ...]
    left_out: bool = False

    @property
    def clear(self) -> bool:
        """Whether there is nothing to mend."""
        return self.left_out or (self.verdict is Verdict.SURE and not self.findings)

    @property
    def fires(self) -> bool:
        """Whether every igniter is sure to light and no error is left, though perhaps warnings."""
        errors = any(f.severity is Severity.ERROR for f in self.findings)
        return self.left_out or (self.verdict is Verdict.SURE and not errors)


def cures(before: State, after: State) -> bool:
    """Whether a cue that did not fire surely does, or one that did has fewer warnings."""
    if not after.fires:
        return False
    return not before.fires or len(after.findings) < len(before.findings)


LEFT_OUT = State(None, None, None, (), left_out=True)


def state_of(trial: Trial, cue_id: str, adds: Collection[str] = ()) -> State:
    """How a cue of a trial stands.

    Parameters
    ----------
    trial : Trial
    cue_id : str
    adds : collection of str
        Ids of cues that take over some of its igniters; the worst of all counts.
    """
    if cue_id not in trial.cues:
        return LEFT_OUT
    ids = (cue_id, *(a for a in adds if a in trial.cues))
    meant = [i for c in ids for i in trial.cues[c].meant]
    margins = [i.margin for i in meant if not i.lit_before]
    known = [m for m in margins if m is not None]
    latest = [i.light.latest for i in meant if not i.lit_before]
    worst = max(latest, default=math.inf)
    verdicts = [v for c in ids if (v := trial.cues[c].verdict) is not None]
    return State(
        min(verdicts, key=_RANK.__getitem__) if len(verdicts) == len(ids) else None,
        min(known) if known and len(known) == len(margins) else None,
        worst if math.isfinite(worst) else None,
        tuple(f for c in ids for f in trial.about(c) if f.code[:3] in CURABLE),
    )


def taken_over(before: Trial, after: Trial, cue_id: str, adds: Collection[str]) -> tuple[str, ...]:
    """Ids of those new cues that light igniters which a cue lit before the change.

    Parameters
    ----------
    before, after : Trial
        Of the show without and with the change.
    cue_id : str
    adds : collection of str
        Ids of all cues that are new.
    """
    own = {i.id for i in before.cues[cue_id].meant}
    return tuple(a for a in adds if a in after.cues and own & {i.id for i in after.cues[a].meant})


def apart_s(trial: Trial, cue_ids: Collection[str]) -> float:
    """Latest minus earliest typical light time of all igniters that some cues mean to light, s."""
    lights = [
        trial.cues[c].switch_s + i.light.typical
        for c in cue_ids
        if c in trial.cues
        for i in trial.cues[c].meant
        if not i.lit_before
    ]
    return max(lights) - min(lights) if lights else 0.0


def needs_help(trial: Trial) -> tuple[str, ...]:
    """Ids of the cues that are not clear, in the show's order."""
    return tuple(c.id for c in trial.assessment.cues if not state_of(trial, c.id).clear)


def helps(before: State, after: State) -> bool:
    """Whether a cue stands better, though perhaps not clear."""
    rank_before = _RANK.get(before.verdict or Verdict.NO, 0)
    rank_after = _RANK.get(after.verdict or Verdict.NO, 0)
    return (rank_after, -_weight(after)) > (rank_before, -_weight(before))


def _weight(state: State) -> int:
    return sum(10 if f.severity is Severity.ERROR else 1 for f in state.findings)


def harm(before: Trial, after: Trial, *, except_for: frozenset[str] = frozenset()) -> list[str]:
    """What is worse than before, in words.

    Parameters
    ----------
    before, after : Trial
        Of the same part of the show.
    except_for : frozenset of str
        Ids of the cues that the change is for; what is left of their findings is no harm.

    Returns
    -------
    list of str
        Cues with a worse verdict, and findings of at least a warning that were not there, or were
        not as severe, or not as many.
    """
    found = []
    for cue_id, outcome in after.cues.items():
        then = before.cues.get(cue_id)
        if then is not None and _worse(then, outcome):
            found.append(f"cue {cue_id!r} becomes {_word(outcome)}")
    left = {severity: _counted(before, severity) for severity in _HARMFUL}
    for finding in after.findings:
        if finding.severity not in left:
            continue
        known = left[finding.severity]
        known[key_of(finding)] -= 1
        if known[key_of(finding)] >= 0:
            continue
        about = finding.subjects[:1]
        if about and about[0] in except_for and _lesser(before, finding, except_for):
            continue
        found.append(f"{finding.code}: {finding.message}")
    return found


_HARMFUL = tuple(s for s in Severity if s >= Severity.WARNING)


def _counted(trial: Trial, least: Severity) -> Counter[FindingKey]:
    """How often each finding of this severity or above is there."""
    return Counter(key_of(f) for f in trial.findings if f.severity >= least)


def _worse(then: CueOutcome, now: CueOutcome) -> bool:
    if then.verdict is None or now.verdict is None:
        return then.verdict is not None
    return _RANK[now.verdict] < _RANK[then.verdict]


def _word(outcome: CueOutcome) -> str:
    return "without igniters" if outcome.verdict is None else outcome.verdict.value


def _lesser(before: Trial, finding: Finding, mended: Collection[str]) -> bool:
    """Whether a cue that is being mended had a finding at least as bad of the same family; for a
    cue that is new, whether one of the mended cues had."""
    about = finding.subjects[0]
    return any(
        f.code[:3] == finding.code[:3] and f.severity >= finding.severity
        for cue_id in ((about,) if about in before.cues else mended)
        for f in before.about(cue_id)
    )
