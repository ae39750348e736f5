"""The temperature on site is not stated.

What it checks
--------------
Whether the show has site.ambient_C.

Why it matters
--------------
Cold takes voltage and capacity from batteries, warmth adds resistance to cables: copper changes
by about 4 % over 10 K. Without a figure the worst corner is taken over a wide range, and igniters
that would be sure become marginal.

Model and limits
----------------
From -10 to 40 °C, typically 20 °C, is used instead. That is no promise: it can be colder than -10
°C at a winter show.

Example
-------
A winter show on a lake without a temperature. The battery is then judged typically at 20 °C,
which it will not have.

Do instead
----------
State the range expected at show time, and a box's own ambient_C where it stands in a heated hut
or in the sun.

Settings
--------
None.

References
----------
IEC 60028 for copper, 0.00393 per K at 20 °C. The range is our own: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import DocPath, Finding, Severity
from bridgewire.model.show import Site
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.timeline.simulate import UNKNOWN_AMBIENT_C

RULE = Rule("DOC023", "ambient-not-stated", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding if the site's temperature is not stated."""
    site = context.show.site
    if site.ambient_C is not None:
        return
    path: DocPath = () if site == Site() else ("site",)
    wide = UNKNOWN_AMBIENT_C
    yield RULE.finding(
        f"the show does not state the temperature on site, so {wide.min:g} to {wide.max:g} °C "
        f"is assumed, typically {wide.typical:g} °C",
        path,
        remedy="state site.ambient_C, for example { min = -2, typical = 6, max = 12 }",
        subjects=("ambient_C",),
    )
