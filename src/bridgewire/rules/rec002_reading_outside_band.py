"""A circuit reads more or less than any good one could.

What it checks
--------------
Each reading, less the meter's leads, against the band of its circuit from that place. It is
outside if no value within the meter's error lies in the band.

Why it matters
--------------
A wrong igniter class, a missing one, a poor contact or the wrong cable changes the current that
every igniter of the circuit gets, and what the check has computed no longer holds.

Model and limits
----------------
The band has every resistance at its end, so a good circuit is never outside if the kit's
tolerances hold. Bridges are cold. Causes are ranked from the circuit model; their weights before
the measurement are trade habit. Two faults on one circuit may look like a third.

Example
-------
A match of 1.6 to 1.8 ohm at its terminal reads 5.2 ohm: most likely a poor contact.

Do instead
----------
Make the measurement that the report proposes, mend the circuit, and measure again. Box unplugged,
with a meter approved for igniters, everybody clear of the articles.

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

RULE = Rule("REC002", "reading-outside-band", Severity.ERROR, at_load=True)
