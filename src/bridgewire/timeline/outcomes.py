"""What a check finds out about every igniter and cue: plain frozen data for rules and reports.

Times of igniters count from the moment the box switches for the cue, s. ``inf`` means never.
"""

from __future__ import annotations

import enum
import math

from attrs import define, field, frozen

from bridgewire.circuit.elements import Element, Missing
from bridgewire.circuit.layout import Layout, WayKey
from bridgewire.diagnostics import DocPath
from bridgewire.physics.laws import ModelFault
from bridgewire.timeline.charge import Volts
from bridgewire.timeline.results import FiringResult
from bridgewire.timeline.schedule import Schedule
from bridgewire.timeline.simulate import Simulation
from bridgewire.units import seconds, significant


class Verdict(enum.Enum):
    """Whether an igniter lights within its pulse.

    Examples
    --------
    >>> [verdict.value for verdict in Verdict]
    ['sure', 'marginal', 'no', 'unknown']
    """

    SURE = "sure"
    """Even at the worst tolerance corner."""
    MARGINAL = "marginal"
    """At typical values, but not at the worst corner."""
    NO = "no"
    """Not even at typical values."""
    UNKNOWN = "unknown"
    """A value is missing, so nobody can tell."""


class Proof(enum.Enum):
    """How the light-time band and the verdict of an igniter were established."""

    PROVEN = "proven"
    """No values within the tolerances light it outside the band."""
    SEARCHED = "searched"
    """A search of the tolerances found none that do."""


class EndState(enum.Enum):
    """What an igniter is after a cue."""

    UNLIT = "unlit"
    CLOSED = "closed"
    """Lit, but its bridge still conducts."""
    OPEN = "open"
    SHORTED = "shorted"
    RESIDUAL = "residual"
    UNKNOWN = "unknown"


@frozen
class Times:
    """Earliest (best corner), typical and latest (worst corner), s; ``inf`` = never."""

    earliest: float
    typical: float
    latest: float

    def shifted(self, low: float, typical: float, high: float) -> Times:
        """Add a band of delays."""
        return Times(self.earliest + low, self.typical + typical, self.latest + high)


NEVER = Times(math.inf, math.inf, math.inf)


@frozen
class Drop:
    """Voltage lost in one element of an igniter's path."""

    label: str
    volts: float
    path: DocPath


@frozen
class IgniterOutcome:
    """One igniter entry under one cue."""

    igniter: int
    """Index in the show."""
    id: str
    intended: bool
    """Whether the cue means to light it."""
    verdict: Verdict
    lit_before: bool = False
    """Typically lit by an earlier cue already."""
    light: Times = NEVER
    effect: Times | None = None
    """When its effect is seen, s on the show's clock; None where the fuse's data are missing."""
    proof: Proof | None = None
    """How `light` and `verdict` were established; None where there is nothing to establish or
    only corners were tried."""
    margin: float | None = None
    """Delivered over required current at the worst corner; None where unknown or spent."""
    margin_typical: float | None = None
    end_state: EndState = EndState.UNKNOWN
    worst_end_state: EndState = EndState.UNKNOWN
    terminal_A: float | None = None
    """Typical current at ignition, or the highest where it does not light."""
    terminal_V: float | None = None
    worst_A: float | None = None
    """The same at the worst corner."""
    best_A: float | None = None
    """Highest current at the best corner."""
    peak_rise: float | None = None
    """Highest typical temperature rise over the rise that lights it."""
    peak_C: float | None = None
    drops: tuple[Drop, ...] = ()
    """Typical voltage lost on its path, largest first."""
    waits_for: tuple[str, ...] = ()
    """Igniters that must burn open before it lights (typical), last one first."""
    broken_by: tuple[str, ...] = ()
    """Igniters in series with it that burn open before it is lit, at the worst corner."""
    loaded_by: tuple[str, ...] = ()
    """Igniters lit by an earlier cue that stayed closed and draw current on the same way."""

    def __repr__(self) -> str:
        parts = [self.verdict.value if self.intended else "not meant"]
        if self.verdict is not Verdict.UNKNOWN:
            parts.append(f"light {seconds(self.light.earliest)} to {seconds(self.light.latest)}")
        if self.margin is not None:
            parts.append(f"margin {significant(self.margin)}")
        return f"<IgniterOutcome {self.id!r}: {', '.join(parts)}>"


