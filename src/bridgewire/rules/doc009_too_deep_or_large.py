"""A document is nested too deep or holds too much.

What it checks
--------------
Nesting of tables and arrays up to 64 deep, at most 200 000 values with aliases counted as often
as used, at most 10 000 characters in one text, and at most 500 problems shown for one document. Of
what is to be computed: at most 256 igniters on one way, and 20 000 pulses in a show, repeats
counted.

Why it matters
--------------
A damaged or hostile file could otherwise take all memory or time of the machine it is checked on.

Model and limits
----------------
The full-size example show holds some ten thousand values, so the limits do not stand in the way
of a real one.

Example
-------
A YAML file of a few lines whose aliases multiply to millions of values.

Do instead
----------
Look for an unclosed bracket or a repeated alias. Split a very large show into one file for each
site, or move its cues into a CSV cue list.

Settings
--------
None. A document with this fault is not checked, so the finding cannot be ignored.

References
----------
The limits are our own: common practice, no source.
"""

from __future__ import annotations

from bridgewire.diagnostics import Severity
from bridgewire.rules.base import Rule

RULE = Rule("DOC009", "too-deep-or-large", Severity.ERROR, at_load=True)
