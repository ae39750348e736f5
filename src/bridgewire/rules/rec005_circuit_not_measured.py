"""Igniters of a circuit are seen by no reading.

What it checks
--------------
Every circuit of the show: which of its igniters are in a circuit that some reading has measured.

Why it matters
--------------
An open circuit that nobody measured is found at the moment of the cue.

Model and limits
----------------
A row without a reading is not measured. A reading that cannot be judged (REC007) does not count.
Behind diodes a reading at one strip does not see the igniters of another.

Example
-------
heron-1/1/1 lights igniters on two strips; only the west one has a reading.

Do instead
----------
Measure the circuit at each strip that the finding names, or say in the show's log why not.

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

RULE = Rule("REC005", "circuit-not-measured", Severity.WARNING, at_load=True)
