"""How well faults explain the readings of one way: predicted readings with their scatter."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from attrs import define, field, frozen

from bridgewire.bench.circuits import MeterBench
from bridgewire.bench.faults import OPEN_OHM, TreeFault, WayFault
from bridgewire.bench.probe import BOX, Probe
from bridgewire.circuit.elements import Element
from bridgewire.circuit.layout import WayKey
from bridgewire.physics.network import LEAST_OHM, Floats, Ints
from bridgewire.uncertainty.scatter import band_sigma
from bridgewire.uncertainty.shares import SHARES

MISREAD = 1e-4
"""Chance that a meter shows an open circuit for a closed one, or the other way (common practice,
no source)."""
SEEN_OPEN_OHM = 1e6
"""From here on a meter shows an open circuit."""
LEAST_SD_OHM = 0.005
STEPS = np.linspace(-3.0, 3.0, 7)
"""Where the part of the cables' scatter that they have in common is tried, standard deviations."""


@frozen
class Observation:
    """One reading, with the meter's leads taken off."""

    way: WayKey
    place: str
    ohm: float
    """``inf`` for an open circuit."""
    limit_ohm: float
    """Largest error of the meter."""
    leads_off: bool
    """Whether the leads were stated and taken off."""


@frozen(eq=False)
class TreePoints:
    """Points of the grids of some tree faults, each with each step of the common cable scatter."""

    faults: tuple[TreeFault, ...]
    fault: Ints
    point: Ints
    step: Floats
    log_prior: Floats
    index: Ints
    """Place of each point among all points of the faults."""

    def take(self, index: Ints) -> TreePoints:
        """Some of the points."""
        return TreePoints(
            self.faults,
            self.fault[index],
            self.point[index],
            self.step[index],
            self.log_prior[index],
            self.index[index],
        )

    @classmethod
    def of(cls, faults: Sequence[TreeFault], weights: Sequence[float]) -> TreePoints:
        """All points of some faults, with their prior weights."""
        normal = np.exp(-(STEPS**2) / 2.0)
        normal /= normal.sum()
        fault, point, step, prior = [], [], [], []
        for i, (f, w) in enumerate(zip(faults, weights, strict=True)):
            for k in range(f.points):
                for z, share in zip(STEPS, normal, strict=True):
                    fault.append(i)
                    point.append(k)
                    step.append(z)
                    prior.append(math.log(w / f.points * share))
        return cls(
            tuple(faults),
            np.array(fault, dtype=np.intp),
            np.array(point, dtype=np.intp),
            np.array(step),
            np.array(prior),
            np.arange(len(fault), dtype=np.intp),
        )


@define(eq=False)
class _View:
    """One observation's circuit as arrays."""

    probe: Probe
    seen: Observation
    node: Floats
    cable: Floats
    cable_sd: Floats
    node_sd: Floats
    string: Floats
    string_sd: Floats


