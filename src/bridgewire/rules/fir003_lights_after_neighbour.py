"""An igniter lights only after a neighbour has burned open.

What it checks
--------------
Each igniter that lights is followed once more with bridges that never part. If it then does not
light in the pulse, it waits for the neighbours that part before it does.

Why it matters
--------------
On a chain of slow igniters the near one takes the current until it burns open. If it stays
closed, which some do, the far one never lights. The far one is late in any case.

Model and limits
----------------
At typical values. The igniters named are those that part before this one lights, the last one
first; the last is the one whose parting sets it off.

Example
-------
Four clip-on igniters 20 m apart on one chain of 24 AWG cable: the near one lights at 0.32 s and
opens at 0.52 s, and only then the second heats up; it lights at 1.37 s.

Do instead
----------
A splitter with runs of equal length in place of the chain, a way of its own for the far igniter,
or igniters that do not load the line for long (electric matches).

Settings
--------
None.

References
----------
Thermal model of hot bridge wires (L. A. Rosenthal, Rev. Sci. Instrum. 32, 1033, 1961).
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.subjects import names
from bridgewire.timeline.outcomes import Verdict
from bridgewire.units import seconds

RULE = Rule("FIR003", "lights-after-neighbour", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each igniter that waits for another."""
    for cue in context.cues:
        for igniter in cue.meant:
            if not igniter.waits_for or igniter.verdict is Verdict.NO:
                continue
            yield RULE.finding(
                f"igniter {igniter.id!r} lights only after {names(igniter.waits_for)} "
                f"{'has' if len(igniter.waits_for) == 1 else 'have'} burned open, "
                f"{seconds(igniter.light.typical)} after cue {cue.id!r}",
                ("cue", cue.cue),
                measured=igniter.light.typical,
                unit="s",
                subjects=(cue.id, igniter.id, *igniter.waits_for),
                remedy="feed them over runs of equal length from one splitter, or give it a way "
                "of its own",
            )
