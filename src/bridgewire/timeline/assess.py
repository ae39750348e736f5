"""The whole assessment of a show: lead times, schedule, simulation, pulses that would do."""

from __future__ import annotations

import math

from bridgewire.circuit.layout import Layout, WayKey
from bridgewire.circuit.ways import CircuitBuilder
from bridgewire.timeline.evaluate import evaluate
from bridgewire.timeline.outcomes import Assessment, CueOutcome, Verdict
from bridgewire.timeline.schedule import (
    Schedule,
    cue_igniters,
    fuse_delay_s,
    intended,
    make_schedule,
)
from bridgewire.timeline.simulate import (
    UNKNOWN_AMBIENT_C,
    Progress,
    Simulation,
    simulate,
)


def assess(
    layout: Layout, *, progress: Progress | None = None, seek_pulses: bool = True
) -> Assessment:
    """Compute what every cue of a show does.

    Parameters
    ----------
    layout : Layout
    progress : callable, optional
        Called with firings done and in all.
    seek_pulses : bool
        Whether the pulse that would do is sought for cues that are not sure.

    Returns
    -------
    Assessment
    """
    ambient = layout.show.site.ambient_C or UNKNOWN_AMBIENT_C
    builder = CircuitBuilder(layout, ambient)
    schedule = make_schedule(layout, _leads(layout, builder))
    quick = {c.index for c in layout.cues if c.cue.together}
    simulation = simulate(layout, builder, schedule, quick_cues=quick, progress=progress)
    cues = evaluate(simulation, {})
    needed = _needed_pulses(layout, builder, simulation, cues) if seek_pulses else {}
    if needed:
        cues = evaluate(simulation, needed)
    return Assessment(layout, schedule, simulation, cues)


def _leads(layout: Layout, builder: CircuitBuilder) -> dict[int, float]:
    """How long before its wanted effect each cue without a switching time must switch, s.

    Typical light time plus fuse of the igniter whose effect comes first; where nothing lights,
    the fuse alone.
    """
    timed = [c for c in layout.cues if c.cue.time_s is None]
    if not timed:
        return {}
    leads: dict[int, float] = {}
    for cue in timed:
        delays = [fuse_delay_s(p.igniter.fuse) for p in cue_igniters(layout, cue)]
        leads[cue.index] = min((d[1] for d in delays if d is not None), default=0.0)
    ways = {c.way for c in timed if c.way is not None}
    trial = simulate(layout, builder, make_schedule(layout, leads), only_ways=ways)
    wanted = {c.index for c in timed}
    for outcome in evaluate(trial, {}):
        if outcome.cue in wanted:
            first = min(
                (i.effect.typical for i in outcome.meant if i.effect is not None), default=math.inf
            )
            if math.isfinite(first):
                leads[outcome.cue] = first - outcome.switch_s
    return leads


def _needed_pulses(
    layout: Layout,
    builder: CircuitBuilder,
    simulation: Simulation,
    cues: tuple[CueOutcome, ...],
) -> dict[int, float]:
    """For cues that are not sure: the pulse that lights all their igniters at the worst corner.

    Found by running those cues again with the longest pulse their box offers. Repeated cues and
    overlapping pulses are left out: there a longer pulse changes what else fires.
    """
    longest: dict[int, float] = {}
    ways: set[WayKey] = set()
    alone = {r.firing.pulses[0].cue for r in simulation.results if len(r.firing.pulses) == 1}
    for outcome in cues:
        cue = layout.cues[outcome.cue]
        if cue.cue.repeat is not None or outcome.cue not in alone or cue.way is None:
            continue
        if outcome.verdict not in (Verdict.NO, Verdict.MARGINAL):
            continue
        pulses = layout.boxes[cue.way[0]][1].pulses
        if pulses is None:
            continue
        offered = max(pulses.offered_s) if pulses.offered_s else pulses.max_s
        if offered is None or offered <= (outcome.pulse_s or 0.0):
            continue
        longest[outcome.cue] = offered
        ways.add(cue.way)
    if not longest:
        return {}
    trial = simulate(layout, builder, _longer(layout, simulation.schedule, longest), only_ways=ways)
    needed: dict[int, float] = {}
    for outcome in evaluate(trial, {}):
        if outcome.cue in longest:
            meant = [i for i in outcome.meant if not i.lit_before]
            reached = intended(layout, layout.cues[outcome.cue])
            here = {p.index for p in cue_igniters(layout, layout.cues[outcome.cue])}
            if reached <= here:
                # Where the class's data promise no ignition at that current, no pulse is enough.
                needed[outcome.cue] = max(
                    (i.light.latest if i.verdict is Verdict.SURE else math.inf for i in meant),
                    default=0.0,
                )
    return needed


def _longer(layout: Layout, schedule: Schedule, pulses_s: dict[int, float]) -> Schedule:
    """The same switching times with other pulses."""
    leads = {
        c.index: c.cue.effect_at_s - schedule.switch_s[c.index]
        for c in layout.cues
        if c.cue.effect_at_s is not None
    }
    return make_schedule(layout, leads, pulses_s)
