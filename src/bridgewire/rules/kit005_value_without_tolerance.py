"""A value in a kit profile has no tolerance.

What it checks
--------------
Every value of the used kit entries that may be a band, for a bare number.

Why it matters
--------------
The verdict sure means that an igniter lights at the worst corner of all tolerances. A bare number
has no worst corner, so the verdict is better than it has any right to be.

Model and limits
----------------
A bare number is taken as exact. Nothing is added to it.

Example
-------
bridge_ohm = 1.7 for igniters that measure 1.55 to 1.85 ohm.

Do instead
----------
State the range: from the data sheet, or from measuring ten pieces. 10 % is a start for a
resistance that nobody has measured (common practice, no source).

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
from bridgewire.model.band import Band
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.kit_faults import listing
from bridgewire.rules.kit_items import stated_values, used_items

RULE = Rule("KIT005", "value-without-tolerance", Severity.INFO)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each used kit entry with bare numbers where a band can stand."""
    for item in used_items(context):
        yield from listing(
            RULE,
            item,
            [k for k, v in stated_values(item.entry) if isinstance(v, Band) and not v.stated],
            "states bare numbers, which makes their worst corner the same as the typical value",
            "write { typical = ..., tol_pct = ... } or { min = ..., typical = ..., max = ... }",
        )
