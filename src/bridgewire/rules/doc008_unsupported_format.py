"""The document is of a format that this version does not read.

What it checks
--------------
The key format at the top of shows and kit profiles.

Why it matters
--------------
A newer format may mean something else by the same key. Reading it as an old one could give a
wrong verdict.

Model and limits
----------------
Older formats are brought up to date while reading, once there are any. This version reads format
1.

Example
-------
format = 2 in a show written for a later version.

Do instead
----------
Update bridgewire, or write the document in the format that the finding names.

Settings
--------
None. A document with this fault is not checked, so the finding cannot be ignored.

References
----------
The change log says which version reads which format.
"""

from __future__ import annotations

from bridgewire.diagnostics import Severity
from bridgewire.rules.base import Rule

RULE = Rule("DOC008", "unsupported-format", Severity.ERROR, at_load=True)
