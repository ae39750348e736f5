"""A kit profile is named but nothing is taken from it.

What it checks
--------------
Each profile in the show's kits against every reference: boxes, strips, splitters, runs, extra
leads, igniters and the contacts of these.

Why it matters
--------------
A bare reference is searched through the kits in order. If the profile was meant to supply
something, another one before it has supplied it, with other figures.

Model and limits
----------------
Only use counts. Whether the figures of two profiles differ is not looked at.

Example
-------
kits = ["generic", "harrowmere"] with cable = "flex-0.5", which both have: the generic one is
taken.

Do instead
----------
Take the profile out of the list, put it first, or write references in full, as
harrowmere:flex-0.5.

Settings
--------
None.

References
----------
None: a rule of the show format.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context

RULE = Rule("DOC020", "unused-kit", Severity.INFO)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each kit profile that nothing in the show comes from."""
    used = {
        full_id.split(":", 1)[0] for group in context.used_kit_items.values() for full_id in group
    }
    for i, kit in enumerate(context.show.kits):
        if kit not in used:
            yield RULE.finding(
                f"the show names the kit profile {kit!r} but uses nothing from it",
                ("kits", i),
                subjects=(kit,),
                remedy=f"take {kit!r} out of kits, or write the references that were meant for it "
                f"as {kit}:name",
            )
