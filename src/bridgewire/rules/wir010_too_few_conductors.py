"""A cable has fewer conductors than its ways need.

What it checks
--------------
For each run the ways that carry igniters behind it, and the conductors that the box's path map
needs for them, against the conductors of the cable. Extra leads need two.

Why it matters
--------------
The ways without a conductor do not fire. Somebody may also join returns on the field that the
calculation keeps apart.

Model and limits
----------------
Only ways in use behind the run count, not all ways of the output. Cables in parallel do not add
ways: their conductors are joined.

Example
-------
Three ways as pairs need six conductors; a two-core cable carries one.

Do instead
----------
Use a cable of more conductors, or spread the ways over outputs.

Settings
--------
None.

References
----------
None: the path map of the kit profile.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import Finding, Severity
from bridgewire.model.kit import PathMap
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.wiring import path_map_of, run_label, run_subjects, ways_behind
from bridgewire.rules.words import count

RULE = Rule("WIR010", "too-few-conductors", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each run and extra lead with fewer conductors than its ways need."""
    behind = ways_behind(context)
    for i, run in enumerate(context.show.run):
        path_map = path_map_of(context, context.layout.parts[run.to])
        have, ways = context.layout.run_cables[i].conductors, behind[run.to]
        if path_map is None or not ways:
            continue
        need = conductors_for(path_map, ways)
        if have >= need:
            continue
        yield RULE.finding(
            f"{run_label(run)} has {count(have, 'conductor')} in {run.cable!r}, but the "
            f"{count(len(ways), 'way behind it needs', 'ways behind it need')} {need} "
            f"({path_map.map})",
            ("run", i, "cable"),
            measured=float(have),
            limit=float(need),
            subjects=run_subjects(run),
            remedy=f"use a cable of {need} conductors or more, or move ways to another output",
        )
    for placed in context.layout.igniters:
        ref = placed.igniter.lead_cable
        lead = None if ref is None else context.catalogue.cables.get(ref)
        if lead is not None and lead.conductors < 2:
            yield RULE.finding(
                f"the extra lead of {placed.id!r} has {lead.conductors} conductor in {ref!r}, but "
                "an igniter needs 2",
                (*placed.path, "lead_cable"),
                measured=float(lead.conductors),
                limit=2.0,
                subjects=(placed.id,),
                remedy="use a cable of two conductors",
            )


def conductors_for(path_map: PathMap, ways: set[int]) -> int:
    """Conductors that some ways need in a cable.

    >>> conductors_for(PathMap("pair"), {1, 4})
    4
    >>> conductors_for(PathMap("matrix", rows=4, columns=4), {1, 2, 5})
    4
    """
    feed, back = path_map.feed_conductors, path_map.return_conductors
    if path_map.map != "matrix" or not path_map.columns:
        return path_map.conductors_needed(len(ways))
    rows = {(w - 1) // path_map.columns for w in ways}
    columns = {(w - 1) % path_map.columns for w in ways}
    return len(rows) * feed + len(columns) * back
