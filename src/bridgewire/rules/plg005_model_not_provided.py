"""A kit profile names a model that no plugin provides.

What it checks
--------------
The key "model" of every igniter class and every supply that the show uses, against the models of
the plugins that are loaded.

Why it matters
--------------
Without the model nobody can compute when these igniters light or what this supply delivers. Every
verdict that needs it is unknown.

Model and limits
----------------
A plugin that is broken or switched off provides nothing; PLG001 or PLG002 then says why. Igniter
models and supply models are two lists: a name of the one is no name of the other.

Example
-------
model = "slow-wire" in an igniter class, on a computer where the plugin that brings slow-wire is not
installed.

Do instead
----------
Install the plugin that the profile names in its sources, or correct the name. Describing the
class or supply without a model works where its data allow that.

Settings
--------
None.

References
----------
None: a rule about what is installed.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.circuit.catalogue import nearest
from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.models_used import uses_of

RULE = Rule("PLG005", "model-not-provided", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each entry of a kit whose model is not there."""
    models = context.layout.models
    for use in uses_of(context):
        known = models.supplies if use.of_supply else models.igniters
        if use.model in known:
            continue
        kind = "supply" if use.of_supply else "igniter"
        hint = nearest(use.model, known)
        yield RULE.finding(
            f"{use.owner} names the {kind} model {use.model!r}, which no plugin provides; what "
            "depends on it is unknown",
            use.path,
            document=use.document,
            subjects=(use.full_id, use.model),
            remedy="install the plugin that brings the model, or correct the name"
            + (f": {hint}" if hint else ""),
            suggestion=hint,
        )
