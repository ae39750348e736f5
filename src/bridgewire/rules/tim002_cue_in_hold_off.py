"""A cue comes while its box, output or way cannot take one.

What it checks
--------------
Every pulse, repeats included, against the pulses of other cues before it on the same box, output
or way (whichever the hold-off of the box covers). The hold-off counts from the end of the earlier
pulse.

Why it matters
--------------
The box ignores the cue, or fires it late; the effect is missing and its igniter stays in the
field.

Model and limits
----------------
While a pulse is on, what the hold-off covers is busy too. Pulses of a box or output that start at
the same moment count as one command and do not block each other. Boxes whose kit profile states
no hold-off are not checked here.

Example
-------
A box with a hold-off of 1 s fires a pulse of 2 s at 10.0 s. It takes the next cue at 13.0 s; a
cue at 12.5 s comes 0.5 s too early.

Do instead
----------
Move the cue, shorten the blocking pulse, or put the cue on another way, output or box, as the
finding says.

Settings
--------
None.

References
----------
None.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from bridgewire.circuit.layout import WayKey
from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.subjects import TIME_KEYS, cue_place
from bridgewire.rules.words import clock_up
from bridgewire.timeline.schedule import Pulse
from bridgewire.units import seconds

RULE = Rule("TIM002", "cue-in-hold-off", Severity.ERROR)

_ROUNDING_S = 1e-6


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each cue that is blocked, for its worst pulse."""
    worst: dict[int, tuple[float, Pulse, Pulse]] = {}
    for box, scope_pulses in _by_scope(context):
        hold = context.box(box)[1].hold_off
        assert hold is not None
        busy: list[Pulse] = []
        for pulse in sorted(scope_pulses, key=lambda p: (p.start_s, p.cue)):
            busy = [b for b in busy if b.end_s + hold.time_s > pulse.start_s + _ROUNDING_S]
            for blocking in busy:
                early = round(blocking.end_s + hold.time_s - pulse.start_s, 6)
                if blocking.cue == pulse.cue or _one_command(blocking, pulse):
                    continue
                if pulse.cue not in worst or early > worst[pulse.cue][0]:
                    worst[pulse.cue] = (early, blocking, pulse)
            busy.append(pulse)
    for cue, (early, blocking, pulse) in sorted(worst.items()):
        yield _finding(context, cue, early, blocking, pulse)


def _by_scope(context: Context) -> Iterator[tuple[str, list[Pulse]]]:
    """Pulses that can block one another."""
    groups: dict[tuple[str | int, ...], list[Pulse]] = defaultdict(list)
    for firing in context.assessment.schedule.firings:
        hold = context.box(firing.box)[1].hold_off
        if hold is None:
            continue
        depth = {"box": 1, "output": 2, "way": 3}[hold.scope]
        for pulse in firing.pulses:
            groups[pulse.way[:depth]].append(pulse)
    for key, pulses in groups.items():
        yield str(key[0]), pulses


def _one_command(a: Pulse, b: Pulse) -> bool:
    return a.way != b.way and abs(a.start_s - b.start_s) <= _ROUNDING_S


def _finding(context: Context, cue: int, early: float, blocking: Pulse, pulse: Pulse) -> Finding:
    show = context.show
    box, kind = context.box(pulse.way[0])
    hold = kind.hold_off
    assert hold is not None
    who, by = show.cue[cue].id, show.cue[blocking.cue].id
    free = clock_up(pulse.start_s + early)
    which = "" if pulse.number == 0 else f"repeat {pulse.number} of "
    what = hold.scope
    return RULE.finding(
        f"{which}cue {who!r} at {pulse.start_s:.3f} s comes {seconds(early)} too early: cue {by!r} "
        f"keeps {what} {repr(box.id) if hold.scope == 'box' else _covered(hold.scope, pulse.way)} "
        f"busy until {free} (pulse until {blocking.end_s:.3f} s and hold-off of "
        f"{seconds(hold.time_s)})",
        cue_place(context, cue, TIME_KEYS if pulse.number == 0 else ("repeat",)),
        measured=pulse.start_s,
        limit=pulse.start_s + early,
        unit="s",
        subjects=(who, by, box.id),
        remedy=f"move cue {who!r} {seconds(early)} later, so that "
        f"{'it switches' if pulse.number == 0 else 'this repeat comes'} at {free} or after, or cue "
        f"{by!r} as much earlier, or fire one of them from another {what}",
    )


def _covered(scope: str, way: WayKey) -> str:
    return "/".join(map(str, way[: {"box": 1, "output": 2, "way": 3}[scope]]))
