"""The show ignores a code that no rule has.

What it checks
--------------
Every code in checks.ignore, against the codes of all rules.

Why it matters
--------------
An entry with a slip in it ignores nothing. One for a code of another version shows that somebody
has accepted a fault which is judged otherwise now.

Model and limits
----------------
Codes found while documents are read cannot be ignored, because such a show is not checked at all.
Nor can those of readings and sheets, which no check finds, nor those that say that a rule or a
plugin failed. An entry for one of these is reported too. Codes of plugins count while the plugin
is loaded.

Example
-------
code = "WIR03" where WIR003 was meant.

Do instead
----------
Correct the code or take the entry out. `bridgewire explain CODE` prints what a code stands for.

Settings
--------
None.

References
----------
None: a rule of the show format.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.circuit.catalogue import nearest
from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import NEVER_IGNORED, Rule
from bridgewire.rules.context import Context
from bridgewire.rules.registry import load_rule, rule_files

RULE = Rule("DOC022", "unknown-code-in-ignore", Severity.WARNING)


_FOUND = {
    "DOC": "while documents are read",
    "REC": "by `bridgewire readings`",
    "CUT": "by `bridgewire sheets`",
}
"""Where a code is found that no check finds, by family."""


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each ignored code that no rule can report while checking."""
    codes = {*rule_files(), *context.plugin_codes}
    for i, ignore in enumerate(context.show.checks.ignore):
        if ignore.code not in codes:
            hint = nearest(ignore.code, codes)
            yield RULE.finding(
                f"checks.ignore names the code {ignore.code!r}, which no rule has",
                ("checks", "ignore", i, "code"),
                subjects=(ignore.code,),
                remedy="correct the code or take the entry out" + (f": {hint}" if hint else ""),
                suggestion=hint,
            )
        elif ignore.code in NEVER_IGNORED:
            yield RULE.finding(
                f"checks.ignore names {ignore.code!r}, which cannot be ignored: where it is found "
                "the show was not checked in full, or not rightly",
                ("checks", "ignore", i, "code"),
                subjects=(ignore.code,),
                remedy="take the entry out",
            )
        elif ignore.code not in context.plugin_codes and load_rule(ignore.code).rule.at_load:
            yield RULE.finding(
                f"checks.ignore names {ignore.code!r}, which cannot be ignored: it is found "
                f"{_FOUND.get(ignore.code[:3], 'before the check')}",
                ("checks", "ignore", i, "code"),
                subjects=(ignore.code,),
                remedy="take the entry out",
            )
