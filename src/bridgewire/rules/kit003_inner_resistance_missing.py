"""The inner resistance of a splitter or strip is not known.

What it checks
--------------
Every kind of splitter and strip that the show uses, for inner_ohm.

Why it matters
--------------
Thin tracks and wires inside a passive part are as much a part of the circuit as the cable, and in
a chain they come again with every part. A missing figure makes everything behind it unknown.

Model and limits
----------------
One leg from inlet to terminal, through connector or outlet, without the contacts at both ends.

Example
-------
A home-made splitter with 0.3 m of thin wire inside and no figure in the profile.

Do instead
----------
Measure from plug to socket with a known current and the voltage along it, then take off the
contacts. Or compute it from the wire inside.

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
from bridgewire.rules.kit_items import used_splitters, used_strips

RULE = Rule("KIT003", "inner-resistance-missing", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each used splitter and strip without an inner resistance."""
    for items in (used_splitters(context), used_strips(context)):
        yield from lacking(
            RULE,
            items,
            "inner_ohm",
            "does not state inner_ohm, so no circuit through it can be computed",
            "state inner_ohm, the resistance of one leg from the inlet to a terminal or outlet "
            "without the contacts, with its tolerance and source",
        )
