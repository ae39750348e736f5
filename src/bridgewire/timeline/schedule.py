"""When each cue switches which way, for how long, and which pulses overlap on one box."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from itertools import pairwise

from attrs import define, frozen

from bridgewire.circuit.layout import Layout, PlacedIgniter, ResolvedCue, WayKey
from bridgewire.circuit.mesh import needs_mesh, ways_involved
from bridgewire.model.show import Fuse


@frozen
class Pulse:
    """One pulse on one way."""

    cue: int
    """Index of the cue in the show."""
    number: int
    """0 for the first pulse of the cue, 1 for its first repeat and so on."""
    way: WayKey
    start_s: float
    length_s: float

    @property
    def end_s(self) -> float:
        """When the box switches off."""
        return self.start_s + self.length_s


@frozen
class Firing:
    """Pulses on one box that overlap in time: they share the supply and are solved together."""

    box: str
    pulses: tuple[Pulse, ...]
    ways: tuple[WayKey, ...]
    """All ways whose igniters can carry current, see `ways_involved`."""
    meshed: bool
    """Whether the network is no tree."""

    @property
    def start_s(self) -> float:
        """Start of the first pulse."""
        return min(p.start_s for p in self.pulses)

    @property
    def end_s(self) -> float:
        """End of the last pulse."""
        return max(p.end_s for p in self.pulses)

    def boundaries_s(self) -> list[float]:
        """All switching times from the start of the firing, rising, the first one 0."""
        start = self.start_s
        times = {round(t - start, 9) for p in self.pulses for t in (p.start_s, p.end_s)}
        return sorted(times)

    def active(self) -> list[set[WayKey]]:
        """The ways that are switched on in each span between two switching times."""
        start, times = self.start_s, self.boundaries_s()
        out: list[set[WayKey]] = []
        for a, b in pairwise(times):
            middle = start + 0.5 * (a + b)
            out.append({p.way for p in self.pulses if p.start_s < middle < p.end_s})
        return out


@define(eq=False)
class Schedule:
    """The show's cues in time."""

    switch_s: dict[int, float]
    """When the box switches for each cue (by index)."""
    pulse_s: dict[int, float | None]
    """Pulse of each cue; None where neither the cue nor its igniters' class says."""
    firings: tuple[Firing, ...]
    """In order of time."""


def cue_igniters(layout: Layout, cue: ResolvedCue) -> list[PlacedIgniter]:
    """The igniters on the way of a cue, in the show's order."""
    return [] if cue.way is None else layout.by_way.get(cue.way, [])


def intended(layout: Layout, cue: ResolvedCue) -> set[int]:
    """Indexes of the igniters a cue means to light: those it names, else all on its way."""
    if cue.lights is not None:
        return set(cue.lights)
    return {p.index for p in cue_igniters(layout, cue)}


def cue_pulse_s(layout: Layout, cue: ResolvedCue) -> float | None:
    """A cue's pulse: its own, else the longest default of the classes on its way."""
    if cue.cue.pulse_s is not None:
        return cue.cue.pulse_s
    defaults = [p.klass.default_pulse_s for p in cue_igniters(layout, cue)]
    if not defaults or any(d is None for d in defaults):
        return None
    return max(d for d in defaults if d is not None)


def fuse_delay_s(fuse: Fuse | None) -> tuple[float, float, float] | None:
    """Shortest, typical and longest time from ignition to effect, s; None where unknown.

    No fuse is no delay. A fuse's time is its `delay_s`, or length over burn rate, or their sum.

    >>> from bridgewire.model.band import Band
    >>> fuse_delay_s(Fuse(length_mm=Band.exact(60), burn_mm_per_s=Band(6, 10, 12)))
    (5.0, 6.0, 10.0)
    """
    if fuse is None:
        return (0.0, 0.0, 0.0)
    low = typical = high = 0.0
    known = fuse.delay_s is not None
    if fuse.delay_s is not None:
        low, typical, high = fuse.delay_s.min, fuse.delay_s.typical, fuse.delay_s.max
    if fuse.length_mm is not None or fuse.burn_mm_per_s is not None:
        if fuse.length_mm is None or fuse.burn_mm_per_s is None or fuse.burn_mm_per_s.min <= 0:
            return None
        known = True
        low += fuse.length_mm.min / fuse.burn_mm_per_s.max
        typical += fuse.length_mm.typical / fuse.burn_mm_per_s.typical
        high += fuse.length_mm.max / fuse.burn_mm_per_s.min
    return (low, typical, high) if known else None


def make_schedule(
    layout: Layout,
    lead_s: Mapping[int, float],
    pulses_s: Mapping[int, float] | None = None,
) -> Schedule:
    """Put the cues in time.

    Parameters
    ----------
    layout : Layout
    lead_s : mapping of cue index to s
        How long before `effect_at_s` the box must switch, for cues that state no `time_s`.
    pulses_s : mapping of cue index to s, optional
        Pulses to use instead of the cues' own.

    Returns
    -------
    Schedule
        Cues on ways that do not exist, or without a pulse, have no firing.
    """
    switch: dict[int, float] = {}
    lengths: dict[int, float | None] = {}
    by_box: dict[str, list[Pulse]] = defaultdict(list)
    for cue in layout.cues:
        own = cue.cue.time_s
        if own is None:
            assert cue.cue.effect_at_s is not None
            own = cue.cue.effect_at_s - lead_s.get(cue.index, 0.0)
        switch[cue.index] = own
        length = (pulses_s or {}).get(cue.index) or cue_pulse_s(layout, cue)
        lengths[cue.index] = length
        if cue.way is None or length is None or not way_exists(layout, cue.way):
            continue
        times = 1 + (cue.cue.repeat.times if cue.cue.repeat else 0)
        gap = cue.cue.repeat.gap_s if cue.cue.repeat else 0.0
        for n in range(times):
            by_box[cue.way[0]].append(
                Pulse(cue.index, n, cue.way, own + n * (length + gap), length)
            )
    firings: list[Firing] = []
    for box, pulses in by_box.items():
        firings.extend(_overlapping(layout, box, sorted(pulses, key=lambda p: p.start_s)))
    firings.sort(key=lambda f: f.start_s)
    return Schedule(switch, lengths, tuple(firings))


def way_exists(layout: Layout, way: WayKey) -> bool:
    """Whether a box has such an output and way."""
    kind = layout.boxes[way[0]][1]
    return 1 <= way[1] <= kind.outputs and 1 <= way[2] <= kind.ways


def _overlapping(layout: Layout, box: str, pulses: list[Pulse]) -> list[Firing]:
    groups: list[list[Pulse]] = []
    end = -float("inf")
    for pulse in pulses:
        if groups and pulse.start_s < end - 1e-9:
            groups[-1].append(pulse)
        else:
            groups.append([pulse])
        end = max(end, pulse.end_s) if pulse.start_s < end else pulse.end_s
    firings: list[Firing] = []
    kind = layout.boxes[box][1]
    for group in groups:
        active = tuple(dict.fromkeys(p.way for p in group))
        per_output: dict[int, int] = defaultdict(int)
        for way in active:
            per_output[way[1]] += 1
        meshed = any(needs_mesh(kind, n) for n in per_output.values())
        ways = ways_involved(layout, active) if meshed else active
        firings.append(Firing(box, tuple(group), ways, meshed))
    return firings
