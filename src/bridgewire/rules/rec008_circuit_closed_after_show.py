"""A circuit that should have opened reads closed after the show.

What it checks
--------------
Readings after the show, against what the igniters are when all cues have fired as planned.

Why it matters
--------------
The igniter may not have lit. What hangs on it may be live.

Model and limits
----------------
End states come from all corners of the simulation. A bridge that lit and did not part reads as an
unlit one does; the meter cannot tell them apart, so both count as live.

Example
-------
A match whose bridge parts when it lights reads 1.7 ohm after the show.

Do instead
----------
Treat it as live: keep everybody away, wait as your rules say, disconnect the box, then approach.

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

RULE = Rule("REC008", "circuit-closed-after-show", Severity.ERROR, at_load=True)
