"""A reading is in its band, but not like the others of its wiring tree.

What it checks
--------------
Circuits in their bands on a tree whose readings point to a fault of the whole tree (a run, a cable,
swapped strips, meter leads): whether they are still as expected with that fault.

Why it matters
--------------
Two faults can cancel: a run too long hides an igniter that is missing from a series string.

Model and limits
----------------
Named if a fault of its own is likelier than nine in ten, given the fault of the tree; the weights
are trade habit. With few readings on a tree nothing is named.

Example
-------
Five ways of a raft read 2 ohm too much, the sixth as expected: one of its four igniters is bridged.

Do instead
----------
Mend the fault of the tree, then measure the circuit again.

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

RULE = Rule("REC010", "reading-out-of-line", Severity.WARNING, at_load=True)
