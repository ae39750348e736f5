"""What a meter sees of a tree, and how much it rises with each resistance."""

from __future__ import annotations

import numpy as np

from bridgewire.bench.meter.faults import OPEN_OHM
from bridgewire.bench.meter.probe import Probe
from bridgewire.physics.network import LEAST_OHM, Floats


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
