"""A key that is needed is not there.

What it checks
--------------
Keys that a table cannot do without (the id of a cue, the cable of a run), and keys that only make
sense together: when and what a cue fires, how several igniters are joined, the cable of an extra
lead, the rows and columns of a matrix.

Why it matters
--------------
No value is made up in its place. A cue without an address or a time fires nothing.

Model and limits
----------------
Electrical data of a kit profile are not of this kind: they may be absent, and what depends on
them is then reported as unknown.

Example
-------
A cue with an id and a pulse, but neither time_s nor effect_at_s.

Do instead
----------
Add the key that the finding names.

Settings
--------
None. A document with this fault is not checked, so the finding cannot be ignored.

References
----------
The JSON Schemas that `bridgewire schema` prints mark what is required.
"""

from __future__ import annotations

from bridgewire.diagnostics import Severity
from bridgewire.rules.base import Rule

RULE = Rule("DOC005", "missing-key", Severity.ERROR, at_load=True)
