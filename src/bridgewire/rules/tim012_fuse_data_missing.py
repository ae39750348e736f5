"""The moment of an effect is wanted, but nothing tells how long its fuse burns.

What it checks
--------------
For cues with `effect_at_s`: every igniter they mean must have a known time from ignition to
effect. A clip-on igniter sits on a fuse, so one without a `fuse` table counts as unknown.

Why it matters
--------------
The switching time is worked out from the fuse. Without its data the effect comes late by the
whole fuse.

Model and limits
----------------
Electric matches and bridge igniters without a `fuse` are taken to sit in the effect itself, with
no delay.

Example
-------
A cue with `effect_at_s` on a clip-on nichrome igniter that has no `fuse`.

Do instead
----------
State `fuse = { length_mm = ..., burn_mm_per_s = { min = ..., max = ... } }` or `fuse = { delay_s
= ... }`. Burn a measured length of the same reel to get the rate.

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
from bridgewire.timeline.schedule import fuse_delay_s

RULE = Rule("TIM012", "fuse-data-missing", Severity.WARNING)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each igniter of unknown fuse under a cue that wants an effect."""
    placed = {p.index: p for p in context.layout.igniters}
    seen: set[int] = set()
    for cue in context.cues:
        if context.show.cue[cue.cue].effect_at_s is None:
            continue
        for outcome in cue.meant:
            p = placed[outcome.igniter]
            fuse = p.igniter.fuse
            on_fuse = p.klass.kind == "clip-on-nichrome"
            if p.index in seen or (
                fuse_delay_s(fuse) is not None and not (fuse is None and on_fuse)
            ):
                continue
            seen.add(p.index)
            why = "states no fuse" if fuse is None else "has a fuse whose burning time is not known"
            yield RULE.finding(
                f"cue {cue.id!r} wants its effect at a stated time, but igniter {p.id!r} {why}",
                p.path if fuse is None else (*p.path, "fuse"),
                subjects=(cue.id, p.id),
                remedy="state its fuse: length_mm and burn_mm_per_s, or delay_s",
            )
