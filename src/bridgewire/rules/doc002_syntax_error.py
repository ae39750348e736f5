"""A document breaks the rules of its language.

What it checks
--------------
Whether the text is valid TOML 1.0, YAML 1.2 or JSON. Several places are reported at once where
the reader can go on after the first.

Why it matters
--------------
What follows the fault may be read as something else than was meant, so the document is not used
at all.

Model and limits
----------------
YAML tags, several documents in one file and aliases that contain themselves are refused too.

Example
-------
pulse_s = 2,0

This is no number in TOML: decimals take a point.

Do instead
----------
Correct the line that the finding points at. Most faults are a missing quote, bracket or equals
sign there or one line above.

Settings
--------
None. A document with this fault is not checked, so the finding cannot be ignored.

References
----------
TOML v1.0.0; YAML 1.2.2; RFC 8259 (JSON).
"""

from __future__ import annotations

from bridgewire.diagnostics import Severity
from bridgewire.rules.base import Rule

RULE = Rule("DOC002", "syntax-error", Severity.ERROR, at_load=True)
