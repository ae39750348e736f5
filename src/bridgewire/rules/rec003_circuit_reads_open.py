"""A circuit that should be closed reads open.

What it checks
--------------
Readings given as open (over-range) where every good circuit is closed.

Why it matters
--------------
No current will flow. Nothing on the circuit will fire, or nothing beyond the break.

Model and limits
----------------
Before firing every igniter counts as whole. After the show only circuits whose igniters stay closed
at every corner are judged. Circuits behind a diode are not judged from the box.

Example
-------
The only igniter of heron-1/1/2 reads OL at its terminal: its lead is broken or not clamped.

Do instead
----------
Measure at the next place along the cable, as the report proposes. Do not touch the igniter's leads
while the box is plugged in.

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

RULE = Rule("REC003", "circuit-reads-open", Severity.ERROR, at_load=True)
