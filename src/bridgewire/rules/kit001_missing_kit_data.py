"""A kit profile lacks a value that the circuit needs.

What it checks
--------------
Every resistance, current and heating value on the way from a supply to an igniter: supply,
switch, named contacts, cable, igniter. Each value is reported once, in the kit profile, with the
ways that need it.

Why it matters
--------------
Nothing is filled in. Igniters behind the gap get the verdict unknown, and a show with unknown
igniters is not checked.

Model and limits
----------------
A box's capacity, cold curve and charge curve do not stop the calculation. Without them the sag of
the battery is not judged, and the finding is a warning.

Example
-------
A cable without gauge, area and ohm_per_m.

Do instead
----------
Measure the value: a known current through 10 m of the cable and the voltage along it is enough.
State it with a tolerance and say under sources where it comes from.

Settings
--------
None.

References
----------
None: a rule of kit profiles.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.circuit.elements import Missing
from bridgewire.circuit.ways import CircuitBuilder
from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.kit_items import NOUNS, used_items
from bridgewire.rules.subjects import names, way_name
from bridgewire.timeline.schedule import way_exists

RULE = Rule("KIT001", "missing-kit-data", Severity.ERROR)

_OTHER_RULES = ("contact_ohm", "inner_ohm", "consistent heating data")
"""Reported by KIT002, KIT003 and KIT007."""


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each value that a kit profile lacks, once."""
    tables = {noun: table for table, noun in NOUNS.items()}
    items = {(item.table, item.full_id): item for item in used_items(context)}
    for (noun, full_id, key), (missing, where) in _missing(context).items():
        item = items.get((tables.get(noun, ""), full_id))
        if item is None:
            continue
        effect = "not known" if missing.blocks else "not judged"
        yield RULE.finding(
            f"{item.label} does not state {key}, so this is {effect} for {names(where)}: "
            f"{missing.prevents}",
            item.around(key.split(" ")[0]),
            document=item.document,
            severity=RULE.severity if missing.blocks else Severity.WARNING,
            subjects=(full_id, *dict.fromkeys(where)),
            remedy=f"measure or look up {key} of {full_id!r} and state it with its tolerance and "
            "source",
        )


def _missing(context: Context) -> dict[tuple[str, str, str], tuple[Missing, list[str]]]:
    """Every value missing from a kit profile, and the ways and boxes that need it."""
    simulation = context.assessment.simulation
    builder = CircuitBuilder(context.layout, simulation.ambient_C)
    found: dict[tuple[str, str, str], tuple[Missing, list[str]]] = {}

    def note(missing: Missing, where: str) -> None:
        if missing.document == "show" or missing.key in _OTHER_RULES:
            return
        if missing.key.startswith("model "):  # PLG005 reports it
            return
        key = (missing.noun, missing.item, missing.key)
        found.setdefault(key, (missing, []))[1].append(where)

    for way in context.layout.by_way:
        if not way_exists(context.layout, way):
            continue
        circuit = simulation.ways.get(way) or builder.way(way)
        for missing in circuit.missing:
            note(missing, way_name(way))
    for box, (_, lacks) in simulation.supplies.items():
        for missing in lacks:
            note(missing, box)
    return found
