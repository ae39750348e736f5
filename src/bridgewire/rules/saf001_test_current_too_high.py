"""A continuity test sends more current through an igniter than it may.

What it checks
--------------
The highest test current of every box against 0.05 A or 20 % of the no-fire current of each
igniter class on it, whichever is less. Igniters in parallel are the matter of SAF002.

Why it matters
--------------
The test is done with people near the effects. A test current that comes near the no-fire current
can set one off.

Model and limits
----------------
The limit is for the current into a short circuit, which no igniter can exceed. Classes without a
no-fire current are not judged here. Only the test that is built into the box is looked at, not a
hand meter.

Example
-------
A box that tests with up to 60 mA, on matches of no-fire current 0.2 A: 40 mA is allowed.

Do instead
----------
Do not test these igniters with this box. Use a tester made for igniters, a box with a lower test
current, or a class with a higher no-fire current. Test only with everybody at the distance that
holds for firing.

Settings
--------
None.

References
----------
Washington Administrative Code WAC 212-17-317(6), which adopts the text of the fireworks display
code NFPA 1123: 0.05 A or 20 % of the no-fire current, whichever is less.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.continuity import over_limit
from bridgewire.units import amperes, told_apart

RULE = Rule("SAF001", "test-current-too-high", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each kind of box and igniter class."""
    for tested in over_limit(context, shared=False):
        sends, allowed = told_apart(amperes, tested.current_A.max, limit=tested.limit_A)
        yield tested.finding(
            RULE,
            f"sends up to {sends} through igniters of class {tested.class_id!r}; {allowed} is "
            "allowed",
        )
