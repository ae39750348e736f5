"""A cutting plan may open more drums than it must.

What it checks
--------------
Whether the search for the fewest drums came to its end in the time allowed.

Why it matters
--------------
The plan can be cut as it stands; a better one may save opening a drum.

Model and limits
----------------
The finding names the number of drums that the plan opens and the number below which none can be.

Example
-------
A plan of 7 drums where 6 is not ruled out after 20 seconds.

Do instead
----------
Cut by the plan, or give the search more time with `--seconds`.

Settings
--------
None. Found by `bridgewire sheets`, not by a check, so a show cannot ignore it.

References
----------
The integer programme is solved by HiGHS through scipy.
"""

from __future__ import annotations

from bridgewire.diagnostics import Severity
from bridgewire.rules.base import Rule

RULE = Rule("CUT002", "cutting-plan-not-proven", Severity.INFO, at_load=True)
