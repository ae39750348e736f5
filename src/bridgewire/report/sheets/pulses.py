"""What to set on every box: cue by cue, with the pulse in the box's own steps."""

from __future__ import annotations

import math

from attrs import frozen

from bridgewire.circuit.layout import Layout
from bridgewire.model.kit import HoldOff, PulseChoice
from bridgewire.report.figures import number
from bridgewire.timeline.outcomes import CueOutcome
from bridgewire.timeline.schedule import way_exists


@frozen
class PulseRow:
    """One cue on one box.

    Attributes
    ----------
    box, cue : str
    time_s : float
        When the box switches, on the show's clock.
    output, way : int
    pulse_s : float or None
        None where neither cue nor igniter class says.
    setting : str
        The pulse in the box's own steps, or why it cannot be set.
    offered : bool or None
        Whether the box offers it; None where that is not known.
    repeats : int
        How many more times.
    gap_s : float or None
        Pause before each repeat.
    hold_off : str
        What takes no other cue after the last pulse, and how long.
    free_at_s : float or None
        When that is over, on the show's clock; None where not known.
    igniters, lights : str
    verdict : str
    """

    box: str
    cue: str
    time_s: float
    output: int
    way: int
    pulse_s: float | None
    setting: str
    offered: bool | None
    repeats: int
    gap_s: float | None
    hold_off: str
    free_at_s: float | None
    igniters: str
    lights: str
    verdict: str


def pulse_rows(layout: Layout, cues: tuple[CueOutcome, ...]) -> tuple[PulseRow, ...]:
    """List the cues of all boxes that have a way, by box and then by time.

    Parameters
    ----------
    layout : Layout
    cues : tuple of CueOutcome
        As checked.
    """
    rows: list[PulseRow] = []
    order = {box: i for i, box in enumerate(layout.boxes)}
    for outcome in cues:
        if outcome.way is None:
            continue
        box, output, way = outcome.way
        kind = layout.boxes[box][1]
        repeat = layout.show.cue[outcome.cue].repeat
        repeats, gap = (0, None) if repeat is None else (repeat.times, repeat.gap_s)
        offered, setting = setting_text(kind.pulses, outcome.pulse_s)
        if not way_exists(layout, outcome.way):
            offered, setting = False, "NO SUCH WAY"
        free = None
        if outcome.pulse_s is not None and kind.hold_off is not None:
            pulses = (1 + repeats) * outcome.pulse_s + repeats * (gap or 0.0)
            free = outcome.switch_s + pulses + kind.hold_off.time_s
        meant = outcome.meant
        named = [layout.show.igniter[i.igniter].lights for i in meant]
        rows.append(
            PulseRow(
                box,
                outcome.id,
                outcome.switch_s,
                output,
                way,
                outcome.pulse_s,
                setting,
                offered,
                repeats,
                gap,
                hold_off_text(kind.hold_off),
                free,
                ", ".join(i.id for i in meant),
                ", ".join(dict.fromkeys(n for n in named if n)),
                "no igniter" if outcome.verdict is None else outcome.verdict.value,
            )
        )
    rows.sort(key=lambda r: (order[r.box], r.time_s, r.output, r.way))
    return tuple(rows)


def setting_text(pulses: PulseChoice | None, pulse_s: float | None) -> tuple[bool | None, str]:
    """Whether a box offers a pulse, and how it is set.

    >>> setting_text(PulseChoice(min_s=0.05, max_s=4.0, step_s=0.05), 0.5)
    (True, '10 × 0.05 s')
    >>> setting_text(PulseChoice(min_s=0.02, max_s=1.0, step_s=0.05), 0.12)
    (True, '0.02 s + 2 × 0.05 s')
    >>> setting_text(PulseChoice(offered_s=(0.02, 0.05, 0.1)), 0.05)
    (True, 'no. 2 of 3')
    >>> setting_text(PulseChoice(offered_s=(0.02, 0.05, 0.1)), 0.07)
    (False, 'NOT OFFERED; next longer 0.1 s')
    """
    if pulse_s is None:
        return None, "PULSE NOT STATED"
    if pulses is None:
        return None, "steps not known"
    if not pulses.offers(pulse_s):
        longer = pulses.shortest_at_least(pulse_s)
        after = "none is longer" if longer is None else f"next longer {_exact(longer)} s"
        return False, f"NOT OFFERED; {after}"
    if pulses.offered_s:
        inorder = sorted(pulses.offered_s)
        nearest = min(range(len(inorder)), key=lambda i: abs(inorder[i] - pulse_s))
        return True, f"no. {nearest + 1} of {len(inorder)}"
    assert pulses.min_s is not None
    assert pulses.max_s is not None
    if pulses.step_s is None:
        return True, f"any, {_exact(pulses.min_s)} to {_exact(pulses.max_s)} s"
    steps = pulse_s / pulses.step_s
    if math.isclose(steps, round(steps), abs_tol=1e-6):
        return True, f"{round(steps)} × {_exact(pulses.step_s)} s"
    beyond = round((pulse_s - pulses.min_s) / pulses.step_s)
    return True, f"{_exact(pulses.min_s)} s + {beyond} × {_exact(pulses.step_s)} s"


def hold_off_text(hold_off: HoldOff | None) -> str:
    """What takes no other cue, and how long.

    >>> hold_off_text(HoldOff("way", 0.5)), hold_off_text(None)
    ('way 0.5 s', 'not known')
    """
    if hold_off is None:
        return "not known"
    return f"{hold_off.scope} {number(hold_off.time_s)} s"


def _exact(value: float) -> str:
    return f"{value:.6g}"
