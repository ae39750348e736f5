"""The cue list in a CSV file cannot be used.

What it checks
--------------
The file that cue_list names: that it lies inside the show's folder, is text in the stated
encoding, has a heading for each mapped column exactly once, has no more cells in a row than
headings, and that every cell can be read as its key.

Why it matters
--------------
A shifted column or a decimal comma read wrongly moves cues or changes pulses without any sign.

Model and limits
----------------
Delimiter, decimal sign, encoding and headings are stated by the show. Nothing is guessed.

Example
-------
decimal = "." in the show and 12,5 in the file. The finding names the cell's row and column.

Do instead
----------
Correct the cell, or state the file's delimiter, decimal and encoding in cue_list.

Settings
--------
None. A document with this fault is not checked, so the finding cannot be ignored.

References
----------
RFC 4180 for the quoting of cells.
"""

from __future__ import annotations

from bridgewire.diagnostics import Severity
from bridgewire.rules.base import Rule

RULE = Rule("DOC016", "cue-list-problem", Severity.ERROR, at_load=True)
