"""An output has more strips than it can address.

What it checks
--------------
Strips on each output, through all splitters and chains, against max_strips of the box's kind.

Why it matters
--------------
Strips beyond the limit do not respond, so what hangs on them does not fire.

Model and limits
----------------
Only where the kit profile states max_strips. Splitters do not count.

Example
-------
Nine strips in one chain on an output that addresses eight.

Do instead
----------
Move the last strips to another output or box.

Settings
--------
None. A document with this fault is not checked, so the finding cannot be ignored.

References
----------
The kit profile's own figure.
"""

from __future__ import annotations

from bridgewire.diagnostics import Severity
from bridgewire.rules.base import Rule

RULE = Rule("DOC014", "too-many-strips", Severity.ERROR, at_load=True)