@define(eq=False)
class WayModel:
    """The readings of one way, and the circuits that they were taken on."""

    bench: MeterBench
    key: WayKey
    seen: tuple[Observation, ...]
    at_strips: MeterBench | None = None
    """For readings at strips, where they are of other wiring than those at the box."""
    views: list[_View] = field(init=False)
    _stretch: Floats | None = field(init=False, default=None)
    """For all tree points and readings; of faults whose points are all there when first asked."""

    def __attrs_post_init__(self) -> None:
        self.views = [self._view(o) for o in self.seen]

    def _view(self, seen: Observation) -> _View:
        bench = self.bench
        if seen.place != BOX and self.at_strips is not None:
            bench = self.at_strips
        probe = bench.probe(self.key, seen.place)
        sigmas = band_sigma(bench.assessment.layout)
        share = SHARES["cable drum"]
        n = len(probe.nodes)
        cable, cable_sd, var = np.zeros(n), np.zeros(n), np.zeros(n)
        for i, node in enumerate(probe.nodes):
            for e in node.elements:
                sd = _element_sd(e, sigmas)
                if e.kind == "cable":
                    cable[i] += e.ohm.typical
                    cable_sd[i] += sd
                    # What cables have in common is tried in steps; each stands for its stretch.
                    var[i] += sd**2 * (1.0 - share + share / 12.0)
                else:
                    var[i] += sd**2
        owner = bench.builder.way(self.key).bridge_igniter
        string = probe.lead_ohm()[1].copy() if probe.strings else np.zeros(0)
        string_var = np.zeros(len(probe.strings))
        for i, s in enumerate(probe.strings):
            string_var[i] += sum(_element_sd(e, sigmas) ** 2 for e in s.elements)
            for b in s.bridges:
                band = bench.placed[owner[b]].klass.bridge_ohm
                assert band is not None
                string[i] += band.typical
                string_var[i] += ((band.max - band.min) / (2.0 * sigmas)) ** 2
        return _View(
            probe,
            seen,
            probe.node_ohm()[1],
            cable,
            cable_sd * math.sqrt(share),
            np.sqrt(var),
            string,
            np.sqrt(string_var),
        )

    def predict(self, tree: TreePoints, ways: Sequence[WayFault]) -> tuple[Floats, Floats]:
        """Mean and covariance of the readings.

        Returns
        -------
        mean : array, shape (tree points, way points, readings)
            ``inf`` where an open circuit is expected.
        covariance : array, shape (tree points, way points, readings, readings)
        """
        means: list[Floats] = []
        spreads: list[dict[object, Floats]] = []
        for view in self.views:
            mean, spread = self._predict_one(view, tree, ways)
            means.append(mean)
            spreads.append(spread)
        mean = np.stack(means, axis=-1)
        shape = mean.shape
        covariance = np.zeros((*shape, shape[-1]))
        for name in dict.fromkeys(n for s in spreads for n in s):
            column = np.stack([s.get(name, np.zeros(shape[:-1])) for s in spreads], axis=-1)
            covariance += column[..., :, None] * column[..., None, :]
        if self._stretch is None:
            self._stretch = _tree_stretch(mean[:, 0], tree)
        for stretch in (self._stretch[tree.index][:, None, :], _way_stretch(mean, ways)):
            covariance += stretch[..., :, None] * stretch[..., None, :]
        for i, view in enumerate(self.views):
            meter = view.seen.limit_ohm / math.sqrt(3.0)
            covariance[..., i, i] += meter**2 + LEAST_SD_OHM**2
        return mean, covariance

    def _predict_one(
        self, view: _View, tree: TreePoints, ways: Sequence[WayFault]
    ) -> tuple[Floats, dict[object, Floats]]:
        node_t, reading_t = _of_tree(view, tree)
        node_f, node_S, string_f, sd_f = _of_way(view, ways)
        node = np.maximum(view.node + node_t[:, None, :] + node_f[None, :, :], 0.0)
        string = np.maximum(view.string + string_f[None, :, :], 0.0)
        ohm, node_share, string_share = solve(view.probe, node, node_S[None, :, :], string)
        spread: dict[object, Floats] = {}
        for i, n in enumerate(view.probe.nodes):
            if i and view.node_sd[i] > 0.0:
                spread["node", n.part, n.terminal] = node_share[..., i] * view.node_sd[i]
        for i, s in enumerate(view.probe.strings):
            spread["string", s.bridges] = string_share[..., i] * view.string_sd[i]
            spread["new", s.bridges] = string_share[..., i] * sd_f[:, i]
        return ohm + reading_t[:, None], spread

    def log_likelihood(self, tree: TreePoints, ways: Sequence[WayFault]) -> Floats:
        """Of all readings together: shape (tree points, way points)."""
        mean, covariance = self.predict(tree, ways)
        value = np.array([o.ohm for o in self.seen])
        open_seen = np.isinf(value)
        open_expected = ~np.isfinite(mean) | (mean > SEEN_OPEN_OHM)
        log = np.zeros(mean.shape[:-1])
        plain = ~open_seen & ~open_expected
        off = np.where(plain, np.where(open_seen, 0.0, value) - np.where(plain, mean, 0.0), 0.0)
        mask = plain[..., :, None] & plain[..., None, :]
        eye = np.eye(value.size)
        # A reading that takes no part gets a factor of 1.
        matrix = (
            np.where(mask, covariance, 0.0)
            + eye * np.where(plain, 0.0, 1.0 / (2.0 * math.pi))[..., None, :]
        )
        if value.size == 1:
            var = matrix[..., 0, 0]
            log += -0.5 * (off[..., 0] ** 2 / var + np.log(2.0 * math.pi * var))
        else:
            solved = np.linalg.solve(matrix, off[..., None])[..., 0]
            _, det = np.linalg.slogdet(matrix)
            log += -0.5 * ((off * solved).sum(-1) + det + value.size * math.log(2.0 * math.pi))
        for i, o in enumerate(self.seen):
            if open_seen[i]:
                log += np.log(np.where(open_expected[..., i], 1.0 - MISREAD, MISREAD))
            else:
                wrong = math.log(MISREAD) + broad(o.ohm)
                log += np.where(open_expected[..., i], wrong, 0.0)
        return log

    def broad_log(self) -> float:
        """Log-likelihood of a fault that is not in the list: any resistance."""
        return sum(math.log(0.1) if math.isinf(o.ohm) else broad(o.ohm) for o in self.seen)


