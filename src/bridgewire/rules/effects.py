"""How far the effects of a cue are from the wanted time."""

from __future__ import annotations

import math
from collections.abc import Iterator

from attrs import frozen

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.subjects import TIME_KEYS, cue_place
from bridgewire.rules.words import seconds_up
from bridgewire.timeline.outcomes import CueOutcome, IgniterOutcome, Times
from bridgewire.units import seconds, told_apart


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
        """By how much the cue must move, in words; never to before the show starts."""
        low = -self.tolerance_s - min(e.error.earliest for e in self.errors)
        high = self.tolerance_s - max(e.error.latest for e in self.errors)
        switch_s = self.cue.switch_s
        best_s = max(switch_s + 0.5 * (low + high), 0.0)
        way = "later" if best_s > switch_s else "earlier"
        move = (
            f"switch {seconds(abs(best_s - switch_s))} {way}, at time_s = {best_s:.3f} "
            "(state it beside effect_at_s)"
        )
        if low > high:
            spread = 2.0 * self.tolerance_s - (high - low)
            least = "" if best_s == switch_s else f"; the least error comes from: {move}"
            return (
                f"no switching time is enough: the effects spread over {seconds(spread)} and "
                f"{seconds(2.0 * self.tolerance_s)} are allowed; split the cue, or use igniters "
                f"and fuses of narrower tolerance{least}"
            )
        too_late = -(switch_s + high)
        if too_late > 1e-9:
            return (
                f"even a cue at the start of the show is {seconds_up(too_late)} too late: shorten "
                "the fuse, use a faster igniter, want the effect that much later, or start the "
                "show's clock earlier"
            )
        return move


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


def off_time(context: Context, rule: Rule, *, late: bool) -> Iterator[Finding]:
    """Findings for cues with an effect that is too late (or too early), the worst of each cue."""
    sign, word = (1.0, "late") if late else (-1.0, "early")
    for effects in cue_effects(context):
        ends = [(sign * (e.error.latest if late else e.error.earliest), e) for e in effects.errors]
        by, worst = max(ends, key=lambda pair: pair[0])
        if by <= effects.tolerance_s + 1e-9:
            continue
        typical = max(sign * e.error.typical for e in effects.errors)
        cue = effects.cue
        most, allowed = told_apart(seconds, by, limit=effects.tolerance_s)
        yield rule.finding(
            f"the effect of {worst.igniter.id!r} comes up to {most} {word} under cue "
            f"{cue.id!r} (typically {_against_time(worst.error.typical)}); "
            f"{allowed} is allowed",
            cue_place(context, cue.cue, TIME_KEYS),
            severity=Severity.ERROR if typical > effects.tolerance_s else Severity.WARNING,
            measured=by,
            limit=effects.tolerance_s,
            unit="s",
            subjects=(cue.id, worst.igniter.id),
            remedy=effects.advice(),
        )


def _against_time(error_s: float) -> str:
    if abs(error_s) < 5e-4:
        return "on time"
    return f"{seconds(abs(error_s))} {'late' if error_s > 0 else 'early'}"
