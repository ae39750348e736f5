"""The wiring runs in a circle.

What it checks
--------------
Whether every strip and splitter is reached from a box by one path.

Why it matters
--------------
Parts in a circle hang on no box. In real wiring a ring is also a second path for the current,
which a strip is not made for.

Model and limits
----------------
Each circle is reported once, at one of its runs, with the parts in order.

Example
-------
Strip a feeds strip b and strip b feeds strip a.

Do instead
----------
Feed the first part of the circle from a box or from a part outside, and take out the run that
closes the circle.

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

RULE = Rule("DOC012", "wiring-cycle", Severity.ERROR, at_load=True)
