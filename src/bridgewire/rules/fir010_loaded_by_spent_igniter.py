"""An igniter that is already lit draws current from a later cue on its way.

What it checks
--------------
Cues on ways where an earlier cue has lit an igniter that typically stayed closed.

Why it matters
--------------
The spent bridge takes its share of the current. What the cue should light gets less, lights later
or not at all.

Model and limits
----------------
The load is part of the light times and margins shown for the cue; this finding says where it
comes from.

Example
-------
A retry for the far igniter of a chain while the near one has lit but is still whole.

Do instead
----------
Let the earlier pulse run until the bridge opens (FIR004 names it), or give the later igniter a
way of its own.

Settings
--------
None.

References
----------
None.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.subjects import names

RULE = Rule("FIR010", "loaded-by-spent-igniter", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each cue that spent igniters load."""
    for cue in context.cues:
        loaded = [i for i in cue.meant if i.loaded_by and not i.lit_before]
        if not loaded:
            continue
        by = tuple(dict.fromkeys(name for i in loaded for name in i.loaded_by))
        yield RULE.finding(
            f"under cue {cue.id!r} the spent {names(by)} still "
            f"{'draws' if len(by) == 1 else 'draw'} current beside "
            f"{names(i.id for i in loaded)}",
            ("cue", cue.cue),
            subjects=(cue.id, *(i.id for i in loaded), *by),
            remedy="lengthen the earlier pulse so that it burns open, or move what this cue lights "
            "to another way",
        )
