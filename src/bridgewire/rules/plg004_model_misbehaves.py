"""A plugin's model gave values that no igniter or supply can have.

What it checks
--------------
Every answer of every igniter and supply model while the cues are computed: one value for each
igniter or circuit asked about, no missing or infinite numbers, no negative resistance, current or
heating.

Why it matters
--------------
The cues that rest on such a model are not computed rightly. Wherever it was used the built-in law
took its place for that moment, and the verdict on those igniters is unknown.

Model and limits
----------------
A model that gives possible but wrong values is not noticed: test it against trials. Each fault is
reported once for a model, however often it occurs.

Example
-------
A heating law takes the logarithm of a current, and the current is zero before the pulse.

Do instead
----------
Report it to whoever wrote the plugin. Until it is corrected describe the igniter class or supply
without a model, where its data allow that.

Settings
--------
None. A show cannot ignore it, and `--allow-broken-plugins` does not make it a warning.

References
----------
None: a rule about what is installed.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.models_used import uses_of

RULE = Rule("PLG004", "model-misbehaves", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each fault of a model at each entry of a kit that names it."""
    used = list(uses_of(context))
    for fault in context.assessment.model_faults:
        mine = [use for use in used if use.model == fault.model]
        if not mine:  # cannot be; but a fault must never be lost
            yield RULE.finding(f"model {fault.model!r} gives what cannot be used: {fault.text}")
        for use in mine:
            yield RULE.finding(
                f"model {fault.model!r}, which {use.owner} names, gives what cannot be used: "
                f"{fault.text}; what was computed with it does not count",
                use.path,
                document=use.document,
                subjects=(use.full_id, fault.model),
                remedy="report it to whoever wrote the plugin that brings the model; until it is "
                "corrected describe the entry without a model",
            )
