"""Two files hold a kit profile of the same id.

What it checks
--------------
Kit profiles in all folders searched: the show's own, its folder kits, those named on the command
line, and the shipped ones.

Why it matters
--------------
Nobody can tell which of the two a verdict would rest on, and a copied profile is seldom the same
as the original.

Model and limits
----------------
Only profiles that the show uses are compared. Both places are reported.

Example
-------
A copy of the club's profile left beside the show with one figure changed.

Do instead
----------
Delete or rename one of them.

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

RULE = Rule("DOC018", "duplicate-kit-profile", Severity.ERROR, at_load=True)
