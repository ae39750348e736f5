"""A reading cannot be judged.

What it checks
--------------
Readings of circuits whose expected resistance is not known.

Why it matters
--------------
A reading that is compared with nothing proves nothing.

Model and limits
----------------
Not known are circuits with missing kit or show values, readings that pass a diode (what the meter
shows then depends on its own current), the state after the show of igniters whose cue cannot be
computed, and, in a matrix without diodes, a strip without an igniter of the way.

Example
-------
A reading at the box of a matrix with a diode on every way.

Do instead
----------
Measure at the strip, or give the value that is missing.

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

RULE = Rule("REC007", "reading-not-judged", Severity.WARNING, at_load=True)
