"""The heating data of an igniter class are derived from its data sheet.

What it checks
--------------
Which form of data each igniter class in use has: thermal data, threshold and time constant, or
only the currents and times of a data sheet.

Why it matters
--------------
A data sheet gives bounds, not a description. Light times derived from it are wide, and a spread
judged on them is wider than the igniters deserve.

Model and limits
----------------
Every igniter that fits the sheet lights within the bounds at any steady current from all-fire up.
Below all-fire a sheet promises nothing, so no igniter is called sure there.

Example
-------
A bridge igniter of a regulated class, given by no-fire and all-fire currents and its impulse.

Do instead
----------
Nothing, if the wide bounds are good enough. Else measure light times at several currents.

Settings
--------
None.

References
----------
1. SprengV Anlage 2 for classes given in this way; the derivation is in the notes of
`bridgewire.physics.igniter_data.heating`.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.errors import ModelRangeError
from bridgewire.physics.igniter_data import heating
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.kit_items import used_classes
from bridgewire.units import amperes, seconds

RULE = Rule("KIT008", "igniter-data-derived", Severity.INFO)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each used class whose heating is derived from a data sheet."""
    for klass in used_classes(context):
        try:
            data = heating(klass.entry, context.assessment.simulation.ambient_C)
        except ModelRangeError:
            continue
        if data is None or data.basis in ("thermal", "threshold"):
            continue
        current, tau = data.threshold_A, data.tau_s
        unbounded = (
            "; without an impulse the data set no shortest time, so any current above no-fire "
            "may light one at once"
            if data.basis == "data-sheet"
            else ""
        )
        yield RULE.finding(
            f"{klass.label} has no measured heating data; derived from its currents and times: "
            f"threshold {amperes(current.min)} to {amperes(current.max)}, time constant "
            f"{seconds(tau.min)} to {seconds(tau.max)}{unbounded}",
            klass.path,
            document=klass.document,
            subjects=(klass.full_id,),
            remedy="for narrower light times measure light times at three or more currents and "
            "state threshold_A and tau_s",
        )
