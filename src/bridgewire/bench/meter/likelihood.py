"""How well faults explain the readings of one way: predicted readings with their scatter."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from attrs import define, field

from bridgewire.bench.meter.expected import MeterBench
from bridgewire.bench.meter.faults import OPEN_OHM, WayFault
from bridgewire.bench.meter.points import STEPS, TreePoints
from bridgewire.bench.meter.probe import BOX
from bridgewire.bench.meter.rises import solve
from bridgewire.bench.meter.view import Observation, View, make_view, of_tree, of_way
from bridgewire.circuit.layout import WayKey
from bridgewire.physics.network import Bools, Floats, Ints

MISREAD = 1e-4
"""Chance that a meter shows an open circuit for a closed one, or the other way (common practice,
no source)."""
SEEN_OPEN_OHM = 1e6
"""From here on a meter shows an open circuit."""
LEAST_SD_OHM = 0.005
"""Scatter of every reading, however good the meter: probes are never set on twice alike (common
practice, no source)."""


@define(eq=False)
class WayModel:
    """The readings of one way, and the circuits that they were taken on."""

    bench: MeterBench
    key: WayKey
    seen: tuple[Observation, ...]
    at_strips: MeterBench | None = None
    """For readings at strips, where they are of other wiring than those at the box."""
    views: list[View] = field(init=False)
    _stretch: Floats | None = field(init=False, default=None)
    """For all tree points and readings; of faults whose points are all there when first asked."""

    def __attrs_post_init__(self) -> None:
        self.views = [
            make_view(self.bench if o.place == BOX else self.at_strips or self.bench, o)
            for o in self.seen
        ]

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
        self, view: View, tree: TreePoints, ways: Sequence[WayFault]
    ) -> tuple[Floats, dict[object, Floats]]:
        node_t, reading_t = of_tree(view, tree)
        node_f, node_S, string_f, sd_f = of_way(view, ways)
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
        plain = ~open_seen & ~open_expected
        off = np.where(plain, np.where(open_seen, 0.0, value) - np.where(plain, mean, 0.0), 0.0)
        log = _log_normal(off, covariance, plain)
        for i, o in enumerate(self.seen):
            if open_seen[i]:
                log += np.log(np.where(open_expected[..., i], 1.0 - MISREAD, MISREAD))
            else:
                wrong = math.log(MISREAD) + broad(o.ohm)
                log += np.where(open_expected[..., i], wrong, 0.0)
        return log

    def broad_log(self) -> float:
        """Log-likelihood of a fault that is not in the list: open in one of ten, else anything."""
        return sum(math.log(0.1) if math.isinf(o.ohm) else broad(o.ohm) for o in self.seen)


def broad(ohm: float) -> float:
    """Log density of a reading that could be anything from 0.01 to 1000 ohm, log-uniform.

    Below 0.05 ohm it stays flat.
    """
    return -math.log(max(ohm, 0.05) * math.log(1e5))


def _log_normal(off: Floats, covariance: Floats, plain: Bools) -> Floats:
    """Log density of a normal distribution over the readings that take part."""
    # A reading that takes no part gets a factor of 1.
    alone = np.where(plain, 0.0, 1.0 / (2.0 * math.pi))[..., None, :]
    mask = plain[..., :, None] & plain[..., None, :]
    count = off.shape[-1]
    matrix = np.where(mask, covariance, 0.0) + np.eye(count) * alone
    out: Floats
    if count == 1:
        var = matrix[..., 0, 0]
        out = -0.5 * (off[..., 0] ** 2 / var + np.log(2.0 * math.pi * var))
    else:
        solved = np.linalg.solve(matrix, off[..., None])[..., 0]
        _, det = np.linalg.slogdet(matrix)
        out = -0.5 * ((off * solved).sum(-1) + det + count * math.log(2.0 * math.pi))
    return out


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
