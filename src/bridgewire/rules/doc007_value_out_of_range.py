"""A value is outside what it can sensibly be.

What it checks
--------------
Numbers against the limits of their key (no negative length, no NaN, no pulse of zero), texts
against the words allowed, ids against the letters allowed, bands for min <= typical <= max, and
addresses for the form box/output/way. No strip may be called box, which is the word
of readings for the box itself.

Why it matters
--------------
Such a value is a slip of the keyboard. It would go through the arithmetic and come out as a
plausible verdict on something else.

Model and limits
----------------
The upper limits are far above anything in the trade, so a value in range may still be wrong.
Other rules judge that.

Example
-------
length_m = -20, or ambient_C = { min = 6, typical = -2, max = 12 }.

Do instead
----------
Correct the number. The finding gives the range.

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

RULE = Rule("DOC007", "value-out-of-range", Severity.ERROR, at_load=True)
