"""A key is not known where it stands.

What it checks
--------------
Every key of a show, a kit profile and the column mapping of a cue list against the keys that the
format has.

Why it matters
--------------
A misspelt key would be passed over and the value in it lost, for example a cable length that is
then taken from coordinates.

Model and limits
----------------
Names are compared letter by letter. The nearest known key is suggested.

Example
-------
lenght_m = 20 in a run. The finding suggests length_m.

Do instead
----------
Correct the spelling, or move the key into the table it belongs to. Notes belong in comments or
in title.

Settings
--------
None. A document with this fault is not checked, so the finding cannot be ignored.

References
----------
The JSON Schemas that `bridgewire schema` prints list every key.
"""

from __future__ import annotations

from bridgewire.diagnostics import Severity
from bridgewire.rules.base import Rule

RULE = Rule("DOC004", "unknown-key", Severity.ERROR, at_load=True)
