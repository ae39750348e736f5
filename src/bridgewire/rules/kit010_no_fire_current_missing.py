"""The no-fire current of an igniter class is not known.

What it checks
--------------
Whether each igniter class in use states no_fire_A.

Why it matters
--------------
The no-fire current is the one figure that says what an igniter bears while people are near it.
Without it the test current of every box, and stray currents in unfired igniters, go unjudged.

Model and limits
----------------
No-fire is the published definition: not one in a thousand fires under a lasting current, at 95 %
confidence. A current that has not fired ten pieces is no no-fire current. An error,
where unknown test data of a box are a warning (KIT009): a test can be left alone, stray currents of
firing cannot.

Example
-------
A home-made clip-on wire that nobody has tested with small lasting currents.

Do instead
----------
Take the figure from the data sheet. Tests to find it need many pieces and the care due to live
igniters.

Settings
--------
None.

References
----------
14 CFR Part 417 Appendix D, D417.41(c).
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.kit_faults import lacking
from bridgewire.rules.kit_items import used_classes

RULE = Rule("KIT010", "no-fire-current-missing", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each used igniter class without a no-fire current."""
    return lacking(
        RULE,
        used_classes(context),
        "no_fire_A",
        "does not state no_fire_A, so its test currents and sneak currents cannot be judged",
        "state no_fire_A from the data sheet; without a data sheet do not send any test current "
        "through these igniters",
    )
