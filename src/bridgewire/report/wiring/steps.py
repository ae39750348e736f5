"""Voltages along a way under a cue, step by step, from what the check found for each igniter."""

from __future__ import annotations

import math
from collections import defaultdict

from attrs import field, frozen

from bridgewire.circuit.elements import Element
from bridgewire.circuit.ways import WayCircuit
from bridgewire.diagnostics import DocPath
from bridgewire.report.cue_table import spent
from bridgewire.timeline.outcomes import CueOutcome, IgniterOutcome

DIODE = "diode drop"
AGREES = 0.02
"""A path that does not add up to the supply's voltage, to this share of it, is not written."""


@frozen
class Range:
    """Smallest and largest of some voltages."""

    low: float
    high: float

    @classmethod
    def of(cls, values: list[float]) -> Range | None:
        """The range of some values; None where there are none."""
        return cls(min(values), max(values)) if values else None


@frozen
class Steps:
    """Typical voltages between feed and return, and what each step costs, V.

    Each igniter is looked at when it lights (or, where it does not, at its highest current), so a
    step that several igniters share has a range of values.
    """

    after: dict[int, Range] = field(factory=dict)
    """At the far end of each node of the way."""
    lost: dict[int, Range] = field(factory=dict)
    """Lost in each node."""
    supply: Range | None = None
    """At the supply's terminals."""


def steps_of(circuit: WayCircuit, cue: CueOutcome, *, capacitor: bool) -> Steps:
    """Work out the voltages along a way.

    Parameters
    ----------
    circuit : WayCircuit
    cue : CueOutcome
        Of this way.
    capacitor : bool
        Whether the supply is a capacitor, whose voltage falls through a pulse.

    Returns
    -------
    Steps
        Only igniters that this cue finds unlit and whose path adds up are in it: current and losses
        may be from two moments for an igniter that does not light.
    """
    string_of = {
        circuit.bridge_igniter[bridge]: n
        for n, string in enumerate(circuit.strings)
        for bridge in string.bridges
    }
    after: dict[int, list[float]] = defaultdict(list)
    lost: dict[int, list[float]] = defaultdict(list)
    at_supply: list[float] = []
    for igniter in cue.igniters:
        if spent(igniter) or igniter.terminal_V is None or not igniter.drops:
            continue
        if igniter.igniter not in string_of:
            continue
        volts = {(d.label, d.path): d.volts for d in igniter.drops}
        path = circuit.path_to(string_of[igniter.igniter])
        here = igniter.terminal_V
        seen: dict[int, float] = {}
        costs: dict[int, float] = {}
        for n in path:
            seen[n] = here
            costs[n] = sum(_drop(volts, e) for e in circuit.nodes[n].elements)
            if n == path[0]:
                costs[n] += sum(v for (label, _), v in volts.items() if label == DIODE)
            here += costs[n]
        source = here + sum(v for (label, _), v in volts.items() if label == _supply(cue))
        if not _adds_up(igniter, cue, source, capacitor):
            continue
        at_supply.append(here)
        for n in path:
            after[n].append(seen[n])
            lost[n].append(costs[n])
    return Steps(
        {n: Range(min(v), max(v)) for n, v in after.items()},
        {n: Range(min(v), max(v)) for n, v in lost.items()},
        Range.of(at_supply),
    )


def _drop(volts: dict[tuple[str, DocPath], float], element: Element) -> float:
    return volts.get((element.label, element.path), 0.0)


def _supply(cue: CueOutcome) -> str:
    return "" if cue.way is None else f"supply of {cue.way[0]}"


def _adds_up(igniter: IgniterOutcome, cue: CueOutcome, source: float, capacitor: bool) -> bool:
    if cue.start_V is None:
        return False
    start = cue.start_V.typical
    if capacitor or cue.limited:
        return math.isfinite(igniter.light.typical) and source <= start * (1.0 + AGREES)
    return abs(source - start) <= AGREES * start
