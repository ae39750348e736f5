"""A show checked again and again with other values."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from itertools import product
from typing import Any

from attrs import frozen

from bridgewire.remedies.case import Case, Refused
from bridgewire.remedies.edits import combined
from bridgewire.remedies.judge import state_of
from bridgewire.remedies.setting import Setting, SettingError
from bridgewire.timeline.outcomes import Verdict

MOST_CASES = 1000


@frozen
class SweepRow:
    """What comes of one choice of values.

    Attributes
    ----------
    values : tuple
        One for each setting.
    counts : mapping of Verdict to int
        Cues by verdict.
    margin : float or None
        The smallest margin; None where one is not known, or there is none.
    latest_s : float or None
        Latest light time; None where an igniter never lights at the worst corner, where that is
        not known, or where no cue has igniters that are not lit before it.
    first_bad : str
        Id of the first cue in time that is not sure; empty where all are.
    problems : tuple of str
        Why the show cannot be used with these values; the rest is empty then.
    """

    values: tuple[Any, ...]
    counts: Mapping[Verdict, int]
    margin: float | None = None
    latest_s: float | None = None
    first_bad: str = ""
    problems: tuple[str, ...] = ()


def sweep(
    case: Case,
    settings: Sequence[Setting],
    cue_ids: Sequence[str] = (),
    *,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[SweepRow, ...]:
    """Try every combination of values.

    Parameters
    ----------
    case : Case
    settings : sequence of Setting
    cue_ids : sequence of str
        Only these cues are judged; all where empty.
    progress : callable, optional
        Called with combinations done and in all.

    Returns
    -------
    tuple of SweepRow
        The last setting varies fastest.

    Raises
    ------
    SettingError
        If there are more than `MOST_CASES` combinations or two settings name one place.
    """
    number = math.prod(len(s.values) for s in settings)
    if number > MOST_CASES:
        raise SettingError(f"{number} combinations are more than {MOST_CASES}")
    places = [p for s in settings for p in s.paths]
    if len(set(places)) < len(places):
        raise SettingError("two settings name the same place")
    rows = []
    for done, values in enumerate(product(*(s.values for s in settings))):
        if progress is not None:
            progress(done, number)
        edits = combined(*(s.edits(v, case.plain) for s, v in zip(settings, values, strict=True)))
        trial = case.trial(edits)
        if isinstance(trial, Refused):
            rows.append(SweepRow(values, {}, problems=trial.problems))
            continue
        judged = [
            c for c in trial.assessment.by_time() if c.meant and (not cue_ids or c.id in cue_ids)
        ]
        # A cue whose igniters are all lit by an earlier one has neither margin nor light time.
        states = [state_of(trial, c.id) for c in judged if not all(i.lit_before for i in c.meant)]
        margins = [s.margin for s in states]
        latest = [s.latest_s for s in states]
        rows.append(
            SweepRow(
                values,
                {v: sum(c.verdict is v for c in judged) for v in Verdict},
                min((m for m in margins if m is not None), default=None)
                if None not in margins
                else None,
                max((t for t in latest if t is not None), default=None)
                if None not in latest
                else None,
                next((c.id for c in judged if c.verdict is not Verdict.SURE), ""),
            )
        )
    if progress is not None:
        progress(number, number)
    return tuple(rows)
