"""Shows for tests of meter readings, readings drawn from them, and another network solver."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

import numpy as np

from bridgewire.api import load_show
from bridgewire.bench.meter.expected import MeterBench
from bridgewire.bench.meter.probe import Probe
from bridgewire.bench.meter.readings import ReadingsStudy, places_of, study_readings
from bridgewire.circuit.elements import Element
from bridgewire.circuit.layout import WayKey
from bridgewire.model.readings import MeterAccuracy, Moment, Reading, Readings
from bridgewire.timeline.assess import assess
from bridgewire.timeline.outcomes import Assessment
from tests.rules.case_files import KITS

METER = MeterAccuracy(0.5, 0.03)

POND = """\
format = 1
title = "Pond"
kits = ["harrowmere", "generic"]

[site]
ambient_C = { min = 5, typical = 10, max = 15 }

[[box]]
id = "teal-1"
kind = "teal"

[[splitter]]
id = "mooring"
kind = "mooring-2"

[[strip]]
id = "near"
kind = "jetty-strip-8"

[[strip]]
id = "far"
kind = "jetty-strip-8"

[[run]]
from = "teal-1/1"
to = "mooring"
cable = "raft-cable"
length_m = { typical = 3, tol = 0.1 }

[[run]]
from = "mooring"
to = "near"
cable = "shore-cable"
length_m = { typical = 10, tol = 0.3 }

[[run]]
from = "mooring"
to = "far"
cable = "shore-cable"
length_m = { typical = 25, tol = 0.5 }
"""
"""A box with a common return and no diodes, two strips on runs of unlike length."""


def igniter(at: str, klass: str = "lantern-match", more: str = "") -> str:
    """One igniter entry; its id is its terminal with a space."""
    return f'\n[[igniter]]\nid = "{at.replace("/", " ")}"\nat = "{at}"\nclass = "{klass}"\n{more}'


IGNITERS = "".join(
    [
        *(igniter(f"near/{w}") for w in (1, 2, 3)),
        *(igniter(f"far/{w}") for w in (4, 5)),
        igniter("near/6"),
        igniter("far/6"),
    ]
)


def assessed(text: str, folder: Path) -> Assessment:
    """Assessment of a show given as TOML."""
    file = folder / "show.toml"
    file.write_text(text, encoding="utf-8")
    return assess(load_show(file, kit_dirs=[KITS]).layout)


class Draw:
    """A show whose every value is drawn once, so that all readings of it agree.

    From a normal distribution whose third standard deviation is at a band's ends; where `extreme`,
    the ends are as likely as all between them, as that is where judgement can go wrong. Cables of
    one sort have most of their scatter in common, as those of one drum do.
    """

    def __init__(self, bench: MeterBench, rng: np.random.Generator, extreme: bool = False) -> None:
        self.bench, self.rng, self.extreme = bench, rng, extreme
        self.z: dict[object, float] = {}

    def _z(self, name: object) -> float:
        if name not in self.z:
            normal = float(np.clip(self.rng.standard_normal(), -3.0, 3.0))
            end = float(self.rng.choice([-3.0, 3.0, self.rng.uniform(-3.0, 3.0)]))
            self.z[name] = end if self.extreme else normal
        return self.z[name]

    def _value(self, low: float, high: float, z: float) -> float:
        return (low + high) / 2.0 + z * (high - low) / 6.0

    def _element(self, e: Element, owner: object) -> float:
        z = self._z((owner, e.label))
        if e.kind == "cable" and not self.extreme:
            z = 0.8**0.5 * self._z(e.item) + 0.2**0.5 * z
            z = float(np.clip(z, -3.0, 3.0))
        return self._value(e.ohm.min, e.ohm.max, z)

    def ohm(self, way: WayKey, place: str) -> float:
        """What a perfect meter reads."""
        probe = self.bench.probe(way, place)
        owner = self.bench.builder.way(way).bridge_igniter
        nodes = [sum(self._element(e, way) for e in n.elements) for n in probe.nodes]
        strings = []
        for s in probe.strings:
            total = sum(self._element(e, (way, s.bridges, i)) for i, e in enumerate(s.elements))
            for b in s.bridges:
                band = self.bench.placed[owner[b]].klass.bridge_ohm
                assert band is not None
                total += self._value(band.min, band.max, self._z((way, b)))
            strings.append(total)
        return independent_ohm(probe, np.array(nodes), np.array(strings))


def independent_ohm(
    probe: Probe,
    node_ohm: np.ndarray,
    string_ohm: np.ndarray,
    cross_S: np.ndarray | None = None,
) -> float:
    """Resistance between the probes by nodal equations, without the tree recursion."""
    n = len(probe.nodes)
    matrix = np.zeros((n, n))
    for i, node in enumerate(probe.nodes):
        if i == 0:
            continue
        g = 1.0 / max(node_ohm[i], 1e-9)
        matrix[np.ix_([i, node.parent], [i, node.parent])] += g * np.array([[1, -1], [-1, 1]])
        if cross_S is not None:
            matrix[i, i] += cross_S[i]
    for i, s in enumerate(probe.strings):
        matrix[s.node, s.node] += 1.0 / string_ohm[i]
    side = np.zeros(n)
    side[0] = 1.0
    return float(np.linalg.solve(matrix, side)[0])


def readings_of(
    assessment: Assessment,
    rng: np.random.Generator,
    places: Iterable[tuple[WayKey, str]] | None = None,
    moment: Moment = "before",
    *,
    extreme: bool = False,
) -> list[Reading]:
    """Readings of a show with drawn values, at all places or some."""
    draw = Draw(MeterBench(assessment), rng, extreme)
    if places is None:
        places = [(w, p) for w, ps in places_of(assessment).items() for p in ps]
    return [Reading(w, p, moment, draw.ohm(w, p)) for w, p in places]


def study(
    assessment: Assessment,
    rows: Sequence[Reading],
    meter: MeterAccuracy = METER,
    leads_ohm: float = 0.0,
) -> ReadingsStudy:
    """Judge readings."""
    return study_readings(assessment, Readings("drawn.csv", "", tuple(rows)), meter, leads_ohm)
