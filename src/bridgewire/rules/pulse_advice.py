"""Which pulse would do, in words."""

from __future__ import annotations

import math

from bridgewire.model.kit import PulseChoice
from bridgewire.rules.context import Context
from bridgewire.timeline.outcomes import CueOutcome
from bridgewire.units import seconds


def longest_offered(pulses: PulseChoice) -> float | None:
    """The longest pulse that a box offers, s."""
    return max(pulses.offered_s) if pulses.offered_s else pulses.max_s


def longest_up_to(pulses: PulseChoice, pulse_s: float) -> float | None:
    """The longest pulse on offer that is not longer than `pulse_s`, or None.

    >>> longest_up_to(PulseChoice(offered_s=(0.5, 1.0, 2.0)), 1.4)
    1.0
    >>> longest_up_to(PulseChoice(min_s=0.5, max_s=4.0, step_s=0.5), 1.4)
    1.0
    """
    if pulses.offered_s:
        return max((p for p in pulses.offered_s if p <= pulse_s + 1e-9), default=None)
    if pulses.min_s is None or pulses.max_s is None or pulse_s < pulses.min_s - 1e-9:
        return None
    value = min(pulse_s, pulses.max_s)
    if pulses.step_s is None:
        return value
    return pulses.min_s + math.floor((value - pulses.min_s + 1e-9) / pulses.step_s) * pulses.step_s


def pulse_that_does(context: Context, cue: CueOutcome) -> float | None:
    """Shortest pulse on offer that lights all igniters of a cue at the worst corner, s.

    None where there is none or where it was not sought.
    """
    box = context.box_of(cue)
    if box is None or box[1].pulses is None or cue.needed_pulse_s is None:
        return None
    return box[1].pulses.shortest_at_least(cue.needed_pulse_s)


def pulse_advice(context: Context, cue: CueOutcome) -> str:
    """Say which pulse would do, or that none does."""
    box = context.box_of(cue)
    pulses = None if box is None else box[1].pulses
    longest = None if pulses is None else longest_offered(pulses)
    if longest is None or cue.pulse_s is None:
        return "state in the kit which pulses the box offers, so that a longer one can be sought"
    found = pulse_that_does(context, cue)
    if found is not None:
        return (
            f"set pulse_s = {found:g}, the shortest pulse this box offers that lights all igniters "
            "of this cue at the worst corner"
        )
    if cue.needed_pulse_s is None:
        if cue.pulse_s >= longest - 1e-9:
            return f"{seconds(longest)} is the longest pulse this box offers"
        return (
            "a longer pulse may do; which one was not sought, because the cue repeats or its "
            "pulse overlaps another"
        )
    return (
        f"no pulse this box offers (up to {seconds(longest)}) lights all igniters of this cue at "
        "the worst corner"
    )
