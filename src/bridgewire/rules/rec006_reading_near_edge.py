"""A reading is at the edge of its band.

What it checks
--------------
Readings in the outer twentieth of the band, and those outside it by no more than the meter's
error.

Why it matters
--------------
Such a circuit may be good, but it is the first place to look if something fails.

Model and limits
----------------
One twentieth of the width is trade habit.

Example
-------
1.90 ohm where 1.57 to 1.91 ohm are expected.

Do instead
----------
Measure again with clean probe tips; compare with circuits that are alike.

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

RULE = Rule("REC006", "reading-near-edge", Severity.INFO, at_load=True)
