"""A plugin failed, or gave back something that cannot be used.

What it checks
--------------
Every answer of every plugin: that its hooks, rules, cue importers and report writers do not fail,
that what they give is of the right type and complete, and that no two plugins bring things of one
name.

Why it matters
--------------
What cannot be used is left out. A rule that failed has not checked the rest of the show, and where
two plugins bring a model of one name nobody can say which of them is meant.

Model and limits
----------------
Only the form of an answer is checked. A rule that runs and overlooks a fault is not noticed. What
models give while cues are computed is checked by PLG004.

Example
-------
Two plugins bring an igniter model called slow-wire. Neither is used.

Do instead
----------
Report it to whoever wrote the plugin, install another version, or leave the plugin out with
BRIDGEWIRE_PLUGINS. `bridgewire plugins` lists all plugins with what is wrong.

Settings
--------
With `bridgewire check --allow-broken-plugins` it is a warning. A cue importer or report writer
that fails still ends the check, because nothing can stand in for it. A show cannot ignore it.

References
----------
None: a rule about what is installed.
"""

from __future__ import annotations

from bridgewire.diagnostics import Severity
from bridgewire.rules.base import Rule

RULE = Rule("PLG002", "plugin-answer-unusable", Severity.ERROR, at_load=True)
