"""More runs leave a part than it has outlets.

What it checks
--------------
Runs from each strip against its through connectors, and from each splitter against its outlets.

Why it matters
--------------
There is no socket for the run, so the crew would improvise a joint on the field.

Model and limits
----------------
Every run beyond the number is reported. A box's output is not counted here: several runs from one
output are taken as wired together at it.

Example
-------
Two runs from a strip with one through connector.

Do instead
----------
Put a splitter in, or chain on from another strip.

Settings
--------
None. A document with this fault is not checked, so the finding cannot be ignored.

References
----------
The kit profile's own figures.
"""

from __future__ import annotations

from bridgewire.diagnostics import Severity
from bridgewire.rules.base import Rule

RULE = Rule("DOC015", "outlets-used-up", Severity.ERROR, at_load=True)
