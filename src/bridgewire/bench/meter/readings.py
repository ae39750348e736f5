"""Judges meter readings against what the circuit model expects."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from typing import Literal

import numpy as np
from attrs import frozen

from bridgewire.bench.meter.diagnosis import Diagnosis, diagnose
from bridgewire.bench.meter.expected import ExpectedResistance, MeterBench, Moment
from bridgewire.bench.meter.probe import BOX, strips_of_way
from bridgewire.bench.meter.probe_mesh import is_mesh
from bridgewire.bench.meter.view import Observation
from bridgewire.circuit.layout import WayKey
from bridgewire.model.readings import MeterAccuracy, Reading, Readings
from bridgewire.timeline.outcomes import Assessment

Status = Literal[
    "as expected",
    "near the edge",
    "outside",
    "open",
    "shorted",
    "closed after show",
    "not judged",
    "not measured",
]
OFF: tuple[Status, ...] = ("outside", "open", "shorted", "closed after show")
EDGE = 0.05
"""Part of a band's width that counts as near its edge (common practice, no source)."""
SHORT = 0.1
"""A reading below this part of the band's low end, beyond the meter's error, is a short (common
practice, no source)."""


@frozen
class JudgedReading:
    """One row of a readings file with what was expected."""

    reading: Reading
    expected: ExpectedResistance
    status: Status
    net_ohm: float | None
    """With the meter's leads taken off; ``inf`` for an open circuit; None if not measured."""
    lead_ohm: float
    limit_ohm: float
    """Largest error of the meter at this reading."""
    hides: tuple[str, ...] = ()
    """Igniters that could be missing although the reading is as expected."""

    @property
    def off(self) -> bool:
        """Whether it is surely not what a good circuit reads."""
        return self.status in OFF


@frozen
class Unmeasured:
    """Igniters of a circuit that no reading has seen."""

    way: WayKey
    moment: Moment
    igniters: tuple[str, ...]
    row: Reading | None
    """A blank row of the circuit, if there is one."""


@frozen
class ReadingsStudy:
    """What became of a readings file."""

    readings: Readings
    meter: MeterAccuracy
    leads_ohm: float
    judged: tuple[JudgedReading, ...]
    diagnoses: tuple[Diagnosis, ...]
    """Of circuits that are off before firing, and of those out of line, see `out_of_line`."""
    unmeasured: tuple[Unmeasured, ...]
    circuits: int
    """Circuits with igniters in the show."""

    def diagnosis(self, way: WayKey) -> Diagnosis | None:
        """Of one circuit, if it is off before firing."""
        return next((d for d in self.diagnoses if d.way == way), None)

    @property
    def out_of_line(self) -> tuple[Diagnosis, ...]:
        """Of circuits in their bands that would not be, but for a fault of their whole tree."""
        off = {j.reading.way for j in self.judged if j.off and j.reading.moment == "before"}
        return tuple(d for d in self.diagnoses if d.way not in off)

    def count(self, status: Status) -> int:
        """How many readings have a status."""
        return sum(j.status == status for j in self.judged)


def places_of(assessment: Assessment) -> dict[WayKey, tuple[str, ...]]:
    """Where each circuit with igniters can be measured: the box, and strips."""
    layout = assessment.layout
    return {
        key: (BOX, *(s.id for s in strips_of_way(layout, key))) for key in sorted(layout.by_way)
    }


def study_readings(
    assessment: Assessment, readings: Readings, meter: MeterAccuracy, leads_ohm: float = 0.0
) -> ReadingsStudy:
    """Compare readings with their bands, and find out why those that are off are off.

    Parameters
    ----------
    assessment : Assessment
    readings : Readings
    meter : MeterAccuracy
        How far the meter may be off.
    leads_ohm : float
        Resistance of the meter's leads, ohm, taken off where a row states none of its own.

    Returns
    -------
    ReadingsStudy

    Notes
    -----
    A reading is off only if no value within the meter's error lies in the band, so a good circuit
    whose values are within their tolerances is never called off.

    Examples
    --------
    >>> from bridgewire.api import check
    >>> row = Reading(("heron-1", 1, 1), "west", "before", 5.2)
    >>> study = study_readings(
    ...     check("examples/midwinter-small.toml").assessment,
    ...     Readings("my.csv", "", (row,)),
    ...     MeterAccuracy(1.0, 0.1),
    ... )
    >>> study.judged[0].status
    'outside'
    """
    bench = MeterBench(assessment)
    judged = tuple(_judge(bench, r, meter, leads_ohm) for r in readings.rows)
    usable = [
        Observation(
            j.reading.way,
            j.reading.place,
            math.inf if math.isinf(j.net_ohm) else max(j.net_ohm, 0.0),
            j.limit_ohm,
            j.lead_ohm > 0.0,
        )
        for j in judged
        if j.reading.moment == "before" and j.net_ohm is not None and j.status != "not judged"
    ]
    off = [j.reading.way for j in judged if j.off and j.reading.moment == "before"]
    return ReadingsStudy(
        readings,
        meter,
        leads_ohm,
        judged,
        diagnose(bench, usable, off),
        _unmeasured(bench, judged),
        len(assessment.layout.by_way),
    )


