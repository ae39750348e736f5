"""Kit profiles extend one another in a circle.

What it checks
--------------
The ``extends`` of kits and of their entries, followed to the end. A chain must not come back to
where it started.

Why it matters
--------------
In a circle no value has an origin, so nobody can say what the kit is.

Model and limits
----------------
Chains and diamonds are fine: a kit may be reached on two ways. More than 64 levels are DOC009.

Example
-------
The club's kit extends the winter kit, and the winter kit extends the club's kit.

Do instead
----------
Take ``extends`` out of the one that came first, or put what both share into a third profile that
both extend.

Settings
--------
None. A document with this fault is not checked, so the finding cannot be ignored.

References
----------
None: a rule of kit profiles.
"""

from __future__ import annotations

from bridgewire.diagnostics import Severity
from bridgewire.rules.base import Rule

RULE = Rule("DOC024", "kit-extends-circle", Severity.ERROR, at_load=True)
