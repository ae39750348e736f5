"""An igniter does not light within its pulse, not even at typical values.

What it checks
--------------
Every igniter that a cue means to light is followed through the pulse, with typical values of
supply, cable, contacts and igniters and with the state that earlier cues left. It is a finding if
its bridge never reaches the ignition temperature.

Why it matters
--------------
The effect fails, and an unlit article stays in the field that somebody has to make safe.

Model and limits
----------------
One thermal node per bridge; see the physics page. Igniters that a later cue lights are still
reported under the cue that should have lit them.

Example
-------
Three slow clip-on igniters daisy-chained on 24 AWG cable, 20 m apart, under a pulse of one second.

Do instead
----------
A longer pulse where the near igniters burn open in time, a splitter in place of the chain, thicker
or parallel conductors, another output for the far position, or a faster igniter class.

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
from bridgewire.rules.words import TIMES_NEEDED
from bridgewire.timeline.outcomes import Verdict
from bridgewire.units import amperes, seconds, significant

RULE = Rule("FIR001", "will-not-light", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each igniter with the verdict *no*."""
    for cue in context.cues:
        for igniter in cue.meant:
            if igniter.verdict is not Verdict.NO or igniter.terminal_A is None:
                continue
            lost = " and ".join(d.label for d in igniter.drops[:2])
            part = igniter.margin_typical
            margin = "" if part is None else f" (margin {significant(part)}; 1 is needed)"
            yield RULE.finding(
                f"igniter {igniter.id!r} does not light under cue {cue.id!r}: it reaches "
                f"{100.0 * (igniter.peak_rise or 0.0):.0f} % of the temperature rise it needs "
                f"with {amperes(igniter.terminal_A)} in a pulse of {seconds(cue.pulse_s or 0.0)}"
                f"{margin}",
                ("cue", cue.cue),
                measured=part,
                limit=None if part is None else 1.0,
                unit="" if part is None else TIMES_NEEDED,
                subjects=(cue.id, igniter.id),
                remedy="lengthen the pulse, put a splitter in place of a chain, or use thicker "
                "cable or a faster igniter class"
                + (f"; most voltage is lost in {lost}" if lost else ""),
            )
