"""The show uses up most of a battery, or more than it holds.

What it checks
--------------
For every battery box: the charge of all its pulses and of standing by, against what the battery
holds at the coldest temperature on site and its least state of charge. Above 80 % is a warning,
above 100 % an error.

Why it matters
--------------
A cold battery holds much less than its label says, and the end of a show is no place to find out.

Model and limits
----------------
The charge of a pulse is the most that the tolerances allow: the current at the least resistance,
over the whole pulse. Bridges that burn open early take far less. Standing by counts from
`standby_s` before the show to the last pulse. If the kit gives no `standby_A` or the show no
`standby_s`, standing by is not counted and the finding says so (SUP009).

Example
-------
A battery of 7 Ah at -10 °C holds 5.2 Ah. A box that draws 1 A while waiting and waits five hours
uses 5 Ah.

Do instead
----------
Charge it fully, switch it on later, keep it warm, or use a larger one.

Settings
--------
None.

References
----------
80 %: common practice, no source.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.subjects import box_place
from bridgewire.units import plain, significant, told_apart

RULE = Rule("SUP003", "battery-used-up", Severity.WARNING)

_WARN_ABOVE = 0.8


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each battery that the show drains."""
    ends: dict[str, float] = defaultdict(float)
    for firing in context.assessment.schedule.firings:
        ends[firing.box] = max(ends[firing.box], firing.end_s)
    for box_id, ledger in context.assessment.simulation.ledgers.items():
        battery = ledger.supply.battery
        if battery is None:
            continue
        on_s = max(ledger.standby_s + ends[box_id], 0.0)
        used = ledger.most_C + ledger.standby_A * on_s
        holds = battery.capacity_C * battery.charge_pct.min / 100.0
        if used <= _WARN_ABOVE * holds:
            continue
        yield RULE.finding(
            f"box {box_id!r} uses {_shares(used / 3600.0, holds / 3600.0)}",
            box_place(context, box_id, "charge_pct"),
            severity=Severity.ERROR if used > holds else Severity.WARNING,
            measured=used / 3600.0,
            limit=_WARN_ABOVE * holds / 3600.0,
            unit="Ah",
            subjects=(box_id,),
            remedy="charge it fully, switch it on later, keep it warm, or use a larger battery",
        )


def _shares(used_Ah: float, holds_Ah: float) -> str:
    """What is used, of what there is and of what should be planned with."""
    if holds_Ah <= 0.0:
        return (
            f"{significant(used_Ah)} Ah in the show, but at its coldest and emptiest its battery "
            "holds nothing"
        )
    most = 1.0 if used_Ah > holds_Ah else _WARN_ABOVE
    used, _ = told_apart(significant, used_Ah, limit=most * holds_Ah)
    share, _ = told_apart(plain, 100.0 * used_Ah / holds_Ah, limit=100.0 * most)
    return (
        f"{used} Ah in the show, {share} % of the {significant(holds_Ah)} Ah that its battery "
        f"holds at its coldest and emptiest; {significant(_WARN_ABOVE * holds_Ah)} Ah "
        f"({100.0 * _WARN_ABOVE:.0f} %) is as much as should be planned with"
    )
