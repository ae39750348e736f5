"""A value is of the wrong kind.

What it checks
--------------
Whether numbers are numbers, texts are texts, and tables are tables. Nothing is converted: "20" is
a text, and true is not 1.

Why it matters
--------------
A converted value is a guess. A YAML reader that turns no into false, or 1:30 into 90, has cost
people more than a show.

Model and limits
----------------
A whole number is fine where a number is expected. An electrical value is a number, {typical,
tol}, {typical, tol_pct} or {min, typical, max}.

Example
-------
length_m = "20 m" in a run; the unit stands in the key already.

Do instead
----------
Write the value in the form that the finding gives under expected.

Settings
--------
None. A document with this fault is not checked, so the finding cannot be ignored.

References
----------
The JSON Schemas that `bridgewire schema` prints give the type of every key.
"""

from __future__ import annotations

from bridgewire.diagnostics import Severity
from bridgewire.rules.base import Rule

RULE = Rule("DOC006", "wrong-type", Severity.ERROR, at_load=True)