def broad(ohm: float) -> float:
    """Log density of a reading that could be anything from 0.01 to 1000 ohm."""
    return -math.log(max(ohm, 0.05) * math.log(1e5))


def _element_sd(e: Element, sigmas: float) -> float:
    return (e.ohm.max - e.ohm.min) / (2.0 * sigmas)


def _of_tree(view: _View, tree: TreePoints) -> tuple[Floats, Floats]:
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


def _of_way(view: _View, ways: Sequence[WayFault]) -> tuple[Floats, Floats, Floats, Floats]:
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


def _fed(view: _View, node: int) -> bool:
    """Whether a node below the meter is behind its run, not only behind a strip's track."""
    return view.probe.place != view.probe.nodes[node].part


def _tree_stretch(mean: Floats, tree: TreePoints) -> Floats:
    """Half-width of the stretch that each tree point stands for, as a standard deviation.

    Points of a fault stand together, each with all its steps.
    """
    out = np.zeros((int(tree.index.max()) + 1, mean.shape[-1]))
    begin = 0
    while begin < tree.fault.size:
        end = begin + int(np.searchsorted(tree.fault[begin:], tree.fault[begin], side="right"))
        points = tree.faults[int(tree.fault[begin])].points
        if points > 1 and end - begin == points * STEPS.size:
            block = mean[begin:end].reshape(points, STEPS.size, -1)
            found = _stretch(block, np.arange(points))
            out[tree.index[begin:end]] = found.reshape(end - begin, -1)
        begin = end
    return out


def _stretch(mean: Floats, point: Ints) -> Floats:
    if mean.shape[0] < 2:
        return np.zeros_like(mean)
    known = np.where(np.isfinite(mean), mean, OPEN_OHM)
    slope = np.gradient(known, point.astype(float), axis=0)
    return np.where(np.abs(slope) < SEEN_OPEN_OHM, slope, 0.0) / math.sqrt(12.0)


def _way_stretch(mean: Floats, ways: Sequence[WayFault]) -> Floats:
    out = np.zeros_like(mean)
    start = 0
    for fault in ways:
        if fault.points > 1:
            rows = slice(start, start + fault.points)
            turned = np.moveaxis(mean[:, rows], 1, 0)
            out[:, rows] = np.moveaxis(_stretch(turned, np.arange(fault.points)), 0, 1)
        start += fault.points
    return out


def solve(
    probe: Probe, node_ohm: Floats, node_S: Floats, string_ohm: Floats
) -> tuple[Floats, Floats, Floats]:
    """Resistance seen, and how much it rises with the resistance of each node and string.

    The rise is the square of the share of the meter's current that passes.

    Parameters
    ----------
    probe : Probe
    node_ohm, node_S : array, shape (..., nodes)
        Branch of each node, and conductance added across each node.
    string_ohm : array, shape (..., strings)

    Returns
    -------
    ohm : array, shape (...)
    node_rise : array, shape (..., nodes)
    string_rise : array, shape (..., strings)
    """
    shape = np.broadcast_shapes(node_ohm.shape[:-1], node_S.shape[:-1], string_ohm.shape[:-1])
    through = 1.0 / np.maximum(string_ohm, LEAST_OHM)
    through = np.where(string_ohm >= OPEN_OHM / 2.0, 0.0, through)
    load = [np.broadcast_to(node_S[..., i], shape).copy() for i in range(len(probe.nodes))]
    for i, string in enumerate(probe.strings):
        load[string.node] += through[..., i]
    here: list[Floats] = [np.zeros(shape) for _ in probe.nodes]
    for n in range(len(probe.nodes) - 1, 0, -1):
        series = node_ohm[..., n]
        here[n] = np.where(series >= OPEN_OHM / 2.0, 0.0, load[n] / (1.0 + series * load[n]))
        load[probe.nodes[n].parent] += here[n]
    whole = [np.maximum(x, 1e-300) for x in load]
    share = [np.ones(shape)] * len(probe.nodes)
    node_rise = np.zeros((*shape, len(probe.nodes)))
    for n in range(1, len(probe.nodes)):
        parent = probe.nodes[n].parent
        share[n] = share[parent] * here[n] / whole[parent]
        node_rise[..., n] = share[n] ** 2
    string_rise = np.zeros((*shape, len(probe.strings)))
    for i, string in enumerate(probe.strings):
        string_rise[..., i] = (share[string.node] * through[..., i] / whole[string.node]) ** 2
    ohm = np.where(load[0] > 0.0, 1.0 / whole[0], np.inf)
    return ohm, node_rise, string_rise
