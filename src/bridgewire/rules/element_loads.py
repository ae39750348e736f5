"""The cue that loads each element of the wiring most, and how warm its conductors get."""

from __future__ import annotations

from collections.abc import Callable

from attrs import frozen

from bridgewire.circuit.elements import ElementKind
from bridgewire.diagnostics import DocPath
from bridgewire.physics.cable import cable_area_mm2
from bridgewire.physics.conductor_heating import (
    INSULATION_LIMITS,
    HeatLimits,
    adiabatic_end_C,
)
from bridgewire.rules.context import Context
from bridgewire.timeline.outcomes import CueOutcome, Load
from bridgewire.timeline.simulate import UNKNOWN_AMBIENT_C


@frozen
class WorstLoad:
    """An element under the cue that loads it most."""

    cue: CueOutcome
    load: Load
    energised_s: float
    """Time for which the cue drives current, all its pulses together."""


@frozen
class Warmth:
    """Temperature of a conductor at the end of a cue, no heat lost."""

    start_C: float
    end_C: float
    limits: HeatLimits


def energised_s(context: Context, cue: CueOutcome) -> float:
    """How long a cue drives current: its pulse, times its repeats."""
    repeat = context.cue(cue).cue.repeat
    return (cue.pulse_s or 0.0) * (1 + (repeat.times if repeat is not None else 0))


def worst_loads(
    context: Context, kind: ElementKind, weight: Callable[[WorstLoad], float]
) -> list[WorstLoad]:
    """The worst load of every element of a kind, in the order of the cues.

    Parameters
    ----------
    kind : str
        ``contact`` or ``cable``.
    weight : callable
        The larger, the worse.
    """
    worst: dict[tuple[str, DocPath], tuple[float, WorstLoad]] = {}
    for cue in context.cues:
        time_s = energised_s(context, cue)
        for load in cue.loads:
            if load.element.kind != kind:
                continue
            one = WorstLoad(cue, load, time_s)
            key = (load.element.label, load.element.path)
            heavy = weight(one)
            if key not in worst or heavy > worst[key][0]:
                worst[key] = (heavy, one)
    return [one for _, one in worst.values()]


def square_time(one: WorstLoad) -> float:
    """Current squared times time, A² s: what heats a conductor."""
    return one.load.each_A**2 * one.energised_s


def current(one: WorstLoad) -> float:
    """Current through the most loaded conductor or contact, A."""
    return one.load.each_A


def warmth(context: Context, one: WorstLoad) -> Warmth | None:
    """Temperature of a cable's conductor after a cue, from the warmest ambient of the site.

    None where the cable's insulation or cross-section is not known.
    """
    spec = one.load.element.cable
    if spec is None or spec.insulation is None:
        return None
    area = cable_area_mm2(spec)
    if area is None:
        return None
    start = (context.show.site.ambient_C or UNKNOWN_AMBIENT_C).max
    end = adiabatic_end_C(
        one.load.each_A, one.energised_s, area, spec.metal, start, spec.clad_copper_pct
    )
    return Warmth(start, float(end), INSULATION_LIMITS[spec.insulation])
