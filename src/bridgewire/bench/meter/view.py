"""A reading's circuit as arrays, and what faults change in it."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from attrs import frozen

from bridgewire.bench.meter.expected import MeterBench
from bridgewire.bench.meter.faults import WayFault
from bridgewire.bench.meter.points import TreePoints
from bridgewire.bench.meter.probe import Probe
from bridgewire.circuit.layout import WayKey
from bridgewire.model.band import Band
from bridgewire.model.kit import CableSpec
from bridgewire.physics.network import Floats
from bridgewire.uncertainty.shares import SHARES, band_sigma


@frozen
class Observation:
    """One reading, with the meter's leads taken off."""

    way: WayKey
    place: str
    ohm: float
    """At least 0; ``inf`` for an open circuit."""
    limit_ohm: float
    """Largest error of the meter."""
    leads_off: bool
    """Whether the leads were stated and taken off."""


@frozen(eq=False)
class View:
    """One observation's circuit as arrays over nodes and strings, all in ohm."""

    probe: Probe
    seen: Observation
    node: Floats
    """Typical loop resistance of each node's branch."""
    cable: Floats
    """The part of it that is cable."""
    cable_sd: Floats
    """Scatter that cables have in common."""
    node_sd: Floats
    """All other scatter of each branch."""
    string: Floats
    """Typical resistance of each string, bridges included."""
    string_sd: Floats


def make_view(bench: MeterBench, seen: Observation) -> View:
    """The circuit that a reading was taken on, as arrays."""
    probe = bench.probe(seen.way, seen.place)
    sigmas = band_sigma(bench.assessment.layout)
    n = len(probe.nodes)
    cable, cable_sd, var = np.zeros(n), np.zeros(n), np.zeros(n)
    for i, node in enumerate(probe.nodes):
        for e in node.elements:
            sd = band_sd(e.ohm, sigmas)
            if e.kind == "cable":
                share = _drum_share(e.cable)
                cable[i] += e.ohm.typical
                cable_sd[i] += sd * math.sqrt(share)
                # What cables have in common is tried in steps; each stands for its stretch.
                var[i] += sd**2 * (1.0 - share + share / 12.0)
            else:
                var[i] += sd**2
    owner = bench.builder.way(seen.way).bridge_igniter
    string = probe.lead_ohm()[1].copy() if probe.strings else np.zeros(0)
    string_var = np.zeros(len(probe.strings))
    for i, s in enumerate(probe.strings):
        string_var[i] += sum(band_sd(e.ohm, sigmas) ** 2 for e in s.elements)
        for b in s.bridges:
            band = bench.placed[owner[b]].klass.bridge_ohm
            assert band is not None
            string[i] += band.typical
            string_var[i] += band_sd(band, sigmas) ** 2
    return View(
        probe,
        seen,
        probe.node_ohm()[1],
        cable,
        cable_sd,
        np.sqrt(var),
        string,
        np.sqrt(string_var),
    )


def _drum_share(cable: CableSpec | None) -> float:
    """Part of the variance that cables of one drum have in common."""
    stated = None if cable is None else cable.drum_share
    return SHARES["cable drum"] if stated is None else stated


def band_sd(band: Band, sigmas: float) -> float:
    """Standard deviation of a value whose band ends `sigmas` of them from its middle."""
    return (band.max - band.min) / (2.0 * sigmas)


def of_tree(view: View, tree: TreePoints) -> tuple[Floats, Floats]:
    """Change of each node and of the reading at each tree point."""
    count = tree.fault.size
    node = np.zeros((count, len(view.probe.nodes)))
    reading = np.zeros(count)
    scale = np.ones_like(node)
    for k, fault in enumerate(tree.faults):
        rows = np.flatnonzero(tree.fault == k)
        if not rows.size:
            continue
        at = tree.point[rows]
        for i, n in enumerate(view.probe.nodes):
            if i == 0 or n.terminal:
                continue
            if n.part in fault.cable_scale:
                scale[rows, i] = fault.cable_scale[n.part][at]
            if n.part in fault.node_add and view.cable[i] > 0.0:
                node[rows, i] += fault.node_add[n.part][at]
        if fault.reading_add is not None and not view.seen.leads_off:
            reading[rows] += fault.reading_add[at]
    node += view.cable * (scale - 1.0) + scale * view.cable_sd * tree.step[:, None]
    return node, reading


def of_way(view: View, ways: Sequence[WayFault]) -> tuple[Floats, Floats, Floats, Floats]:
    """Changes of nodes and strings at each point of way faults."""
    count = sum(f.points for f in ways)
    nodes, strings = view.probe.nodes, view.probe.strings
    add, cross = np.zeros((count, len(nodes))), np.zeros((count, len(nodes)))
    string, sd = np.zeros((count, len(strings))), np.zeros((count, len(strings)))
    start = 0
    for fault in ways:
        rows = slice(start, start + fault.points)
        start += fault.points
        for i, n in enumerate(nodes):
            name = (n.part, n.terminal)
            if i and name in fault.node_add and (n.terminal or n.parent != 0 or _fed(view, i)):
                add[rows, i] = fault.node_add[name]
            if i and name in fault.node_S:
                cross[rows, i] = fault.node_S[name]
        for i, s in enumerate(strings):
            if s.bridges in fault.string_add:
                string[rows, i] = fault.string_add[s.bridges]
                sd[rows, i] = fault.string_sd
    return add, cross, string, sd


def _fed(view: View, node: int) -> bool:
    """Whether a node below the meter is behind its run, not only behind a strip's track."""
    return view.probe.place != view.probe.nodes[node].part
