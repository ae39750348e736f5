"""Two things have one id.

What it checks
--------------
Ids of positions, boxes, strips and splitters (these three share their names, because runs refer
to any of them), igniters and cues. In a kit profile: ids of entries of one kind.

Why it matters
--------------
A reference to the id could mean either. The run or cue would be computed on the wrong part.

Model and limits
----------------
The second place is reported and names the first. An igniter may go without an id; it is then
called after its terminal.

Example
-------
Two cues with the id "comets", copied and not renamed.

Do instead
----------
Rename one of them, and every reference that means it.

Settings
--------
None. A document with this fault is not checked, so the finding cannot be ignored.

References
----------
None: a rule of the show format.
"""

from __future__ import annotations

from bridgewire.diagnostics import Severity
from bridgewire.rules.base import Rule

RULE = Rule("DOC010", "duplicate-id", Severity.ERROR, at_load=True)
