"""A file cannot be read.

What it checks
--------------
Whether each document, a show or a kit profile, can be opened, has a name ending in .toml, .yaml,
.yml or .json, is not empty, is at most 20 MB, and is UTF-8 text.

Why it matters
--------------
Nothing can be checked. A file in another encoding may look right in an editor and still turn °C
or mm² into something else.

Model and limits
----------------
UTF-8 with or without a byte order mark. No other encoding is guessed.

Example
-------
A show saved as Latin-1 by an old editor: the degree sign in a title is then no valid UTF-8, and
the finding names the byte and its line.

Do instead
----------
Save the file as UTF-8 and give it one of the four endings. Export a spreadsheet as CSV and name
it in the show's cue_list.

Settings
--------
None. A document with this fault is not checked, so the finding cannot be ignored.

References
----------
The Unicode Standard, chapter 3, for UTF-8.
"""

from __future__ import annotations

from bridgewire.diagnostics import Severity
from bridgewire.rules.base import Rule

RULE = Rule("DOC001", "unreadable-file", Severity.ERROR, at_load=True)
