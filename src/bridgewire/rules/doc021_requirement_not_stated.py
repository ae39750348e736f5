"""A requirement is not stated, so nothing is judged against it.

What it checks
--------------
Whether the show says how much margin it wants, how late an igniter may light, how far apart
igniters of cues marked together may light, and how far from the wanted time an effect may be
seen.

Why it matters
--------------
Rules that need such a limit stay silent without it, and silence is no approval.

Model and limits
----------------
One finding for the whole show. A limit that every cue states for itself counts. The spread is
asked for only where cues are marked together, the effect tolerance only where cues state
effect_at_s.

Example
-------
A show with cues marked together = true and no spread_s anywhere: igniters that light half a
second apart pass without a word.

Do instead
----------
State the limits in the table requirements. A margin of 1.2 and a spread of 0.1 s are a start:
common practice, no source.

Settings
--------
None.

References
----------
None: a rule of the show format.
"""

from __future__ import annotations

from collections.abc import Iterator

from bridgewire.diagnostics import DocPath, Finding, Severity
from bridgewire.model.show import Requirements
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context

RULE = Rule("DOC021", "requirement-not-stated", Severity.INFO)


def check(context: Context) -> Iterator[Finding]:
    """Yield one finding that names every requirement which nobody states."""
    lacking = list(_lacking(context))
    if not lacking:
        return
    given = context.requirements
    path: DocPath = () if given == Requirements() else ("requirements",)
    keys = ", ".join(key for key, _ in lacking)
    yield RULE.finding(
        f"not judged, because the show does not state it: {'; '.join(w for _, w in lacking)}",
        path,
        measured=float(len(lacking)),
        limit=0.0,
        remedy=f"state in [requirements]: {keys}",
        subjects=tuple(key for key, _ in lacking),
    )


def _lacking(context: Context) -> Iterator[tuple[str, str]]:
    """Keys that no requirement and no cue states, and what goes unjudged."""
    given, cues = context.requirements, context.show.cue
    if not cues:
        return
    if given.margin is None:
        yield "margin", "how much current to spare each igniter needs"
    loose = [c for c in cues if c.together and c.spread_s is None]
    if given.spread_s is None and loose:
        yield "spread_s", f"how far apart igniters of {_cues(len(loose))} may light together"
    open_ended = [c for c in cues if c.latest_light_s is None]
    if given.latest_light_s is None and open_ended:
        yield "latest_light_s", f"how late igniters of {_cues(len(open_ended))} may light"
    timed = [c for c in cues if c.effect_at_s is not None]
    if given.effect_tolerance_s is None and timed:
        yield "effect_tolerance_s", f"how far off time effects of {_cues(len(timed))} may be"


def _cues(count: int) -> str:
    return f"{count} cue{'s' if count != 1 else ''}"
