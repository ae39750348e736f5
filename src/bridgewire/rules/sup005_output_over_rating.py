"""An output of a box carries more current than it may.

What it checks
--------------
The highest current of each output at any tolerance corner, all ways that are on together, against
`max_output_A` of the box.

Why it matters
--------------
The box may switch off, blow a fuse, or be damaged; then every later cue of that output is lost.

Model and limits
----------------
Where several outputs of a box fire together, the peaks of the ways of one output are added, which
is on the high side if they do not fall together.

Example
-------
Six clip-on igniters in parallel on one output: 11 A, with 10 A allowed.

Do instead
----------
Spread the igniters over outputs or boxes, or fire them one after the other.

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
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.subjects import ADDRESS_KEYS, cue_place
from bridgewire.timeline.loads import output_peaks
from bridgewire.units import amperes, told_apart

RULE = Rule("SUP005", "output-over-rating", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each cue that overloads its output."""
    for cue in context.cues:
        box = context.box_of(cue)
        limit = None if box is None else box[1].max_output_A
        if box is None or cue.way is None or limit is None or not cue.results:
            continue
        output = cue.way[:2]
        peak = max(output_peaks(r).get(output, 0.0) for r in cue.results)
        if peak <= limit:
            continue
        carries, may = told_apart(amperes, peak, limit=limit)
        yield RULE.finding(
            f"under cue {cue.id!r} output {output[1]} of box {box[0].id!r} carries up to "
            f"{carries}; it may carry {may}",
            cue_place(context, cue.cue, ADDRESS_KEYS),
            measured=peak,
            limit=limit,
            unit="A",
            subjects=(cue.id, box[0].id),
            remedy="spread the igniters over outputs or boxes, or fire them one after the other",
        )
