"""A plugin brings a rule whose code is not in the range kept for plugins.

What it checks
--------------
That the code of every rule of a plugin is X, two more letters and three digits, from XAA001 to
XZZ999.

Why it matters
--------------
Shows ignore findings by their code. A code of bridgewire's own used by a plugin would let a show
ignore the one and lose the other.

Model and limits
----------------
bridgewire will never have a code that begins with X. Authors choose the two letters; that two
plugins do not choose the same is not checked until both are installed (PLG002).

Example
-------
A plugin brings a rule with the code FIR101. The rule does not run.

Do instead
----------
Whoever wrote the plugin has to choose another code. Until then check by hand what its rule would
have checked, or leave the plugin out with BRIDGEWIRE_PLUGINS.

Settings
--------
With `bridgewire check --allow-broken-plugins` it is a warning. A show cannot ignore it.

References
----------
None: a rule about what is installed.
"""

from __future__ import annotations

from bridgewire.diagnostics import Severity
from bridgewire.rules.base import Rule

RULE = Rule("PLG003", "plugin-rule-code-out-of-range", Severity.ERROR, at_load=True)
