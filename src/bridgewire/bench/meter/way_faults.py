"""Which faults one way of a show may have: made from its circuit and the kits."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from attrs import frozen

from bridgewire.bench.meter.expected import MeterBench
from bridgewire.bench.meter.faults import (
    EXTRA_OHM,
    OHM_GRID,
    OPEN_OHM,
    FaultKind,
    NodeName,
    StringName,
    WayFault,
)
from bridgewire.bench.meter.probe import BOX, Probe, ProbeString
from bridgewire.bench.meter.view import band_sd
from bridgewire.circuit.layout import Layout, PlacedIgniter, WayKey
from bridgewire.model.band import Band
from bridgewire.model.kit import IgniterClass
from bridgewire.physics.network import Floats
from bridgewire.uncertainty.shares import band_sigma

SHORT_S = 1.0 / 0.02
"""Conductance of a short, siemens (0.02 ohm; common practice, no source)."""


def way_faults(bench: MeterBench, key: WayKey) -> tuple[WayFault, ...]:
    """Faults of one way, each alone.

    Parameters
    ----------
    bench : MeterBench
    key : WayKey
        A way whose circuit is a tree and known.

    Returns
    -------
    tuple of WayFault
        No fault first.
    """
    probe = bench.probe(key, BOX)
    owner = bench.builder.way(key).bridge_igniter
    strings = [_String(s, [bench.placed[owner[b]] for b in s.bridges]) for s in probe.strings]
    at_terminal: dict[int, list[_String]] = defaultdict(list)
    for string in strings:
        at_terminal[string.node].append(string)
    faults = [WayFault("none", "", ""), *_conductors(bench, key, probe, at_terminal)]
    for string in strings:
        faults += _of_string(string, len(at_terminal[string.node]) == 1)
        faults += _of_igniters(bench, string)
    for node, own in at_terminal.items():
        faults.append(_one_more(probe.nodes[node].part, own[0].igniters[0]))
    return tuple(faults)


@frozen(eq=False)
class _String:
    """A string and its igniters, one entry for each bridge."""

    probe: ProbeString
    igniters: Sequence[PlacedIgniter]

    @property
    def node(self) -> int:
        """Of its terminal."""
        return self.probe.node

    @property
    def name(self) -> StringName:
        return self.probe.bridges

    @property
    def words(self) -> str:
        """What it is for a person."""
        first = repr(self.igniters[0].id)
        return f"the string with {first}" if len(self.igniters) > 1 else first


def _conductors(
    bench: MeterBench, key: WayKey, probe: Probe, at_terminal: Mapping[int, Sequence[_String]]
) -> Iterator[WayFault]:
    for i, node in enumerate(probe.nodes):
        if i == 0:
            continue
        name = (node.part, node.terminal)
        # At a terminal with one string the same faults are those of the string.
        if not (node.terminal and len(at_terminal.get(i, ())) == 1):
            where = _where(bench, node.part, node.terminal, key)
            cause = f"open conductor {where}"
            yield WayFault("conductor open", cause, node.part, node_add={name: _one(OPEN_OHM)})
            yield _extra_ohm(
                "poor contact", f"poor contact {where}", node.part, node_add={name: OHM_GRID}
            )
        if node.terminal and i in at_terminal:
            cause = f"short at terminal {node.part}/{key[2]} or its lead ends"
            yield WayFault("terminal shorted", cause, node.part, node_S={name: _one(SHORT_S)})
        elif not node.terminal:
            cause = f"short between this way's conductors at {node.part}"
            yield WayFault("run shorted", cause, node.part, node_S={name: _one(SHORT_S)})


def _where(bench: MeterBench, part: str, terminal: bool, key: WayKey) -> str:
    if terminal:
        return f"at terminal {part}/{key[2]}"
    run = bench.assessment.layout.parts[part].run
    start = "" if run is None else bench.assessment.layout.show.run[run].from_
    return f"in the run or plugs {start} -> {part}, this way only"


def _one(value: float) -> Floats:
    return np.array([value])


def _extra_ohm(
    kind: FaultKind,
    cause: str,
    subject: str,
    *,
    node_add: Mapping[NodeName, Floats] | None = None,
    string_add: Mapping[StringName, Floats] | None = None,
) -> WayFault:
    """A fault that adds a resistance of unknown size."""
    return WayFault(
        kind,
        cause,
        subject,
        OHM_GRID.size,
        node_add=node_add or {},
        string_add=string_add or {},
        values=OHM_GRID,
        value_text=EXTRA_OHM,
    )


def _of_string(string: _String, alone: bool) -> Iterator[WayFault]:
    """Faults of a string as a whole; `alone` on its terminal or not."""
    first = string.igniters[0]
    terminal = f"{first.part.id}/{first.way}"
    cause = f"{string.words} is open, or not connected"
    if alone:
        cause += f", at terminal {terminal}"
    yield WayFault("igniter open", cause, first.id, string_add={string.name: _one(OPEN_OHM)})
    grid = {string.name: OHM_GRID}
    if alone:
        cause = f"poor contact, or extra lead, at terminal {terminal} or in {string.words}"
        yield _extra_ohm("poor contact", cause, first.id, string_add=grid)
    else:
        cause = f"extra lead or poor joint in {string.words}"
        yield _extra_ohm("extra lead", cause, first.id, string_add=grid)


def _of_igniters(bench: MeterBench, string: _String) -> Iterator[WayFault]:
    """Faults of the igniters of a string: left out, one too many, of another class."""
    sigmas = band_sigma(bench.assessment.layout)

    def moved(kind: FaultKind, cause: str, of: str, by: float, sd: float = 0.0) -> WayFault:
        return WayFault(kind, cause, of, string_add={string.name: _one(by)}, string_sd=sd)

    for p in {p.index: p for p in string.igniters}.values():
        old = whole_ohm(p.klass)
        if old is None:
            continue
        if len(string.igniters) > 1:
            cause = f"one igniter of {p.id!r} is shorted, or left out of its string"
            yield moved("igniter shorted", cause, p.id, -old.typical)
            cause = f"one igniter more in the string of {p.id!r}"
            yield moved("one more", cause, p.id, old.typical, band_sd(old, sigmas))
        count = sum(q.index == p.index for q in string.igniters)
        for title, new in other_classes(bench.assessment.layout, p):
            step, sd = new.typical - old.typical, band_sd(new, sigmas)
            who = repr(p.id) if count == 1 else f"one of {p.id!r}"
            cause = f"{who} is of class {title}, not {p.class_id}"
            yield moved("wrong class", cause, p.id, step, sd)
            if count > 1:
                cause = f"all {count} of {p.id!r} are of class {title}, not {p.class_id}"
                yield moved("wrong class", cause, p.id, count * step, sd * count**0.5)


def _one_more(part: str, p: PlacedIgniter) -> WayFault:
    band = whole_ohm(p.klass)
    assert band is not None
    return WayFault(
        "one more",
        f"one igniter more in parallel at terminal {p.part.id}/{p.way}",
        p.part.id,
        node_S={(part, True): _one(1.0 / band.typical)},
    )


def whole_ohm(klass: IgniterClass) -> Band | None:
    """Bridge and own leads of one igniter."""
    if klass.bridge_ohm is None or klass.lead_ohm is None:
        return None
    return klass.bridge_ohm.plus(klass.lead_ohm)


def other_classes(layout: Layout, p: PlacedIgniter) -> list[tuple[str, Band]]:
    """Classes of the show's kits with another resistance; those alike are one entry."""
    own = whole_ohm(p.klass)
    groups: list[tuple[list[str], Band]] = []
    for kit, content in layout.catalogue.kits.items():
        for klass in content.igniter_class:
            band = whole_ohm(klass)
            full = f"{kit}:{klass.id}"
            if band is None or own is None or full == p.class_id or band == own:
                continue
            same = next((g for g in groups if g[1] == band), None)
            if same is None:
                groups.append(([full], band))
            else:
                same[0].append(full)
    return [(" or ".join(names), band) for names, band in groups]
