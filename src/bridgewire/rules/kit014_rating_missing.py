"""A kit entry lacks a limit that it should be judged by.

What it checks
--------------
The kit entries in use: the rated current of contacts and cables, a cable's insulation, size and
longest piece, how many leads a strip's terminal takes, and a box's least supply voltage and
largest output current.

Why it matters
--------------
Rules about overload, heating, length and sag stay silent where the limit is not stated, and
silence is no approval.

Model and limits
----------------
One finding for each entry. Values that the circuit itself needs are a matter of KIT001.

Example
-------
A contact with a resistance but without rated_A.

Do instead
----------
State the maker's figures. Where there are none, state what the club allows itself and say so
under sources.

Settings
--------
None.

References
----------
None: a rule of kit profiles.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bridgewire.diagnostics import Finding, Severity
from bridgewire.physics.cable import cable_area_mm2
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.kit_items import (
    AnyEntry,
    KitItem,
    used_boxes,
    used_cables,
    used_contacts,
    used_strips,
)

RULE = Rule("KIT014", "rating-missing", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each used kit entry that lacks a limit to judge it by."""
    for item, lacking in _lacking(context):
        if lacking:
            yield RULE.finding(
                f"{item.label} does not state {', '.join(k for k, _ in lacking)}; for want of "
                f"{'it' if len(lacking) == 1 else 'them'} this is not judged: "
                f"{', '.join(w for _, w in lacking)}",
                item.path,
                document=item.document,
                measured=float(len(lacking)),
                limit=0.0,
                subjects=(item.full_id,),
                remedy="state the maker's figures, or what the club allows itself, with the source",
            )


Lacking = list[tuple[str, str]]
"""Keys that are not stated, and what cannot be judged without them."""


def _lacking(context: Context) -> Iterator[tuple[KitItem[AnyEntry], Lacking]]:
    for contact in used_contacts(context):
        keys = [("rated_A", contact.entry.rated_A, "current through it")]
        yield contact, _absent(keys)
    for cable in used_cables(context):
        spec = cable.entry
        yield (
            cable,
            _absent(
                [
                    ("rated_A", spec.rated_A, "steady current"),
                    ("insulation", spec.insulation, "heating in a pulse"),
                    ("gauge_awg or area_mm2", cable_area_mm2(spec), "thickness"),
                    ("max_length_m", spec.max_length_m, "length of runs"),
                ]
            ),
        )
    for strip in used_strips(context):
        key = "leads_per_terminal"
        yield strip, _absent([(key, strip.entry.leads_per_terminal, "full terminals")])
    for box in used_boxes(context):
        yield (
            box,
            _absent(
                [
                    ("min_supply_V", box.entry.min_supply_V, "sag of the supply"),
                    ("max_output_A", box.entry.max_output_A, "current of an output"),
                ]
            ),
        )


def _absent(keys: Sequence[tuple[str, object, str]]) -> Lacking:
    return [(key, why) for key, value, why in keys if value is None]