@frozen
class Stray:
    """Current in an igniter that no cue in force means to light."""

    igniter: int
    id: str
    peak_A: float
    """Highest current at the best corner, A."""
    lights: bool
    """Whether it is lit at the best corner."""
    on_way: bool
    """Whether it is on the cue's own way (a sneak path otherwise)."""
    lit_before: bool = False
    """Whether an earlier cue has typically lit it already."""


@frozen
class Load:
    """The highest current that a cue sends through one element."""

    element: Element
    total_A: float
    """Whole current of the element."""
    each_A: float
    """Through the most loaded of the conductors or contacts that share it."""


@frozen
class CueOutcome:
    """One cue."""

    cue: int
    """Index in the show."""
    id: str
    way: WayKey | None
    switch_s: float
    pulse_s: float | None
    igniters: tuple[IgniterOutcome, ...] = ()
    strays: tuple[Stray, ...] = ()
    missing: tuple[Missing, ...] = ()
    spread_typical_s: float | None = None
    """Latest minus earliest typical light time of its igniters; None below two igniters."""
    spread_worst_s: float | None = None
    needed_pulse_s: float | None = None
    """Pulse that lights all its igniters at the worst corner; None where not sought, ``inf``
    where no pulse on offer does."""
    start_V: Volts | None = None
    """Open-circuit voltage of the supply at the cue."""
    lowest_V: float | None = None
    """Lowest voltage at the supply's terminals: the weakest supply on the heaviest load."""
    lowest_typical_V: float | None = None
    peak_A: float | None = None
    """Highest supply current at any corner."""
    limited: bool = False
    """Whether the supply's current limit is reached (typical)."""
    limited_ever: bool = False
    """At any corner."""
    charge_C: float | None = None
    used_before_C: float | None = None
    loads: tuple[Load, ...] = ()
    results: tuple[FiringResult, ...] = field(default=(), eq=False, repr=False)

    def __repr__(self) -> str:
        way = "no way" if self.way is None else "/".join(str(k) for k in self.way)
        verdict = self.verdict
        parts = [
            f"switches at {self.switch_s:g} s",
            "pulse not known" if self.pulse_s is None else f"pulse {self.pulse_s:g} s",
            "means no igniter" if verdict is None else f"{verdict.value}, {len(self.meant)} meant",
        ]
        return f"<CueOutcome {self.id!r} on {way!r}: {', '.join(parts)}>"

    @property
    def meant(self) -> tuple[IgniterOutcome, ...]:
        """The igniters it means to light."""
        return tuple(i for i in self.igniters if i.intended)

    @property
    def verdict(self) -> Verdict | None:
        """The worst verdict of the igniters it means to light; None if there are none."""
        order = (Verdict.NO, Verdict.UNKNOWN, Verdict.MARGINAL, Verdict.SURE)
        found = {i.verdict for i in self.meant}
        return next((v for v in order if v in found), None)


@define(eq=False)
class Assessment:
    """Everything computed about a show."""

    layout: Layout
    schedule: Schedule
    simulation: Simulation
    cues: tuple[CueOutcome, ...]
    """In the show's order."""

    def __repr__(self) -> str:
        return f"<Assessment of {self.layout.show.title!r}: {len(self.cues)} cues>"

    @property
    def model_faults(self) -> tuple[ModelFault, ...]:
        """Answers of plugins' models that could not be used; what rests on them is unknown."""
        return self.simulation.model_faults

    def by_time(self) -> tuple[CueOutcome, ...]:
        """Cues in the order in which the boxes switch."""
        return tuple(sorted(self.cues, key=lambda c: c.switch_s))

    def verdicts(self) -> dict[int, Verdict]:
        """Best verdict of each igniter over all cues that mean to light it.

        *Unknown* counts least: a cue that can be computed says more.
        """
        order = (Verdict.UNKNOWN, Verdict.NO, Verdict.MARGINAL, Verdict.SURE)
        best: dict[int, Verdict] = {}
        for cue in self.cues:
            for igniter in cue.meant:
                before = best.get(igniter.igniter)
                if before is None or order.index(igniter.verdict) > order.index(before):
                    best[igniter.igniter] = igniter.verdict
        return best
