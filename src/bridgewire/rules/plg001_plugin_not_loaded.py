"""A plugin that is installed, or was asked for, could not be loaded.

What it checks
--------------
Every installed package that offers a plugin, and every name in the environment variable
BRIDGEWIRE_PLUGINS. A plugin is loaded if it can be imported, states the version of the plugin API
that this bridgewire has, and has hooks that bridgewire knows.

Why it matters
--------------
What the plugin would have brought is not there: its rules did not run, its models and kits are not
known. A report without this finding would look complete.

Model and limits
----------------
A plugin that is switched off by BRIDGEWIRE_PLUGINS is not reported. A plugin that loads may still
be wrong in what it computes; only the form of what it gives can be checked.

Example
-------
A plugin written for API version 1 states BRIDGEWIRE_API = 1. Installed beside a bridgewire with API
version 2 it is not loaded.

Do instead
----------
Install a version of the plugin that fits, correct it, or uninstall it. To check without it, leave
it out with BRIDGEWIRE_PLUGINS. `bridgewire plugins` lists all plugins with what is wrong.

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

RULE = Rule("PLG001", "plugin-not-loaded", Severity.ERROR, at_load=True)
