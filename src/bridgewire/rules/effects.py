"""How far the effects of a cue are from the wanted time."""

from __future__ import annotations

import math
from collections.abc import Iterator

from attrs import frozen

from bridgewire.rules.context import Context
from bridgewire.timeline.outcomes import CueOutcome, IgniterOutcome, Times
from bridgewire.units import seconds


@frozen
class EffectError:
    """One igniter's effect against the wanted time, s; late is positive."""

    igniter: IgniterOutcome
    error: Times


@frozen
class CueEffects:
    """All effects of one cue that are seen."""

    cue: CueOutcome
    tolerance_s: float
    errors: tuple[EffectError, ...]

    def advice(self) -> str:
        """By how much the cue must move, in words."""
        low = -self.tolerance_s - min(e.error.earliest for e in self.errors)
        high = self.tolerance_s - max(e.error.latest for e in self.errors)
        shift = 0.5 * (low + high)
        way = "later" if shift > 0 else "earlier"
        move = (
            f"switch {seconds(abs(shift))} {way}, at time_s = {self.cue.switch_s + shift:.3f} "
            "(state it beside effect_at_s)"
        )
        if low <= high:
            return move
        spread = 2.0 * self.tolerance_s - (high - low)
        return (
            f"no switching time is enough: the effects spread over {seconds(spread)} and "
            f"{seconds(2.0 * self.tolerance_s)} are allowed; split the cue, or use igniters and "
            f"fuses of narrower tolerance; the least error comes from: {move}"
        )


def cue_effects(context: Context) -> Iterator[CueEffects]:
    """Cues that want an effect at a stated time, with their errors.

    Igniters that do not light, or whose fuse is not known, are left out. Where an igniter lights
    at typical values only, its latest error is the typical one.
    """
    tolerance = context.requirements.effect_tolerance_s
    if tolerance is None:
        return
    for cue in context.cues:
        wanted = context.show.cue[cue.cue].effect_at_s
        if wanted is None:
            continue
        errors: list[EffectError] = []
        for i in cue.meant:
            if i.lit_before or i.effect is None or not math.isfinite(i.effect.typical):
                continue
            latest = i.effect.latest if math.isfinite(i.effect.latest) else i.effect.typical
            seen = Times(i.effect.earliest, i.effect.typical, latest)
            errors.append(EffectError(i, seen.shifted(-wanted, -wanted, -wanted)))
        if errors:
            yield CueEffects(cue, tolerance, tuple(errors))
