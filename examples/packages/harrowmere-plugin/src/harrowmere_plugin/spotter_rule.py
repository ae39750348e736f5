"""A cue is wider than one spotter can see.

What it checks
--------------
How far apart the strips are whose igniters one cue means to light.

Why it matters
--------------
The society puts one spotter on each cue. Who cannot see all of it cannot say that all of it lit,
and nobody may go near until that is known.

Model and limits
----------------
Straight distance between the coordinates of the strips, on a plane. Strips without coordinates do
not count, and neither do trees in the way.

Example
-------
Comets on the west and the east bank, 60 m apart, on one way.

Do instead
----------
Fire them by two cues, each with a spotter of its own, or move the strips together.

Settings
--------
None. 25 m are the society's own rule.

References
----------
Standing orders of the Harrowmere Lantern Society, which is invented.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from bridgewire.plugins import Context, Finding, Rule, Severity

RULE = Rule("XHA001", "cue-wider-than-a-spotter-sees", Severity.WARNING)
SEEN_M = 25.0


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each cue whose strips are further apart than one spotter can see."""
    places = _strip_places(context)
    for cue in context.cues:
        strips = {context.show.igniter[i.igniter].at.rpartition("/")[0] for i in cue.meant}
        known = sorted(strips & places.keys())
        apart = [
            (math.dist(places[a], places[b]), a, b)
            for n, a in enumerate(known)
            for b in known[n + 1 :]
        ]
        if not apart:
            continue
        distance, one, other = max(apart)
        if distance > SEEN_M:
            yield RULE.finding(
                f"cue {cue.id!r} lights igniters on {one!r} and {other!r}, {distance:.1f} m apart; "
                f"one spotter sees {SEEN_M:g} m",
                ("cue", cue.cue),
                measured=distance,
                limit=SEEN_M,
                unit="m",
                subjects=(cue.id, one, other),
                remedy=f"fire {one!r} and {other!r} by two cues, each with a spotter of its own",
            )


def _strip_places(context: Context) -> dict[str, tuple[float, float]]:
    positions = {p.id: p.at_m for p in context.show.position}
    found: dict[str, tuple[float, float]] = {}
    for strip in context.show.strip:
        place = strip.at_m or positions.get(strip.position or "")
        if place is not None:
            found[strip.id] = place
    return found
