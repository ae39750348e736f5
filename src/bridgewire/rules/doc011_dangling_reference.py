"""A reference names something that does not exist.

What it checks
--------------
Every reference: kit profiles of the show, kinds of boxes, strips, splitters, cables, contacts and
igniter classes, positions, ends of runs, terminals, outputs, and what cues fire and light.

Why it matters
--------------
The circuit behind it cannot be known, so no verdict would mean anything.

Model and limits
----------------
The nearest existing name is suggested. A cue that names an output or way number that its box does
not have is no dangling reference; a timing rule reports it together with what else is wrong with
the cue.

Example
-------
A run to "jety-1" where the strip is called "jetty-1".

Do instead
----------
Correct the name, add the thing it names, or add the kit profile that has it to the show's kits.

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

RULE = Rule("DOC011", "dangling-reference", Severity.ERROR, at_load=True)