def _judge(bench: MeterBench, r: Reading, meter: MeterAccuracy, leads_ohm: float) -> JudgedReading:
    expected = bench.expected(r.way, r.place, r.moment)
    lead = leads_ohm if r.lead_ohm is None else r.lead_ohm
    if not r.measured:
        return JudgedReading(r, expected, "not measured", None, lead, 0.0)
    if r.over_range or r.ohm is None:
        net, limit = math.inf, meter.limit_ohm(0.0)
    else:
        net, limit = r.ohm - lead, meter.limit_ohm(r.ohm)
    status = _status(bench, expected, net, limit)
    hides: tuple[str, ...] = ()
    if status in ("as expected", "near the edge") and r.moment == "before":
        hides = _hides(bench, r, net, limit)
    return JudgedReading(r, expected, status, net, lead, limit, hides)


def _status(bench: MeterBench, expected: ExpectedResistance, net: float, limit: float) -> Status:
    if expected.missing or expected.note:
        return "not judged"
    if math.isinf(net):
        return "open" if expected.reads_open == "no" else "as expected"
    band = expected.band
    if band is None:
        return "closed after show" if expected.moment == "after" else "outside"
    slack = limit + 1e-9 * (1.0 + band.max)
    if net - slack > band.max or net + slack < band.min:
        if expected.moment == "after" and _like_before(bench, expected, net, limit):
            return "closed after show"
        return "shorted" if net <= limit + SHORT * band.min else "outside"
    edge = EDGE * (band.max - band.min)
    inside = band.min + edge <= net <= band.max - edge
    return "as expected" if inside or edge == 0.0 else "near the edge"


def _like_before(bench: MeterBench, expected: ExpectedResistance, net: float, limit: float) -> bool:
    band = bench.expected(expected.way, expected.place, "before").band
    return band is not None and band.min - limit <= net <= band.max + limit


def _hides(bench: MeterBench, r: Reading, net: float, limit: float) -> tuple[str, ...]:
    """Igniters without which the reading would be as expected too."""
    if is_mesh(bench.builder, r.way) or math.isinf(net):
        return ()
    probe = bench.probe(r.way, r.place)
    if len(probe.strings) < 2:
        return ()
    node, leads = probe.node_ohm(), probe.lead_ohm()
    owner = bench.builder.way(r.way).bridge_igniter
    whole = np.array(
        [
            bench.string_ohm(r.way, s.bridges, leads[:, i], "before")[0]
            for i, s in enumerate(probe.strings)
        ]
    ).T
    found: list[str] = []
    for i, s in enumerate(probe.strings):
        without = whole.copy()
        without[:, i] = np.inf
        low = float(probe.seen_ohm(node[0], without[0]))
        high = float(probe.seen_ohm(node[2], without[2]))
        if low <= net + limit and net - limit <= high:
            found.append(bench.placed[owner[s.bridges[0]]].id)
    return tuple(dict.fromkeys(found))


def _unmeasured(bench: MeterBench, judged: Sequence[JudgedReading]) -> tuple[Unmeasured, ...]:
    """Circuits with igniters that no reading that can be judged has seen."""
    layout = bench.assessment.layout
    moments: list[Moment] = [
        m for m in ("before", "after") if any(j.reading.moment == m for j in judged)
    ] or ["before"]
    seen: dict[tuple[WayKey, Moment], set[int]] = defaultdict(set)
    blank: dict[tuple[WayKey, Moment], Reading] = {}
    for j in judged:
        name = (j.reading.way, j.reading.moment)
        if j.status == "not measured":
            blank.setdefault(name, j.reading)
        elif j.status != "not judged":
            seen[name] |= _seen_igniters(bench, j.reading)
    found: list[Unmeasured] = []
    for moment in moments:
        for way in sorted(layout.by_way):
            left = [p.id for p in layout.by_way[way] if p.index not in seen[way, moment]]
            if left:
                row = blank.get((way, moment))
                found.append(Unmeasured(way, moment, tuple(left), row))
    return tuple(found)


def _seen_igniters(bench: MeterBench, r: Reading) -> set[int]:
    if is_mesh(bench.builder, r.way):
        return {p.index for p in bench.assessment.layout.by_way[r.way]}
    owner = bench.builder.way(r.way).bridge_igniter
    return {owner[b] for s in bench.probe(r.way, r.place).strings for b in s.bridges}
