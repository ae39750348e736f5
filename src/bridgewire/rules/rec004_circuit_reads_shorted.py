"""A circuit reads as good as nothing.

What it checks
--------------
Readings below a tenth of the lowest resistance of a good circuit, beyond the meter's error.

Why it matters
--------------
A short takes the current past the igniters and can bring the supply down for all others.

Model and limits
----------------
A short at a strip read from the box shows the cable's resistance and is outside the band (REC002)
rather than shorted; the ranking of causes then names it.

Example
-------
0.05 ohm at a terminal whose match has 1.6 ohm or more: the bare lead ends touch, or the shunt is
still on.

Do instead
----------
Look for touching lead ends, a shunt left on, or a crushed cable, with the box unplugged.

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

RULE = Rule("REC004", "circuit-reads-shorted", Severity.ERROR, at_load=True)
