"""A group that must light together may well light apart.

What it checks
--------------
Only with `check --odds`: for each cue with `together`, how often all its igniters light, but not
within the spread limit. If that probability is above 1 - `reliability`, it is a finding: an error
if even the better end of its 95 % interval is, a warning if only the worse end is. Without
`--odds` the rule is silent: no finding then says nothing.

Why it matters
--------------
TIM009 knows the spread at typical values and at the worst corner. Scatter from igniter to igniter
lies in between: a front of twenty comets is ragged although no single igniter is at its worst.

Model and limits
----------------
Scatter as kit and show state it; see the page on odds. Draws in which an igniter does not light
at all do not count here: FIR014 judges them. Where no draw missed but the draws are too few to
show the requirement, one warning stands for all such cues.

Example
-------
Eight slow igniters in parallel that must light within 50 ms do so in 9,600 of 10,000 draws; the
show requires 0.999.

Do instead
----------
Runs of equal length from one splitter, more current, a faster igniter class or one of less
scatter, igniters of one batch; or a wider `spread_s` if the eye allows it.

Settings
--------
`spread_s` of a cue or of `[requirements]`, `reliability` of `[requirements]`; `--draws` and
`--seed` of the check.

References
----------
C. J. Clopper, E. S. Pearson, Biometrika 26 (1934), 404-413: the interval.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.odds_bounds import more_draws, percent, severity_of, undecided
from bridgewire.rules.subjects import cue_place
from bridgewire.rules.words import count
from bridgewire.units import seconds

RULE = Rule("FIR015", "spread-likely-too-large", Severity.ERROR, needs_odds=True)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each cue that may miss its spread, and one for all undecided."""
    study, required = context.odds, context.requirements.reliability
    if study is None or required is None:
        return
    from bridgewire.uncertainty.intervals import from_count

    draws = study.odds.draws
    open_questions: list[str] = []
    best = 1.0
    for cue in study.odds.cues:
        if cue.together is None or cue.spread_s is None:
            continue
        missed = round((cue.all_light.value - cue.together.value) * draws)
        failure = from_count(missed, draws)
        severity = severity_of(failure, required)
        if severity is None:
            continue
        if undecided(missed, failure, required):
            open_questions.append(cue.id)
            best = min(best, 1.0 - failure.high)
            continue
        yield RULE.finding(
            f"the igniters of cue {cue.id!r} light, but not within {seconds(cue.spread_s)}, with a "
            f"probability of {percent(failure.value)} ({percent(failure.low)} to "
            f"{percent(failure.high)}); {percent(1.0 - required)} is allowed",
            cue_place(context, cue.cue, ("spread_s", "together")),
            severity=severity,
            measured=failure.value,
            limit=1.0 - required,
            subjects=(cue.id, *(i.id for i in cue.igniters)),
            remedy="feed them over runs of equal length from one splitter, bring more current, use "
            "a faster igniter class or one of less scatter, or allow a wider spread_s",
        )
    if open_questions:
        yield RULE.finding(
            f"{draws} draws without a miss show only {percent(best)} for the spread of "
            f"{count(len(open_questions), 'cue')}; the show requires "
            f"{percent(required)}",
            ("requirements", "reliability"),
            severity=Severity.WARNING,
            measured=best,
            limit=required,
            subjects=tuple(open_questions),
            remedy=more_draws(required),
        )
