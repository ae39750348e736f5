"""One igniter under one cue, in words."""

from __future__ import annotations

import math

from bridgewire.report.cue_table import spent
from bridgewire.report.figures import number
from bridgewire.report.ink import PLAIN, Ink
from bridgewire.report.plain_text import clip_middle, pad, visible, wrap
from bridgewire.timeline.outcomes import CueOutcome, EndState, IgniterOutcome, Proof, Verdict
from bridgewire.units import amperes, seconds, volts

_INDENT = 4
_NAME = 16
_VERDICT = 8

_END = {
    EndState.OPEN: "burns open",
    EndState.CLOSED: "stays closed",
    EndState.SHORTED: "ends shorted",
    EndState.RESIDUAL: "ends at a residual resistance",
}


def igniter_lines(igniter: IgniterOutcome, width: int = 80, ink: Ink = PLAIN) -> list[str]:
    """Write what comes of an igniter as an indented block.

    Parameters
    ----------
    igniter : IgniterOutcome
    width : int
    ink : Ink
    """
    name = pad(clip_middle(visible(igniter.id), _NAME), _NAME)
    word = igniter.verdict.value if igniter.intended else "not meant"
    start = _INDENT + _NAME + 1 + _VERDICT + 2
    text = ". ".join(part for part in sentences(igniter) if part)
    lines = wrap(f"{text}.", width, " " * start)
    head = f"{' ' * _INDENT}{name} {ink.verdict(igniter.verdict, pad(word, _VERDICT))}  "
    return [head + lines[0][start:], *lines[1:]]


def sentences(igniter: IgniterOutcome) -> list[str]:
    """What comes of an igniter, sentence by sentence, without full stops."""
    if igniter.verdict is Verdict.UNKNOWN:
        return ["A value is missing, so nobody can tell"]
    if spent(igniter):
        return ["Already lit by an earlier cue"]
    if igniter.terminal_A is None:
        return ["Gets no current from this cue"]
    parts = [_light(igniter), _proof(igniter), _margin(igniter), _current(igniter), _lost(igniter)]
    if igniter.waits_for:
        parts.append(f"Lights only after {_list(igniter.waits_for)} burned open")
    if igniter.broken_by:
        others = tuple("another of its string" if n == igniter.id else n for n in igniter.broken_by)
        parts.append(f"Cut off at the worst corner when {_list(others)} burns open")
    if igniter.loaded_by:
        parts.append(f"Shares the way with {_list(igniter.loaded_by)}, lit before and still closed")
    return parts


def _light(igniter: IgniterOutcome) -> str:
    light = igniter.light
    if math.isinf(light.typical):
        sooner = "" if math.isinf(light.earliest) else f" (at best after {seconds(light.earliest)})"
        return f"Does not light{sooner}: {_peak(igniter)}"
    latest = "never" if math.isinf(light.latest) else f"after {seconds(light.latest)}"
    when = f"Lights typically after {seconds(light.typical)}"
    when += f", earliest {seconds(light.earliest)}, at the worst corner {latest}"
    end = _END.get(igniter.end_state)
    if end is None:
        return when
    worst = _END.get(igniter.worst_end_state)
    if worst is not None and worst != end:
        return f"{when}; {end}, at worst {worst}"
    return f"{when}; {end}"


def _proof(igniter: IgniterOutcome) -> str:
    """What the latest light time rests on, where that is less than a proof."""
    open_ = igniter.proof is Proof.SEARCHED and math.isfinite(igniter.light.latest)
    return "Times searched within the tolerances, not proven" if open_ else ""


def _peak(igniter: IgniterOutcome) -> str:
    if igniter.peak_rise is None:
        return "peak not known"
    peak = f"reaches {100.0 * igniter.peak_rise:.0f} % of the rise that lights it"
    return peak if igniter.peak_C is None else f"{peak} ({igniter.peak_C:z.0f} °C)"


def _margin(igniter: IgniterOutcome) -> str:
    if igniter.margin is None:
        return ""
    text = f"Margin {number(igniter.margin)} at worst"
    if igniter.margin_typical is not None:
        text += f", {number(igniter.margin_typical)} typical"
    return text


def _current(igniter: IgniterOutcome) -> str:
    if igniter.terminal_A is None or igniter.terminal_V is None:
        return ""
    return f"At its terminal {amperes(igniter.terminal_A)} and {volts(igniter.terminal_V)}"


def _lost(igniter: IgniterOutcome) -> str:
    """The one or two elements that cost most; a second only if it matters."""
    drops = [d for d in igniter.drops[:2] if d.volts >= 0.25 * igniter.drops[0].volts]
    if not drops:
        return ""
    return "Loses " + " and ".join(f"{volts(d.volts)} in {visible(d.label)}" for d in drops)


def _list(names: tuple[str, ...]) -> str:
    shown = [visible(n) for n in names[:3]]
    more = len(names) - len(shown)
    return ", ".join(shown) + (f" and {more} more" if more else "")


def cue_notes(cue: CueOutcome) -> list[str]:
    """What is to be said about a cue as a whole, as sentences."""
    notes: list[str] = []
    if cue.needed_pulse_s is not None and math.isfinite(cue.needed_pulse_s):
        notes.append(
            f"A pulse of {seconds(cue.needed_pulse_s)} would light all at the worst corner."
        )
    elif cue.needed_pulse_s is not None:
        notes.append("No pulse that the box offers lights all at the worst corner.")
    lacks = [f"{m.key} of {m.noun} {m.item}" for m in cue.missing if m.blocks]
    if lacks:
        more = f" and {len(lacks) - 3} more" if len(lacks) > 3 else ""
        notes.append(f"Missing: {visible(', '.join(lacks[:3]))}{more}.")
    if cue.pulse_s is None:
        notes.append("Neither the cue nor the igniter class states a pulse.")
    return notes
