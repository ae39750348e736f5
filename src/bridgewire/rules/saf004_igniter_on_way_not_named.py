"""A cue lights an igniter on its way that it does not name.

What it checks
--------------
Cues with `lights`: igniters on the same way that it does not name, that no earlier cue has lit,
and that light all the same. An error if one lights at typical values, a warning if only at its
best corner.

Why it matters
--------------
Everything on a way is one circuit. An effect that goes before its cue may go while somebody is
near it.

Model and limits
----------------
Highest current and fastest heating within the tolerances. At the best corner alone it is a warning,
though SAF005 is an error there: everybody keeps the distance from a way that is fired, but not from
other ways.

Example
-------
Cue "left" names only the near igniter of a chain, but the far one on the same way lights in the
same pulse.

Do instead
----------
Name it in `lights`, or move it to a way of its own.

Settings
--------
None.

References
----------
None.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.subjects import cue_place
from bridgewire.units import amperes, seconds

RULE = Rule("SAF004", "igniter-on-way-not-named", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each such igniter."""
    for cue in context.cues:
        outcomes = {i.igniter: i for i in cue.igniters}
        for stray in cue.strays:
            if not stray.on_way or not stray.lights or stray.lit_before:
                continue
            typical = outcomes[stray.igniter].light.typical
            surely = math.isfinite(typical)
            when = f"after {seconds(typical)}" if surely else "at its best corner"
            yield RULE.finding(
                f"cue {cue.id!r} does not name igniter {stray.id!r} on its way, but lights it "
                f"{when}, with up to {amperes(stray.peak_A)}",
                cue_place(context, cue.cue, ("lights",)),
                severity=Severity.ERROR if surely else Severity.WARNING,
                measured=stray.peak_A,
                unit="A",
                subjects=(cue.id, stray.id),
                remedy="name it in lights if it should light, or move it to a way of its own",
            )
