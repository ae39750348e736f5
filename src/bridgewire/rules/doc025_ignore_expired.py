"""An ignore of the show has passed its last day.

What it checks
--------------
The last day, until, of every entry of checks.ignore, against the day of the check.

Why it matters
--------------
Somebody accepted a fault for a while. The while is over: the fault is reported again, and whoever
reads the report should know that it is no new one.

Model and limits
----------------
An entry holds through the whole of its last day, by the calendar of the computer that checks. An
entry without until holds for good.

Example
-------
until = 2026-08-31 for a cable that was to be replaced by the end of August, checked in September.

Do instead
----------
Mend the fault and take the entry out. If it has to wait, decide again and state a new last day.

Settings
--------
`bridgewire check --today 2026-08-31` checks as if on that day.

References
----------
None: a rule of the show format.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.ignores import holds

RULE = Rule("DOC025", "ignore-expired", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each entry whose last day is past."""
    for i, ignore in enumerate(context.show.checks.ignore):
        if ignore.until is None or holds(ignore, context.today):
            continue
        whom = "" if ignore.subject is None else f" for {ignore.subject!r}"
        past = (context.today - ignore.until).days
        yield RULE.finding(
            f"the ignore of {ignore.code!r}{whom} expired on {ignore.until.isoformat()}, "
            f"{past} day{'s' if past != 1 else ''} ago; what it left out is reported again",
            ("checks", "ignore", i, "until"),
            measured=float(past),
            limit=0.0,
            unit="days",
            subjects=(ignore.code, *(() if ignore.subject is None else (ignore.subject,))),
            remedy="mend the fault and take the entry out, or decide again and state a new last "
            "day",
        )
