"""A firing line is of copper-clad aluminium.

What it checks
--------------
The metal of every run's and extra lead's cable. One finding for each such cable, at its first
use, with what it costs against copper of the same size.

Why it matters
--------------
Copper-clad aluminium looks like copper and is sold as data cable. It has half as much resistance
again, breaks where it is bent, and works loose in screw and plug contacts.

Model and limits
----------------
Typical resistance of the cable as stated or computed against solid copper of the same cross-
section. The loss of reach is that of the cable alone.

Example
-------
A drum of cheap patch cable: 1.55 times the resistance of copper at 10 % copper by volume.

Do instead
----------
Use copper. Scrape a conductor to find out: a silvery inside is aluminium, and a piece of it is
light.

Settings
--------
None.

References
----------
ASTM B566 (62.9 % of the conductivity of copper at 10 % by volume, 64.4 % at 15 %). Whitefish,
Montana, Municipal Code 9-2-12 asks for two gauges more in aluminium.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.physics.cable import cable_ohm_per_m, nominal_copper_ohm_per_m
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.subjects import names
from bridgewire.rules.wiring import CableUse, cable_uses

RULE = Rule("WIR004", "copper-clad-aluminium", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each copper-clad aluminium cable, at its first use."""
    uses: dict[str, list[CableUse]] = {}
    for use in cable_uses(context):
        if use.spec.metal == "copper-clad-aluminium":
            uses.setdefault(use.full_id, []).append(use)
    for full_id, group in uses.items():
        spec = group[0].spec
        per_m, copper = cable_ohm_per_m(spec), nominal_copper_ohm_per_m(spec)
        if per_m is None or copper is None:
            continue
        ratio = per_m.typical / copper
        yield RULE.finding(
            f"{full_id!r} is copper-clad aluminium: its resistance is {ratio:.2f} times that of "
            f"copper of the same size, so a line reaches {100.0 * (1.0 - 1.0 / ratio):.0f} % less "
            f"far; used by {names(u.subject for u in group)}",
            group[0].path,
            measured=ratio,
            limit=1.0,
            unit="times that of copper",
            subjects=(full_id, *dict.fromkeys(u.subject for u in group)),
            remedy="use copper of the same size, or the next two gauges thicker; treat its ends as "
            "brittle and check every plug",
        )
