"""A key stands twice in one table.

What it checks
--------------
Every key of every table, in all three languages.

Why it matters
--------------
One of the two values would win without a word. JSON and YAML readers commonly take the last one.

Model and limits
----------------
The finding points at the second place and names the line of the first. A table header that
repeats an earlier one is the same fault.

Example
-------
[[cue]]
id = "comets"
pulse_s = 1.0
pulse_s = 2.0

Do instead
----------
Remove one of the two lines. Two cues, runs or igniters need two tables, each with its own [[...]]
header.

Settings
--------
None. A document with this fault is not checked, so the finding cannot be ignored.

References
----------
TOML v1.0.0, Keys; RFC 8259, section 4.
"""

from __future__ import annotations

from bridgewire.diagnostics import Severity
from bridgewire.rules.base import Rule

RULE = Rule("DOC003", "duplicate-key", Severity.ERROR, at_load=True)
