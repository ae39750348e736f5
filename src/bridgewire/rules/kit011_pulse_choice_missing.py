"""A box does not say which pulses it offers.

What it checks
--------------
Whether each kind of box in use states its pulses.

Why it matters
--------------
A box that offers 0.5 s and 1 s does not give 2 s because the show says so. The cue then has
another pulse than the one that was checked, and longer pulses that would light an igniter cannot
be advised.

Model and limits
----------------
The cue's pulse is computed as stated in the show.

Example
-------
A profile with supply and outputs, but without a table pulses.

Do instead
----------
Look up which pulses can be set and state them, as a list or as a range with a step.

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
from bridgewire.rules.kit_faults import lacking
from bridgewire.rules.kit_items import used_boxes

RULE = Rule("KIT011", "pulse-choice-missing", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each used kind of box that does not say which pulses it offers."""
    return lacking(
        RULE,
        used_boxes(context),
        "pulses",
        "does not state pulses, so nobody can say whether it can give the pulses that the cues "
        "ask for",
        "state pulses.offered_s, or pulses.min_s and max_s with step_s",
    )
