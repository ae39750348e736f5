"""Nothing is known about a box's continuity test.

What it checks
--------------
Whether each kind of box in use states the current of its built-in continuity test into a short
circuit, and the resistance above which a circuit reads as open.

Why it matters
--------------
The test is switched on while people stand at the racks. Its current must stay far below what can
fire an igniter, and nobody may assume that it does.

Model and limits
----------------
Only the presence of the figures; with current_A = 0, a box without a test, no threshold is
needed. SAF rules judge the current itself once it is stated. A warning, since the test can be left
alone until it is measured; an igniter class of unknown no-fire current is an error (KIT010), since
its firing currents go unjudged too, and nobody can leave those alone.

Example
-------
A second-hand box with a row of green lights and no papers.

Do instead
----------
Measure the current with a meter in place of the igniters, at full charge, and keep the highest
reading. Until then do not use the test with igniters connected, and follow the law and the
maker's instructions in any case.

Settings
--------
None.

References
----------
Washington Administrative Code WAC 212-17-317(6), which adopts the fireworks display code NFPA
1123: meters and tests only if measured to comply.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.model.kit import ContinuityTest
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.kit_items import used_boxes

RULE = Rule("KIT009", "no-continuity-test-data", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each used kind of box without a test current or threshold."""
    for box in used_boxes(context):
        lacking = _lacking(box.entry.continuity_test)
        if lacking:
            yield RULE.finding(
                f"{box.label} does not state continuity_test.{' and '.join(lacking)}, so nobody "
                "can say whether its test is safe and what it would miss",
                box.around(f"continuity_test.{lacking[0]}"),
                document=box.document,
                subjects=(box.full_id,),
                remedy="measure the test current into a short circuit, with no igniter connected, "
                "and state it with its tolerance; if the box has no test, say current_A = 0",
            )


def _lacking(test: ContinuityTest | None) -> list[str]:
    """Keys that are not stated. A box without a test, its current 0, needs no threshold."""
    if test is None or test.current_A is None:
        stated = test is not None and test.threshold_ohm is not None
        return ["current_A"] if stated else ["current_A", "threshold_ohm"]
    return ["threshold_ohm"] if test.current_A.max > 0.0 and test.threshold_ohm is None else []
