"""A continuity test can send too much current through one igniter of a group.

What it checks
--------------
Igniters that share the test current of their way with others: several in parallel on a terminal
or on several strips, or ways of a matrix without diodes, where current sneaks through other ways.
The whole test current is held against the limit of each class, as in SAF001.

Why it matters
--------------
While all are connected each gets a part of the current. If the leads of the others are open, all
of it flows in the one that is left, and it flows first in the igniter of the least resistance.

Model and limits
----------------
The finding gives both figures: the part of the igniter that gets most with all connected (its own
path at its least resistance, the rest at their highest), and the whole current. Only the whole
current is judged, since a broken lead is just what a test is there to find.

Example
-------
Three matches in parallel on a tester of 60 mA: up to 24 mA in each, but 60 mA in the last one
whose leads hold.

Do instead
----------
Do not test this group with this box. Test only with everybody at the distance that holds for
firing.

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
from bridgewire.rules.continuity import largest_share, over_limit
from bridgewire.units import amperes, told_apart

RULE = Rule("SAF002", "test-current-in-parallel-group", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each kind of box and igniter class in groups."""
    for tested in over_limit(context, shared=True):
        shares = [(largest_share(context.circuit(way), p.index), p) for p, way in tested.igniters]
        share, most = max(shares, key=lambda pair: pair[0])
        part = f" ({amperes(tested.current_A.max * share)} while all are whole)"
        sends, may = told_apart(amperes, tested.current_A.max, limit=tested.limit_A)
        yield tested.finding(
            RULE,
            f"can send up to {sends} through {most.id!r} alone"
            f"{part if share < 0.999 else ''}; class {tested.class_id!r} may get {may}",
        )
