"""The file of meter readings cannot be used.

What it checks
--------------
Every line of the file given to `bridgewire readings`: its headings (circuit, place and reading_ohm
must be there), that each circuit has igniters in the show, that it can be measured at the place,
that every number can be read and is not negative, and that no circuit, place and moment comes
twice.

Why it matters
--------------
A reading that is put down to the wrong circuit clears a circuit that nobody measured.

Model and limits
----------------
UTF-8 text, with or without a byte order mark; cells are parted as those of the heading line are.
A decimal comma is understood only where cells are not parted by commas. All problems are shown
at once, with line and column, and nothing is judged.

Example
-------
heron-1/1/14 for a circuit of a show whose last way is 4. The finding names line and column and the
nearest circuit.

Do instead
----------
Correct the cell. `bridgewire readings SHOW --template` writes a file with every circuit and place.

Settings
--------
None. Found by `bridgewire readings`, not by a check, so a show cannot ignore it.

References
----------
RFC 4180 for the quoting of cells.
"""

from __future__ import annotations

from bridgewire.diagnostics import Severity
from bridgewire.rules.base import Rule

RULE = Rule("REC001", "readings-file-problem", Severity.ERROR, at_load=True)
