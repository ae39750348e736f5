"""Tolerance corners: scenarios for each igniter's latest and earliest light.

For each target igniter the *slow* scenarios take what lights it latest: the supply weak, its own
path and bridge resistive, its own heating slow; its series mates part soonest; bridges beside its
path part late. What the branches beside its path should be is not plain: of low resistance they
steal most, of high resistance they heat slowly and steal longest. Both are run (*slow* and
*starved*), and the worse one counts; *fast* and *fed* are the opposite pair. This follows the sign
of each effect and tries both where the sign is open; it is not a proof over the tolerance box.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property

import numpy as np
from attrs import define, frozen
from numpy.typing import NDArray

from bridgewire.circuit.ways import AfterOhm, BridgeData, WayCircuit
from bridgewire.model.band import Band
from bridgewire.physics.network import Bools, Floats, Ints

LOW, TYPICAL, HIGH = 0, 1, 2
TYPICAL_ROW, UNPARTED_ROW, FIRST_TARGET_ROW = 0, 1, 2


@frozen(eq=False)
class Values:
    """Numbers of all scenarios of a component; first axis: scenario."""

    node_ohm: Floats
    string_ohm: Floats
    bridge_ohm: Floats
    threshold_A: Floats
    tau_s: Floats
    burn_open: Floats
    after_ohm: Floats
    supply: Ints
    """0 weak, 1 typical, 2 strong."""


@define(eq=False)
class Component:
    """Ways that have to be followed together, with their bridges as arrays.

    Rows of scenarios: typical; typical with bridges that never part; then for each target those
    of `kinds`. *quick* is early in a show whose shared parts are slow.
    """

    ways: tuple[WayCircuit, ...]
    quick: bool

    @cached_property
    def node_start(self) -> list[int]:
        """Index of each way's first node."""
        return _starts([len(w.nodes) for w in self.ways])

    @cached_property
    def string_start(self) -> list[int]:
        """Index of each way's first string."""
        return _starts([len(w.strings) for w in self.ways])

    @cached_property
    def bridge_start(self) -> list[int]:
        """Index of each way's first bridge."""
        return _starts([len(w.bridge_igniter) for w in self.ways])

    @cached_property
    def parent(self) -> Ints:
        """Parent node of each node; -1 for the first node of a way."""
        return np.array(
            [
                -1 if n.parent < 0 else n.parent + start
                for w, start in zip(self.ways, self.node_start, strict=True)
                for n in w.nodes
            ],
            dtype=np.intp,
        )

    @cached_property
    def string_node(self) -> Ints:
        """Node of each string."""
        return np.array(
            [
                s.node + start
                for w, start in zip(self.ways, self.node_start, strict=True)
                for s in w.strings
            ],
            dtype=np.intp,
        )

    @cached_property
    def bridge_string(self) -> Ints:
        """String of each bridge."""
        return np.array(
            [
                i + start
                for w, start in zip(self.ways, self.string_start, strict=True)
                for i, s in enumerate(w.strings)
                for _ in s.bridges
            ],
            dtype=np.intp,
        )

    @cached_property
    def bridge_igniter(self) -> Ints:
        """Index in the show of the igniter entry of each bridge."""
        return np.array([i for w in self.ways for i in w.bridge_igniter], dtype=np.intp)

    @cached_property
    def data(self) -> list[BridgeData]:
        """Class data of each bridge."""
        return [d for w in self.ways for d in w.bridge_data if d is not None]

    @cached_property
    def targets(self) -> dict[int, int]:
        """Igniter entry -> its first bridge; one slow and one fast scenario for each."""
        out: dict[int, int] = {}
        for bridge, igniter in enumerate(self.bridge_igniter.tolist()):
            out.setdefault(igniter, bridge)
        return out

    @cached_property
    def kinds(self) -> tuple[str, ...]:
        """Scenarios of each target: with neighbours, both choices of what stands beside it."""
        several = len(self.data) > 1
        kinds = ("slow", "fast", *(("starved", "fed") if several else ()))
        return (*kinds, "quick") if self.quick else kinds

    @property
    def scenarios(self) -> int:
        """Count of scenarios."""
        return FIRST_TARGET_ROW + len(self.kinds) * len(self.targets)

    def row(self, igniter: int, kind: str) -> int:
        """Row of one of an igniter's scenarios."""
        offset = self.kinds.index(kind)
        return FIRST_TARGET_ROW + offset * len(self.targets) + self._places[igniter]

    def slow_rows(self, igniter: int) -> list[int]:
        """Rows of an igniter's slow scenarios."""
        return [self.row(igniter, k) for k in ("slow", "starved") if k in self.kinds]

    def fast_rows(self, igniter: int) -> list[int]:
        """Rows of an igniter's fast scenarios."""
        return [self.row(igniter, k) for k in ("fast", "fed") if k in self.kinds]

    @cached_property
    def _places(self) -> dict[int, int]:
        return {igniter: place for place, igniter in enumerate(self.targets)}

    @cached_property
    def node_path(self) -> Bools:
        """Nodes on the path to each target: shape (targets, nodes)."""
        path = np.zeros((len(self.targets), self.parent.size), dtype=bool)
        for row, bridge in enumerate(self.targets.values()):
            node = int(self.string_node[self.bridge_string[bridge]])
            while node >= 0:
                path[row, node] = True
                node = int(self.parent[node])
        return path

    def values(self) -> Values:
        """Numbers of all scenarios."""
        return scenario_values(
            self, self.node_path, np.concatenate([w.node_ohm for w in self.ways])
        )

    @cached_property
    def rise_per_x(self) -> Floats:
        """Relative rise of each bridge's resistance per unit of x."""
        return np.array([d.rise_per_x for d in self.data])

    @cached_property
    def after_ohm(self) -> Floats:
        """Typical resistance of each bridge once parted."""
        return np.array([d.after_ohm.typical for d in self.data])


