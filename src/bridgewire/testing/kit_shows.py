"""Small shows around every entry of a kit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TypeVar

from attrs import define, field, frozen

from bridgewire.model.band import Band
from bridgewire.model.kit import BatterySupply, BoxKind, CableSpec, IgniterClass, Kit, StripKind
from bridgewire.model.show import Box, Cue, Igniter, Run, Show, Site, Splitter, Strip
from bridgewire.rules.wir010_too_few_conductors import conductors_for

GENERIC = "generic"
_BOX, _CABLE, _STRIP, _CLASS = "battery-matrix", "pair-24awg-solid", "strip-8", "electric-match"
"""Entries of the generic kit that stand in where a kit has none of a sort."""
_LENGTH_M = 10.0
_GAP_S = 30.0
"""From cue to cue, besides pulse and hold-off."""
_SUPPLY_V = 20.0
"""Read on a battery whose profile does not say."""

Entry = TypeVar("Entry", BoxKind, CableSpec, IgniterClass, StripKind)


@frozen
class _Line:
    """What hangs on one output, by full id."""

    strip: str
    cable: str
    splitter: str | None = None
    chained: bool = False
    """Whether the igniters are on a second strip behind the first one."""
    lead: str | None = None
    joint: str | None = None


@frozen
class _Parts:
    """Entries by full id, the generic kit's where a kit has none of a sort."""

    boxes: dict[str, BoxKind]
    cables: dict[str, CableSpec]
    strips: dict[str, StripKind]
    classes: dict[str, IgniterClass]

    @classmethod
    def of(cls, kit: Kit, generic: Kit) -> _Parts:
        def entries(own: Sequence[Entry], other: Sequence[Entry], wanted: str) -> dict[str, Entry]:
            if own:
                return {f"{kit.id}:{e.id}": e for e in own}
            return {f"{GENERIC}:{e.id}": e for e in other if e.id == wanted}

        return cls(
            entries(kit.box, generic.box, _BOX),
            # A two-core flex may be all the cable that a profile has: the generic one is there too.
            entries(kit.cable, generic.cable, _CABLE) | entries((), generic.cable, _CABLE),
            entries(kit.strip, generic.strip, _STRIP),
            entries(kit.igniter_class, generic.igniter_class, _CLASS),
        )


def shows_of_kit(kit: Kit, generic: Kit) -> tuple[Show, ...]:
    """Put a kit's entries together to shows, one for each kind of box.

    Parameters
    ----------
    kit : Kit
    generic : Kit
        The generic profile, for what the kit has none of.

    Returns
    -------
    tuple of Show
        Together they have every box with every strip, cable that has conductors enough, and
        igniter class; and each splitter, extra lead, contact and chain of strips at least once.

    Examples
    --------
    >>> from bridgewire.kits.discovery import find_kits, shipped_profiles_dir
    >>> kits = find_kits(["harrowmere", "generic"], [shipped_profiles_dir()])
    >>> [s.title for s in shows_of_kit(kits["harrowmere"].kit, kits["generic"].kit)]
    ['box heron', 'box teal']
    """
    parts = _Parts.of(kit, generic)
    return tuple(
        _Builder(parts, box_id, box).show(kit, _lines(kit, parts))
        for box_id, box in parts.boxes.items()
    )


def _lines(kit: Kit, parts: _Parts) -> Iterator[_Line]:
    """Every strip with every cable, and once each of what a line may have besides."""
    for strip in parts.strips:
        for cable in parts.cables:
            yield _Line(strip, cable)
    strip = next(iter(parts.strips))
    widest = max(parts.cables, key=lambda name: parts.cables[name].conductors)
    for name, kind in parts.strips.items():
        if kind.through:
            yield _Line(name, widest, chained=True)
    for splitter in kit.splitter:
        yield _Line(strip, widest, splitter=f"{kit.id}:{splitter.id}")
    for spec in kit.cable:
        if spec.conductors >= 2:
            yield _Line(strip, widest, lead=f"{kit.id}:{spec.id}")
    for contact in kit.contact:
        yield _Line(strip, widest, joint=f"{kit.id}:{contact.id}")


