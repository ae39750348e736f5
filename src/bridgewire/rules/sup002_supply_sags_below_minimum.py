"""The supply sags below the voltage at which its box still works.

What it checks
--------------
The lowest voltage at the terminals of the supply during each cue, at any tolerance corner,
against `min_supply_V` of the box. It is an error if it falls below at typical values.

Why it matters
--------------
A box whose supply collapses can drop the pulse, reset, or lose its link in the middle of a show.

Model and limits
----------------
For a battery or a regulated supply: open-circuit voltage (state of charge, charge already used)
less current times internal resistance. A capacitor is meant to run down in the pulse; there the
voltage at the start of the cue counts, and SUP004 says how much later the cue would find it
charged.

Example
-------
A box that needs 15 V, on a cold and half-empty battery of 19 V and 0.6 ohm, with eight igniters
in parallel: 7 A takes 4.2 V.

Do instead
----------
Fewer igniters at once, a fuller or warmer battery, a bigger one, or more resistance in the line.

Settings
--------
None.

References
----------
None.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.model.kit import BatterySupply, CapacitorSupply, Supply
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.units import told_apart, volts

RULE = Rule("SUP002", "supply-sags-below-minimum", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each cue that pulls the supply down too far."""
    for cue in context.cues:
        box = context.box_of(cue)
        least = None if box is None else box[1].min_supply_V
        if box is None or least is None or cue.start_V is None:
            continue
        if isinstance(box[1].supply, CapacitorSupply):
            lowest, typical = cue.start_V.worst, cue.start_V.typical
        elif cue.lowest_V is not None and cue.lowest_typical_V is not None:
            lowest, typical = cue.lowest_V, cue.lowest_typical_V
        else:
            continue
        if lowest >= least:
            continue
        has, has_typically, needs = told_apart(volts, lowest, typical, limit=least)
        yield RULE.finding(
            f"cue {cue.id!r} leaves box {box[0].id!r} {has} at the worst corner "
            f"({has_typically} typically); it needs {needs} to work",
            ("cue", cue.cue),
            severity=Severity.ERROR if typical < least else Severity.WARNING,
            measured=lowest,
            limit=least,
            unit="V",
            subjects=(cue.id, box[0].id),
            remedy=_remedy(box[1].supply),
        )


def _remedy(supply: Supply) -> str:
    if isinstance(supply, CapacitorSupply):
        return "fire it later, when the capacitor is charged again, or from another box"
    fewer = "fire fewer igniters from this box at once"
    if isinstance(supply, BatterySupply):
        return f"{fewer}, or use a fuller, warmer or larger battery"
    return f"{fewer}, or use a stronger supply"
