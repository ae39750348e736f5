"""The resistance that a meter should read on every way, from the box and from each strip.

The meter's current is low: bridges stay cold. Every element takes its band at the site's ambient
band. The bounds need no search: by Rayleigh's monotonicity law the resistance between two nodes
of a network of resistors never falls when any one resistance rises (P. G. Doyle and J. L. Snell,
*Random Walks and Electric Networks*, 1984; from memory), so it is least where all are least and
highest where all are highest. Bands are exact for trees. In a matrix without diodes the reading at
a strip is bounded, a little wider than need be.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cached_property
from typing import Literal, TypeAlias

import numpy as np
from attrs import define, evolve, field, frozen

from bridgewire.bench.meter.end_states import PossibleEnds, possible_ends
from bridgewire.bench.meter.missing import missing_from
from bridgewire.bench.meter.probe import BOX, Probe, strips_of_way, tree_probe
from bridgewire.bench.meter.probe_mesh import ProbeMesh, is_mesh, mesh_probe
from bridgewire.circuit.elements import Missing
from bridgewire.circuit.layout import Layout, PlacedIgniter, WayKey
from bridgewire.circuit.ways import CircuitBuilder
from bridgewire.model.band import Band
from bridgewire.physics.network import Floats
from bridgewire.timeline.outcomes import Assessment
from bridgewire.timeline.simulate import UNKNOWN_AMBIENT_C

Moment = Literal["before", "after"]
ReadsOpen = Literal["yes", "no", "may"]

THROUGH_DIODE = (
    "the meter's current passes a diode here, so the reading is no resistance: measure at the strip"
)
NO_NODE = "the matrix has no diodes and no igniter of this way on this strip: measure at the box"
ENDS_UNKNOWN = "what the igniters are after the show is not known"


@frozen
class ExpectedResistance:
    """What a meter should read on one way from one place.

    Attributes
    ----------
    way : WayKey
        Box, output and way.
    place : str
        ``box``: at the plug of the output, with the box unplugged; or the id of a strip: on the
        way's terminal, with the strip's inlet unplugged.
    moment : str
        ``before`` firing, with every igniter whole; or ``after`` the show as it is planned.
    band : Band or None
        Ohm, of the readings that are no open circuit; None where unknown or always open.
    reads_open : str
        ``yes``, ``no``, or ``may`` where it depends on tolerances or is not known.
    missing : tuple of Missing
        Values without which nothing can be told.
    note : str
        Why there is no band, where nothing is missing; else empty.
    """

    way: WayKey
    place: str
    moment: Moment
    band: Band | None
    reads_open: ReadsOpen
    missing: tuple[Missing, ...] = ()
    note: str = ""


def expected_resistances(assessment: Assessment) -> tuple[ExpectedResistance, ...]:
    """Tell what a meter should read on every way that has igniters.

    Parameters
    ----------
    assessment : Assessment

    Returns
    -------
    tuple of ExpectedResistance
        By way; for each the box first, then every strip with igniters of the way on it or beyond
        it; ``before`` and then ``after``.

    Notes
    -----
    Loop resistance, feed plus return, between the probes; meter leads and meter error are not in
    it. At the box the mated pair counts from nothing (probes on the pins) to its whole band.
    With a diode in the path there is no band: a meter's reading then depends on its own current.
    After the show each bridge is what any of the corners of the simulation leaves.

    Examples
    --------
    >>> from bridgewire.api import check
    >>> found = expected_resistances(check("examples/midwinter-small.toml").assessment)
    >>> west = next(e for e in found if e.place == "west" and e.moment == "before")
    >>> west.way, round(west.band.min, 3), round(west.band.max, 3)
    (('heron-1', 1, 1), 1.574, 1.91)
    """
    bench = MeterBench(assessment)
    found: list[ExpectedResistance] = []
    for key in sorted(assessment.layout.by_way):
        places = [BOX, *(s.id for s in strips_of_way(assessment.layout, key))]
        for place in places:
            found += [bench.expected(key, place, "before"), bench.expected(key, place, "after")]
    return tuple(found)


@define(eq=False)
class MeterBench:
    """A show's ways as a meter sees them."""

    assessment: Assessment
    builder: CircuitBuilder = field(init=False)
    placed: dict[int, PlacedIgniter] = field(init=False)
    _probes: dict[tuple[WayKey, str], Probe] = field(init=False, factory=dict)

    def __attrs_post_init__(self) -> None:
        layout = self.assessment.layout
        ambient = layout.show.site.ambient_C or UNKNOWN_AMBIENT_C
        self.builder = CircuitBuilder(layout, ambient)
        self.placed = {p.index: p for p in layout.igniters}

    @cached_property
    def ends(self) -> dict[int, PossibleEnds]:
        """What each igniter may be after the show."""
        return possible_ends(self.assessment)

    def rewired(self, layout: Layout) -> MeterBench:
        """The same show with other wiring; what it would do when fired is not computed anew."""
        return MeterBench(evolve(self.assessment, layout=layout))

    def probe(self, key: WayKey, place: str) -> Probe:
        """The tree that a meter sees; kept."""
        if (key, place) not in self._probes:
            self._probes[key, place] = tree_probe(self.builder, key, place)
        return self._probes[key, place]

    def missing(self, key: WayKey, place: str) -> tuple[Missing, ...]:
        """Values without which nothing can be told of a way from a place."""
        return missing_from(self.builder, key, place)

    def expected(self, key: WayKey, place: str, moment: Moment) -> ExpectedResistance:
        """What a meter should read on a way from a place."""
        lacks = self.missing(key, place)
        if lacks:
            return ExpectedResistance(key, place, moment, None, "may", lacks)
        mesh: ProbeMesh | None = None
        if is_mesh(self.builder, key):
            mesh = mesh_probe(self.builder, key, place)
            if mesh is None:
                return ExpectedResistance(key, place, moment, None, "may", note=NO_NODE)
            igniters = [
                self.builder.way(k).bridge_igniter[b] for k, bs in mesh.string_bridges for b in bs
            ]
        else:
            probe = self.probe(key, place)
            if probe.diode:
                return ExpectedResistance(key, place, moment, None, "may", note=THROUGH_DIODE)
            owner = self.builder.way(key).bridge_igniter
            igniters = [owner[b] for s in probe.strings for b in s.bridges]
        if moment == "after" and any(self.ends[i].unknown for i in igniters):
            return ExpectedResistance(key, place, moment, None, "may", note=ENDS_UNKNOWN)
        band, opens = self._mesh_band(mesh, moment) if mesh else self._tree_band(probe, moment)
        return ExpectedResistance(key, place, moment, band, opens)

    def bridge_ohm(self, igniter: int, moment: Moment) -> tuple[Band | None, ReadsOpen]:
        """Resistance of each bridge of an igniter entry, and whether it is open."""
        klass = self.placed[igniter].klass
        assert klass.bridge_ohm is not None
        if moment == "before":
            return klass.bridge_ohm, "no"
        return self.ends[igniter].resistance(klass)

    def string_ohm(
        self, key: WayKey, bridges: tuple[int, ...], leads: Floats, moment: Moment
    ) -> tuple[Floats | None, ReadsOpen]:
        """Min, typical and max of a whole string where it conducts, and whether it is open."""
        total = leads.copy()
        opens: ReadsOpen = "no"
        owner = self.builder.way(key).bridge_igniter
        for b in bridges:
            band, is_open = self.bridge_ohm(owner[b], moment)
            if band is None:
                return None, "yes"
            if is_open == "may":
                opens = "may"
            total += (band.min, band.typical, band.max)
        return total, opens

    def _tree_band(self, probe: Probe, moment: Moment) -> tuple[Band | None, ReadsOpen]:
        node, leads = probe.node_ohm(), probe.lead_ohm()
        found = [
            self.string_ohm(probe.way, s.bridges, leads[:, i], moment)
            for i, s in enumerate(probe.strings)
        ]

        def seen(row: int, strings: Floats) -> float:
            return float(probe.seen_ohm(node[row], strings))

        return _band(found, seen)

    def _mesh_band(self, mesh: ProbeMesh, moment: Moment) -> tuple[Band | None, ReadsOpen]:
        leads = np.array([mesh.string_low, mesh.string_typical, mesh.string_high])
        found = [
            self.string_ohm(key, bridges, leads[:, i], moment)
            for i, (key, bridges) in enumerate(mesh.string_bridges)
        ]
        branches = (mesh.low_ohm, mesh.typical_ohm, mesh.high_ohm)

        def seen(row: int, strings: Floats) -> float:
            return mesh.seen_ohm(branches[row], strings)

        return _band(found, seen)


_Seen: TypeAlias = Callable[[int, Floats], float]


def _band(
    strings: list[tuple[Floats | None, ReadsOpen]], seen: _Seen
) -> tuple[Band | None, ReadsOpen]:
    """Bounds of what is seen over all states of strings that leave the circuit closed.

    Highest where every string that may be open is open, if that is still closed; else the
    highest of those with one such string closed.
    """
    low, typical, high = (
        np.array([math.inf if s is None else float(s[row]) for s, _ in strings]) for row in range(3)
    )
    least = seen(0, low)
    if not math.isfinite(least):
        return None, "yes"
    may = [i for i, (s, opens) in enumerate(strings) if s is not None and opens == "may"]
    opened = high.copy()
    opened[may] = math.inf
    most = seen(2, opened)
    opens: ReadsOpen = "no"
    if not math.isfinite(most):
        opens = "may"
        finite = []
        for i in may:
            one = opened.copy()
            one[i] = high[i]
            finite.append(seen(2, one))
        most = max((x for x in finite if math.isfinite(x)), default=seen(2, high))
    middle = min(max(seen(1, typical), least), most)
    return Band(least, middle, most), opens
