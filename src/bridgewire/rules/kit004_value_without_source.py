"""A value in a kit profile has no source.

What it checks
--------------
Every electrical and thermal value of the kit entries that the show uses, against the entry's
sources.

Why it matters
--------------
A verdict is as good as its figures. A year on, nobody can tell a measured figure from a guess
that was typed in to make the file load.

Model and limits
----------------
A source for a table (supply) covers the values in it, and * covers all. Counts and words need
none. What the source says is not judged.

Example
-------
An igniter class with threshold_A copied from a forum and no word about it.

Do instead
----------
Add a source for each value, honestly: a guess is worth more when it says that it is one.

Settings
--------
None.

References
----------
None: a rule of kit profiles.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.kit_faults import listing
from bridgewire.rules.kit_items import stated_values, used_items

RULE = Rule("KIT004", "value-without-source", Severity.INFO)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each used kit entry with values of unknown origin."""
    for item in used_items(context):
        sources = item.entry.sources
        yield from listing(
            RULE,
            item,
            [key for key, _ in stated_values(item.entry) if not (_heads(key) & set(sources))],
            "does not say where these values come from",
            "name the source of each under sources: a data sheet, a standard, your own "
            "measurement with its date, or 'common practice, no source'",
        )


def _heads(key: str) -> set[str]:
    """What may stand under sources for a key: itself, a table it is in, or all."""
    steps = key.split(".")
    return {"*", *(".".join(steps[: n + 1]) for n in range(len(steps)))}