@define
class _Builder:
    """One show with one kind of box; each line gets as many boxes as its igniters need."""

    parts: _Parts
    box_id: str
    kind: BoxKind
    boxes: list[Box] = field(factory=list)
    strips: list[Strip] = field(factory=list)
    splitters: list[Splitter] = field(factory=list)
    runs: list[Run] = field(factory=list)
    igniters: list[Igniter] = field(factory=list)
    cues: list[Cue] = field(factory=list)
    clock_s: float = _GAP_S

    def show(self, kit: Kit, lines: Iterator[_Line]) -> Show:
        """Build everything."""
        for line in lines:
            if line.chained and self.kind.max_strips == 1:
                continue
            at_once = self._ways_at_once(line)
            classes = list(self.parts.classes)
            for first in range(0, len(classes) if at_once else 0, at_once or 1):
                self._add(line, classes[first : first + at_once])
        return Show(
            1,
            f"box {self.kind.id}",
            tuple(dict.fromkeys((kit.id, GENERIC))),
            Site(Band(-5.0, 15.0, 35.0)),
            box=tuple(self.boxes),
            strip=tuple(self.strips),
            splitter=tuple(self.splitters),
            run=tuple(self.runs),
            igniter=tuple(self.igniters),
            cue=tuple(self.cues),
        )

    def _ways_at_once(self, line: _Line) -> int:
        """How many of the first ways the line's cable can carry; 0 for a cable too thin."""
        have = self.parts.cables[line.cable].conductors
        most = min(self.kind.ways, self.parts.strips[line.strip].ways)
        fits = [
            n for n in range(1, most + 1)
            if conductors_for(self.kind.path, set(range(1, n + 1))) <= have
        ]  # fmt: skip
        return max(fits, default=0)

    def _add(self, line: _Line, classes: Sequence[str]) -> None:
        """Add a box with one line and an igniter of each class on a way of its own."""
        number = len(self.boxes) + 1
        box = f"box-{number}"
        self.boxes.append(
            Box(box, self.box_id, at_m=(0.0, 0.0), supply_V=self._reading(), standby_s=600.0)
        )
        cable = self.parts.cables[line.cable]
        length = min(_LENGTH_M, cable.max_length_m or _LENGTH_M)
        start, target = f"{box}/1", f"strip-{number}"
        if line.splitter is not None:
            splitter = f"splitter-{number}"
            self.splitters.append(Splitter(splitter, line.splitter, at_m=(0.0, 0.0)))
            self._run(start, splitter, line, length / 2.0)
            start = splitter
        self.strips.append(Strip(target, line.strip, at_m=(length / 2.0, 0.0)))
        self._run(start, target, line, length)
        if line.chained:
            self.strips.append(Strip(f"{target}-far", line.strip, at_m=(length / 2.0, 2.0)))
            self._run(target, f"{target}-far", line, length)
            target = f"{target}-far"
        for way, name in enumerate(classes, 1):
            self._fire(f"{box}/1/{way}", f"{target}/{way}", name, line)

    def _run(self, start: str, target: str, line: _Line, length_m: float) -> None:
        joints = 0 if line.joint is None else 1
        length = Band(length_m * 0.98, length_m, length_m * 1.02)
        self.runs.append(
            Run(start, target, line.cable, None, length, joints=joints, joint_contact=line.joint)
        )

    def _fire(self, way: str, at: str, name: str, line: _Line) -> None:
        igniter = f"{name.partition(':')[2]} at {at}"
        lead = None if line.lead is None else Band(1.9, 2.0, 2.1)
        self.igniters.append(Igniter(at, name, id=igniter, lead_cable=line.lead, extra_lead_m=lead))
        pulse = self._pulse(self.parts.classes[name])
        held = self.kind.hold_off.time_s if self.kind.hold_off is not None else 0.0
        self.cues.append(
            Cue(
                f"cue {len(self.cues) + 1}",
                fire=way,
                time_s=self.clock_s,
                pulse_s=pulse,
                lights=(igniter,),
            )
        )
        self.clock_s += pulse + held + _GAP_S

    def _pulse(self, igniter: IgniterClass) -> float:
        wanted = igniter.default_pulse_s or 1.0
        pulses = self.kind.pulses
        if pulses is None:
            return wanted
        longer = pulses.shortest_at_least(wanted)
        if longer is not None:
            return longer
        return max(pulses.offered_s, default=pulses.max_s or wanted)

    def _reading(self) -> Band | None:
        """What the meter reads on a battery; other supplies are as their profile says."""
        supply = self.kind.supply
        if not isinstance(supply, BatterySupply):
            return None
        stated = supply.open_circuit_V
        return Band(_SUPPLY_V, _SUPPLY_V, _SUPPLY_V) if stated is None else stated
