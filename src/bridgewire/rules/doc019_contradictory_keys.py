"""Two keys of one table say different things about the same matter.

What it checks
--------------
Keys that exclude each other: position and at_m, fire and target, a fuse's delay_s and length_mm,
offered_s and min_s of pulses, keys that belong to another kind of supply, limit or path map, and
a largest pulse below the smallest.

Why it matters
--------------
One of them would win without a word.

Model and limits
----------------
Only what can be seen within one table. Values that contradict each other by physics are a matter
of the KIT rules.

Example
-------
A cue with fire = "heron-1/1/4" and target = "comet-1".

Do instead
----------
Keep the one that is meant.

Settings
--------
None. A document with this fault is not checked, so the finding cannot be ignored.

References
----------
The JSON Schemas that `bridgewire schema` prints.
"""

from __future__ import annotations

from bridgewire.diagnostics import Severity
from bridgewire.rules.base import Rule

RULE = Rule("DOC019", "contradictory-keys", Severity.ERROR, at_load=True)
