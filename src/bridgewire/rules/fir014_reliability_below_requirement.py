"""An igniter is not reliable enough for what the show requires.

What it checks
--------------
Only with `check --odds`: the show is fired many times, each time with other values out of the
tolerances. For each igniter under each cue that means it, the probability that it lights within
the cue's pulses is compared with `reliability`. The requirement is per igniter, and it is the 95 %
interval that is compared, not the bare figure: an error if even the better end falls short, a
warning if only the worse end does. Where no draw failed but the draws are too few to show the
requirement, one warning stands for all such igniters. Without `--odds` the rule is silent: no
finding then says nothing.

Why it matters
--------------
A show of many igniters that each light nearly always still leaves some unlit, and each unlit
article is one that somebody has to make safe.

Model and limits
----------------
Scatter as kit and show state it, with causes in common (batch, drum, box, weather) kept together;
see the page on odds. Igniters that cannot be computed are in no figure: FIR009 names them. An
igniter that no way of its cue reaches is named by TIM010. What is in no tolerance (an unclipped
lead, a damp article) is not in the odds.

Example
-------
An igniter at the end of a long chain fails in 40 of 10,000 draws; the show requires 0.999.

Do instead
----------
What lifts the margin: a longer pulse, thicker cable, a splitter in place of a chain. Or narrow
what the odds rest on: `bridgewire odds` says what to measure. Too few draws: more of them.

Settings
--------
`reliability` of `[requirements]`; `--draws` and `--seed` of the check.

References
----------
C. J. Clopper, E. S. Pearson, Biometrika 26 (1934), 404-413: the interval.
"""

from __future__ import annotations

import shlex
from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.odds_bounds import (
    failure_bounds,
    more_draws,
    percent,
    severity_of,
    undecided,
)
from bridgewire.rules.words import count

RULE = Rule("FIR014", "reliability-below-requirement", Severity.ERROR, needs_odds=True)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each igniter below the requirement, and one for all undecided."""
    study, required = context.odds, context.requirements.reliability
    if study is None or required is None:
        return
    open_questions: list[tuple[str, str]] = []
    best = 1.0
    for cue in study.odds.cues:
        for igniter in cue.igniters:
            failure = failure_bounds(study, igniter)
            severity = severity_of(failure, required)
            if severity is None:
                continue
            if undecided(igniter.failures, failure, required):
                open_questions.append((cue.id, igniter.id))
                best = min(best, 1.0 - failure.high)
                continue
            yield RULE.finding(
                f"igniter {igniter.id!r} lights under cue {cue.id!r} with a probability "
                f"of {percent(1.0 - failure.value)} ({percent(1.0 - failure.high)} to "
                f"{percent(1.0 - failure.low)}); the show requires {percent(required)}",
                ("cue", cue.cue),
                severity=severity,
                measured=1.0 - failure.value,
                limit=required,
                subjects=(cue.id, igniter.id),
                remedy="lengthen the pulse, use thicker cable or put a splitter in place of a "
                f"chain; `bridgewire odds SHOW --cue {shlex.quote(cue.id)}` says what to measure",
            )
    if open_questions:
        yield RULE.finding(
            f"{study.odds.draws} draws without a failure show only {percent(best)} for "
            f"{count(len(open_questions), 'igniter')} under "
            f"{'their cues' if len(open_questions) > 1 else 'its cue'}; the show requires "
            f"{percent(required)}",
            ("requirements", "reliability"),
            severity=Severity.WARNING,
            measured=best,
            limit=required,
            subjects=tuple(dict.fromkeys(i for _, i in open_questions)),
            remedy=more_draws(required),
        )
