"""A reading is as expected, but would be with an igniter missing too.

What it checks
--------------
Readings in order, of circuits with igniters in parallel: the band with one of them missing.

Why it matters
--------------
A group with a broken lead passes the measurement, and one effect is missing.

Model and limits
----------------
Each igniter, or series string, is left out in turn, with all tolerances at their ends and the
meter's error.

Example
-------
Four matches behind a long cable: the reading fits four and three.

Do instead
----------
Measure each igniter by itself with a tester made for igniters before it is connected, or measure
at the strip with a better meter.

Settings
--------
None. Found by `bridgewire readings`, not by a check, so a show cannot ignore it.

References
----------
None.
"""

from __future__ import annotations

from bridgewire.diagnostics import Severity
from bridgewire.rules.base import Rule

RULE = Rule("REC009", "missing-igniter-not-seen", Severity.INFO, at_load=True)
