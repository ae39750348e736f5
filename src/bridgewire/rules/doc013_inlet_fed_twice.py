"""Two runs go into one inlet.

What it checks
--------------
Whether each strip and splitter is fed by at most one run.

Why it matters
--------------
A part has one inlet. Two cables into it would join two outputs, and a cue on one would reach the
strips of the other.

Model and limits
----------------
Cables that lie side by side and are joined at both ends are one run with the key parallel.

Example
-------
Two runs to "jetty-2", one from the box and one from "jetty-1".

Do instead
----------
Take one of the two out, or use parallel = 2 for doubled cables.

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

RULE = Rule("DOC013", "inlet-fed-twice", Severity.ERROR, at_load=True)