def _starts(counts: Sequence[int]) -> list[int]:
    return [0, *np.cumsum(counts)[:-1].tolist()] if counts else []


def ends(bands: Sequence[Band | AfterOhm]) -> Floats:
    """Low, typical and high of some bands: shape (bands, 3)."""
    return np.array([(b.min, b.typical, b.max) for b in bands])


def scenario_values(component: Component, path: Bools, branch_ohm: NDArray[np.float64]) -> Values:
    """Choose low, typical or high of every value in every scenario.

    Parameters
    ----------
    component : Component
    path : bool array, shape (targets, branches)
        Branches on each target's own path.
    branch_ohm : array, shape (branches, 3)
    """
    c = component
    first = np.fromiter(c.targets.values(), dtype=np.intp)
    own = np.arange(len(c.data))[None, :] == first[:, None]
    own_string = np.arange(c.string_node.size)[None, :] == c.bridge_string[first][:, None]
    mate = (c.bridge_string[None, :] == c.bridge_string[first][:, None]) & ~own
    shared = (path.sum(axis=0) > 1)[None, :] & path

    def rows(choice: Mapping[str, Ints]) -> Ints:
        """Stack the choices of all scenarios: typical twice, then each kind for all targets."""
        plain = np.full((FIRST_TARGET_ROW, choice["slow"].shape[1]), TYPICAL)
        return np.concatenate([plain, *(choice[k] for k in c.kinds)])

    def beside(mine: Bools, shared_high: Bools) -> Ints:
        """Choices for resistances: `mine` high when slow; what stands beside it both ways."""
        return rows(
            {
                "slow": np.where(mine, HIGH, LOW),
                "fast": np.where(mine, LOW, HIGH),
                "starved": np.full(mine.shape, HIGH),
                "fed": np.full(mine.shape, LOW),
                "quick": np.where(mine & ~shared_high, LOW, HIGH),
            }
        )

    node = beside(path, shared)
    string = beside(own_string, np.zeros_like(own_string))
    # Mates in series part soonest where the target is to be late, latest where early.
    ohm = beside(own | mate, np.zeros_like(own))
    # Heating: HIGH is slow. Burn-open: HIGH parts late.
    heat_slow = np.where(own | ~mate, HIGH, LOW)
    heat_fast = np.where(own | ~mate, LOW, HIGH)
    heat = rows(
        {
            "slow": heat_slow,
            "fast": heat_fast,
            "starved": heat_slow,
            "fed": heat_fast,
            "quick": heat_fast,
        }
    )
    # Once parted a mate in series holds current back, what stands beside the path takes it.
    late, early = np.where(mate, HIGH, LOW), np.where(mate, LOW, HIGH)
    after = rows({"slow": late, "starved": late, "fast": early, "fed": early, "quick": early})
    columns = np.arange(len(c.data))[None, :]
    bridge_ohm = ends([d.bridge_ohm for d in c.data])
    heating = np.array([(d.heating.fast, d.heating.typical, d.heating.slow) for d in c.data])
    part = ends([d.burn_open for d in c.data])
    burn_open = part[columns, heat]
    burn_open[UNPARTED_ROW] = np.inf
    weak = {"slow": LOW, "starved": LOW, "quick": LOW, "fast": HIGH, "fed": HIGH}
    supply = [TYPICAL] * FIRST_TARGET_ROW
    for kind in c.kinds:
        supply += [weak[kind]] * len(c.targets)
    string_all = np.concatenate([w.string_ohm for w in c.ways])
    return Values(
        node_ohm=branch_ohm[np.arange(branch_ohm.shape[0])[None, :], node],
        string_ohm=string_all[np.arange(string_all.shape[0])[None, :], string],
        bridge_ohm=bridge_ohm[columns, ohm],
        threshold_A=heating[columns, heat, 0],
        tau_s=heating[columns, heat, 1],
        burn_open=burn_open,
        after_ohm=ends([d.after_ohm for d in c.data])[columns, after],
        supply=np.array(supply, dtype=np.intp),
    )
