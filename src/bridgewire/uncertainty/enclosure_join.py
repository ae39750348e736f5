"""All firings that are enclosed at once as one network."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from bridgewire.physics.network import Floats, Ints
from bridgewire.physics.supply import SupplyArrays
from bridgewire.physics.tree import TreeNetwork
from bridgewire.uncertainty.enclosure_group import Group
from bridgewire.uncertainty.envelope_network import EnvelopeBridges, EnvelopeNetwork, Members


def join(groups: Sequence[Group]) -> tuple[EnvelopeNetwork, EnvelopeBridges, Floats]:
    """All groups as one network."""
    segments = max(len(g.times_s) for g in groups) - 1
    parents, ohms, circuits, nodes_of, fixed, on, bounds = [], [], [], [], [], [], []
    inner_group, heads, strings_of = [], [], []
    node = inner = string = state = member = 0
    shifted: dict[str, list[Ints]] = {n: [] for n in _SHIFTED}
    for number, g in enumerate(groups):
        m, width, per = g.inners, g.parent.size, g.string_node.size
        at = node + np.arange(m)[:, None] * width
        parents.append(np.where(g.parent[None, :] < 0, -1, g.parent[None, :] + at).ravel())
        ohms.append(np.concatenate([np.zeros((m, 1)), g.node_ohm], axis=1).ravel())
        circuits.append(np.repeat(np.arange(inner, inner + m), width))
        nodes_of.append((g.string_node[None, :] + at).ravel())
        fixed.append(g.string_ohm.ravel())
        pad = segments - g.string_on.shape[1]
        on.append(np.tile(np.pad(g.string_on, ((0, 0), (0, pad))), (m, 1)))
        bounds.append(g.times_s + [g.times_s[-1]] * pad)
        inner_group.append(np.full(m, number))
        first = np.flatnonzero(np.diff(g.bridge_string, prepend=-1))
        heads.append((member + np.arange(m)[:, None] * g.bridge_string.size + first).ravel())
        for name, by in (
            ("rise_of", state),
            ("certain_of", state),
            ("possible_of", state),
            ("inner_voltage", state),
            ("state_inner", inner),
            ("limiter", inner),
            ("state_string", string),
        ):
            values = getattr(g.members if name.endswith("_of") else g, name)
            shifted[name].append(np.where(values >= 0, values + by, -1))
        strings_of.append(g.bridges.string + state)
        node, inner, string = node + m * width, inner + m, string + m * per
        state, member = state + g.is_voltage.size, member + g.members.own.size
    tree, _ = TreeNetwork.in_any_order(
        parent=np.concatenate(parents),
        branch_ohm=np.concatenate(ohms),
        circuit_of_node=np.concatenate(circuits),
        string_node=np.concatenate(nodes_of),
        string_fixed_ohm=np.concatenate(fixed),
        string_on=np.concatenate(on),
        drop_V=np.concatenate([g.drop_V for g in groups]),
        supply=_joined_supply([g.supply for g in groups]),
    )
    index = {n: np.concatenate(v).astype(np.intp) for n, v in shifted.items()}
    of_members: dict[str, Any] = {
        n: np.concatenate([getattr(g.members, n) for g in groups])
        for n in ("own", "telling", "low", "cold_ohm", "rise_per_x", "after_ohm", "top_x")
    }
    of_members.update({n: index[n] for n in ("rise_of", "certain_of", "possible_of")})
    members = Members(**of_members)
    network = EnvelopeNetwork(
        circuit_of_string=np.repeat(np.arange(len(groups)), [g.is_voltage.size for g in groups]),
        inner=tree,
        inner_group=np.concatenate(inner_group),
        members=members,
        heads=np.concatenate(heads),
        is_voltage=np.concatenate([g.is_voltage for g in groups]),
        full_V=np.concatenate([g.full_V for g in groups]),
        **{n: index[n] for n in ("state_inner", "state_string", "inner_voltage", "limiter")},
    )
    names = ("cold_ohm", "rise_per_x", "threshold_A", "tau_s", "burn_open", "after_ohm", "x")
    of_bridges: dict[str, Any] = {
        n: np.concatenate([getattr(g.bridges, n) for g in groups])
        for n in (*names, "lit", "parted", "cooling", "fall_per_As")
    }
    bridges = EnvelopeBridges(string=np.concatenate(strings_of), **of_bridges)
    return network, bridges, np.array(bounds)


_SHIFTED = (
    "rise_of",
    "certain_of",
    "possible_of",
    "inner_voltage",
    "state_inner",
    "limiter",
    "state_string",
)


def _joined_supply(parts: Sequence[SupplyArrays]) -> SupplyArrays:
    names = (
        "emf_V",
        "internal_ohm",
        "limit_A",
        "short_circuit_A",
        "nominal_V",
        "capacitance_F",
    )
    values: dict[str, Any] = {n: np.concatenate([getattr(p, n) for p in parts]) for n in names}
    return SupplyArrays(**values)
