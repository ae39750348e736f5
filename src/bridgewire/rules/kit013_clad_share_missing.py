"""The copper share of a copper-clad aluminium cable is not stated.

What it checks
--------------
Each used cable of copper-clad aluminium: whether it states clad_copper_pct or ohm_per_m.

Why it matters
--------------
The resistance follows from the share of copper. Cable sold without papers may have less than the
10 % that the standard knows, and then the computed resistance is too low.

Model and limits
----------------
Without a share the least conductivity of the 10 % class is the worst corner and that of the 15 %
class the best.

Example
-------
A drum of cheap patch cable that turned out to be aluminium inside.

Do instead
----------
Measure the resistance of the whole drum, both ways, and divide by its length. Better, use copper
for firing lines.

Settings
--------
None.

References
----------
ASTM B566, classes 10A and 15A: at least 62.9 and 64.4 % of the conductivity of copper.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.kit_items import used_cables

RULE = Rule("KIT013", "clad-share-missing", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each used copper-clad cable of unknown copper share and resistance."""
    for cable in used_cables(context):
        spec = cable.entry
        if spec.metal != "copper-clad-aluminium" or spec.clad_copper_pct is not None:
            continue
        if spec.ohm_per_m is not None:
            continue
        yield RULE.finding(
            f"{cable.label} is copper-clad aluminium and states neither clad_copper_pct nor "
            "ohm_per_m: 10 % copper is taken at worst, 15 % at best",
            cable.path,
            document=cable.document,
            subjects=(cable.full_id,),
            remedy="measure ohm_per_m on a whole drum; cheap cable can be worse than any standard",
        )
