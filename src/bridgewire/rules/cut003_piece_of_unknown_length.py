"""A run is in no cutting plan, as nobody knows its length.

What it checks
--------------
That each run states its length, or has coordinates at both ends in a show that states
`site.cable_slack_pct`.

Why it matters
--------------
The cable it needs is missing from the cut list, the drum plan and the shopping list.

Model and limits
----------------
Nothing is assumed in place of a length.

Example
-------
A run between two strips of which one has no position.

Do instead
----------
State `length_m`, or coordinates and the slack.

Settings
--------
None. Found by `bridgewire sheets`, not by a check, so a show cannot ignore it.

References
----------
None.
"""

from __future__ import annotations

from bridgewire.diagnostics import Severity
from bridgewire.rules.base import Rule

RULE = Rule("CUT003", "piece-of-unknown-length", Severity.WARNING, at_load=True)
