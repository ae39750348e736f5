"""A rule broke down, so what it checks was not checked.

What it checks
--------------
Whether every rule ran to its end.

Why it matters
--------------
The other findings stand, but the show was not checked in full. A report without this finding
would look complete.

Model and limits
----------------
The fault is in bridgewire, not in the show. What the broken rule had found by then is kept, and all
other rules run.

Example
-------
A rule divides by a current that is zero in a wiring nobody had thought of.

Do instead
----------
Report it as a fault of bridgewire with the show, if you can give it away. Until then check by
hand what the named rule checks.

Settings
--------
None. A show cannot ignore it.

References
----------
None: a rule about bridgewire itself.
"""

from __future__ import annotations

from bridgewire.diagnostics import Severity
from bridgewire.rules.base import Rule

RULE = Rule("DOC017", "rule-crashed", Severity.ERROR, at_load=True)
