"""The show ignores a finding that is not found.

What it checks
--------------
Every entry of checks.ignore that is in force: whether it left out at least one finding.

Why it matters
--------------
An entry that leaves nothing out today may leave out a new fault tomorrow, which nobody has looked
at. It also tells the reader of a fault that has been mended.

Model and limits
----------------
It looks at what this check has found, after all other rules. Entries past their last day are the
matter of DOC025, and entries for codes that cannot be ignored that of DOC022. Entries for rules
that need odds are judged only where the check computes odds. Entries for this rule are not judged.

Example
-------
An ignore of WIR009 for a run whose length has been corrected since.

Do instead
----------
Take the entry out. If it was meant for a fault that is still there, correct its code or subject:
the remedy names the first subjects that the code is found of.

Settings
--------
None.

References
----------
None: a rule of the show format.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.model.show import Ignore
from bridgewire.rules.base import NEVER_IGNORED, Rule
from bridgewire.rules.context import Context
from bridgewire.rules.ignores import holds, matches
from bridgewire.rules.registry import load_rule, rule_files
from bridgewire.rules.subjects import names

RULE = Rule("DOC026", "ignore-without-finding", Severity.INFO, last=True)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each entry in force that left nothing out."""
    for i, ignore in enumerate(context.show.checks.ignore):
        if not holds(ignore, context.today) or not _judged(ignore, context):
            continue
        if any(matches(ignore, f) for f in context.found):
            continue
        whom = "" if ignore.subject is None else f" for {ignore.subject!r}"
        yield RULE.finding(
            f"checks.ignore leaves out {ignore.code!r}{whom}, but there is no such finding",
            ("checks", "ignore", i),
            subjects=(ignore.code, *(() if ignore.subject is None else (ignore.subject,))),
            remedy="take the entry out, or correct its code or subject" + _found(ignore, context),
        )


def _found(ignore: Ignore, context: Context) -> str:
    """What the code of an entry is found of, so that its subject can be corrected."""
    subjects = [s for f in context.found if f.code == ignore.code for s in f.subjects]
    return f"; {ignore.code} is found of {names(subjects, most=6)}" if subjects else ""


def _judged(ignore: Ignore, context: Context) -> bool:
    """Whether a check like this one could have found what an entry leaves out."""
    code = ignore.code
    if code in context.plugin_codes:
        return True
    if code not in rule_files() or code in NEVER_IGNORED:
        return False
    rule = load_rule(code).rule
    return not (rule.at_load or rule.last or (rule.needs_odds and context.odds is None))
