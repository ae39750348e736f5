"""A value in the kit is hardly right: physics, or another value of the kit, speaks against it.

What it checks
--------------
Contacts that would melt at their rating, cable resistances that look like feed and return counted
together or like another size, battery curves that rise the wrong way, capacitor energies and
recharging powers outside what firing boxes have, pulses and currents that light no igniter of the
kit. Only entries that the show uses are judged.

Why it matters
--------------
A slip of a unit or a decimal point in a profile moves every verdict that rests on it.

Model and limits
----------------
Each limit is wide, so that unusual hardware passes; a value inside the limits may still be wrong.
Resistances below what the metal allows are KIT006, contradictory igniter currents KIT007.

Example
-------
``ohm_per_m = 0.168`` for a 24 AWG cable: that is the loop of feed and return, not one conductor.

Do instead
----------
Measure again and compare with the data sheet; state where the value comes from in ``sources``.

Settings
--------
None.

References
----------
14 CFR Part 417 Appendix D, D417.19(l)(1) for the 150 % convention; the other limits are common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.physics.kit_plausibility import kit_judgments
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context

RULE = Rule("KIT015", "implausible-value", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each value of a used entry that is hardly right."""
    used = context.used_kit_items
    for kit_id, kit in context.catalogue.kits.items():
        for judgment in kit_judgments(kit):
            entry = getattr(kit, judgment.table)[judgment.index]
            full = f"{kit_id}:{entry.id}"
            if full not in used[judgment.table]:
                continue
            yield RULE.finding(
                f"{judgment.key} of {full!r} is hardly right: {judgment.message}",
                judgment.path,
                document=f"kit:{kit_id}",
                measured=judgment.measured,
                limit=judgment.limit,
                unit=judgment.unit,
                subjects=(full,),
                remedy="measure it again, compare with the data sheet, and check unit and decimals",
            )
