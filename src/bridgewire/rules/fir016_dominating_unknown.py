"""One uncertainty brings most of the doubt whether a cue is reliable enough.

What it checks
--------------
Only with `check --odds`: cues whose weakest igniter is not clearly above `reliability` (FIR014
would name it), where one kind of uncertainty brings more than half of it. For the weakest
igniters, which the odds look at closely, that is the share in what leads to failure; for others
the share in the variance of the margin.

Why it matters
--------------
One measurement may settle the matter. Without it, money goes into cable although the doubt is in
the contacts.

Model and limits
----------------
Shares rest on the tolerances that kit and show state: a band that is too narrow hides its cause.
Igniters that fail at typical values are left out: measuring does not help them. Nothing is said
where no draw failed and nothing was looked at closely.

Example
-------
71 % of what makes the far igniter fail is the scatter of its batch.

Do instead
----------
Measure what the finding names, and state the narrower band in kit or show. If it cannot be
measured, make the margin larger.

Settings
--------
`reliability` of `[requirements]`; `--draws` and `--seed` of the check.

References
----------
None.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.odds_bounds import failure_bounds, percent, ranking_of, severity_of, undecided

RULE = Rule("FIR016", "dominating-unknown", Severity.INFO, needs_odds=True)

DOMINATES = 0.5


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each cue whose doubt is mostly of one kind."""
    study, required = context.odds, context.requirements.reliability
    if study is None or required is None:
        return
    from bridgewire.uncertainty.sensitivity import MEASURE

    for cue in study.odds.cues:
        if not cue.igniters:
            continue
        weakest = max(cue.igniters, key=lambda i: (i.failures, -i.distance))
        failure = failure_bounds(study, weakest)
        if severity_of(failure, required) is None or failure.value > 0.5:
            continue
        ranking = ranking_of(study, weakest)
        if undecided(weakest.failures, failure, required) and ranking is None:
            continue
        if ranking is not None and ranking.groups:
            first = ranking.groups[0]
            group, share, of = first.group, first.share, "what makes it fail"
        elif weakest.shares:
            group, share = weakest.shares[0].group, weakest.shares[0].share
            of = "the variance of its margin"
        else:
            continue
        if share <= DOMINATES:
            continue
        yield RULE.finding(
            f"igniter {weakest.id!r} under cue {cue.id!r} fails with a probability of "
            f"{percent(failure.value)}, and {100.0 * share:.0f} % of {of} is one uncertainty: "
            f"{group}",
            ("cue", cue.cue),
            measured=share,
            limit=DOMINATES,
            subjects=(cue.id, weakest.id),
            remedy=MEASURE[group],
        )
