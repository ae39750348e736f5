"""The drums do not hold the cable that the show needs.

What it checks
--------------
The pieces that all runs and extra igniter leads are cut to, against the drums that the show lists
in `[[drum]]`, or where it lists none against the longest piece in the kit.

Why it matters
--------------
The crew finds out on the lawn that the last run cannot be made, and splices what is left over.

Model and limits
----------------
A piece is cut to the upper end of its length band, with the allowance and step of `[cutting]`.
What can be cut is settled exactly: no other way of cutting these drums leaves less undone. Joining
pieces is not considered.

Example
-------
Three runs of 40 m and two drums of 60 m: only two of them can be cut, though 120 m would be enough.

Do instead
----------
List more drums, use other cable for a run, or state two runs with a joint between.

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

RULE = Rule("CUT001", "too-little-cable", Severity.ERROR, at_load=True)
