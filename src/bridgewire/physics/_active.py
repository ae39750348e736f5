"""The circuits of a transient that are still under way, and what is recorded of them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from attrs import define

from bridgewire.physics.bridges import Bridges
from bridgewire.physics.network import Bools, Floats, Ints, Network, Solution
from bridgewire.physics.outcome import Outcome, Snapshot
from bridgewire.physics.step_response import crossing, response


@define(eq=False)
class Step:
    """A step as tried, before it is accepted; one entry per circuit or per bridge."""

    start_s: Floats
    dt: Floats
    z: Floats
    u0: Floats
    um: Floats
    second: Floats
    x_end: Floats
    top_s: Floats
    """Fraction of the step at which x is highest, and that x."""
    top_x: Floats
    now: Solution
    middle: Solution
    last: Solution
    emf_end: Floats
    used_C: Floats


def _span(sorted_circuits: Ints, circuit: int) -> slice:
    """Where the entries of one circuit stand."""
    first, end = np.searchsorted(sorted_circuits, [circuit, circuit + 1])
    return slice(int(first), int(end))


def _through(states: Sequence[Floats], s: Floats | float) -> Floats:
    """Value at a fraction of a step through those at its start, middle and end."""
    start, middle, end = states
    bend = end - 2.0 * middle + start
    return np.asarray(start + (2.0 * (middle - start) - bend) * s + 2.0 * bend * s * s)


class Active:
    """Circuits under way: their network and bridges, and their places in the whole batch."""

    def __init__(self, network: Network, bridges: Bridges, watch: Bools | None) -> None:
        branches = network.circuit_of_branch.size
        self.all_bridges = bridges
        self.net = network
        self.bridges = bridges.take(np.arange(bridges.x.size), bridges.string)
        self.circuit_ids = np.arange(network.emf_V.size)
        self.bridge_ids = np.arange(bridges.x.size)
        self.branch_ids = np.arange(branches)
        self.watch = np.zeros(bridges.x.size, dtype=bool) if watch is None else watch
        self.out = Outcome.empty(bridges.x, network.emf_V, branches)
        self._index()

    def _index(self) -> None:
        self.circuit_of_bridge = self.net.circuit_of_string[self.bridges.string]
        self.string_heads = np.flatnonzero(
            np.concatenate(([True], self.bridges.string[1:] != self.bridges.string[:-1]))
        )
        self.circuit_heads = np.flatnonzero(
            np.concatenate(([True], self.circuit_of_bridge[1:] != self.circuit_of_bridge[:-1]))
        )
        self.branches_stand_together = bool((np.diff(self.net.circuit_of_branch) >= 0).all())
        self.capacitor = bool(np.isfinite(self.net.capacitance_F).any())

    def note(self, solution: Solution) -> None:
        """Record the extremes of one solution."""
        self._note_some(
            solution, self.circuit_ids, self.bridge_ids, self.branch_ids, self.bridges.string
        )

    def note_step(self, accept: Bools, solution: Solution) -> None:
        """Record the extremes of a solution within a step, for circuits that took the step."""
        if accept.all():
            self.note(solution)
            return
        moved = accept[self.circuit_of_bridge]
        string = np.cumsum(accept[self.net.circuit_of_string]) - 1
        self._note_some(
            self.only(accept, solution),
            self.circuit_ids[accept],
            self.bridge_ids[moved],
            self.branch_ids[accept[self.net.circuit_of_branch]],
            string[self.bridges.string[moved]],
        )

    def _note_some(self, solution: Solution, c: Ints, k: Ints, n: Ints, string: Ints) -> None:
        out = self.out
        out.peak_A[k] = np.maximum(out.peak_A[k], np.abs(solution.string_A[string]))
        out.peak_supply_A[c] = np.maximum(out.peak_supply_A[c], solution.supply_A)
        out.lowest_supply_V[c] = np.minimum(out.lowest_supply_V[c], solution.supply_V)
        out.limited[c] |= solution.limited
        out.peak_branch_A[n] = np.maximum(out.peak_branch_A[n], np.abs(solution.branch_A))

    def light(self, which: Ints, step: Step) -> None:
        """Record the moment of ignition of some bridges within a step."""
        b, cb, out = self.bridges, self.circuit_of_bridge, self.out
        shape = (b.x[which], step.u0[which], step.um[which], step.second[which], step.z[which])
        s = crossing(np.ones(which.size), *shape, step.top_s[which])
        s = np.where(b.x[which] >= 1.0, 0.0, s)
        u = response(*shape, s)[1]
        k = self.bridge_ids[which]
        out.light_s[k] = step.start_s[cb[which]] + s * step.dt[cb[which]]
        out.light_A[k] = b.threshold_A[which] * np.sqrt(
            np.maximum(u, 0.0) / (1.0 + b.rise_per_x[which])
        )
        out.light_u[k] = u
        states = (step.now, step.middle, step.last)
        if b.laws:
            # A model's heating need not go with the square of the current.
            through = _through([q.string_A[b.string[which]] for q in states], s)
            out.light_A[k] = np.abs(through)
        b.lit[which] = True
        for i in np.flatnonzero(self.watch[k]):
            out.snapshots[int(k[i])] = self._snapshot(int(cb[which[i]]), states, float(s[i]))

    def _snapshot(self, circuit: int, states: Sequence[Solution], f: float) -> Snapshot:
        """Currents of a circuit at a fraction of a step, through its start, middle and end."""

        def at(part: slice, name: str) -> Floats:
            return _through([getattr(q, name)[part] for q in states], f)

        branches = _span(self.net.circuit_of_branch, circuit)
        return Snapshot(
            at(_span(self.net.circuit_of_string, circuit), "string_A"),
            at(branches, "branch_A") if self.branches_stand_together else None,
        )

    def watch_dark(self, circuits: Bools, solution: Solution) -> None:
        """Keep the currents of watched bridges that are not lit, where there are none yet."""
        b = self.bridges
        dark = circuits[self.circuit_of_bridge] & self.watch[self.bridge_ids] & ~b.lit
        for i in np.flatnonzero(dark & (np.abs(solution.string_A[b.string]) > 0.0)):
            circuit, bridge = int(self.circuit_of_bridge[i]), int(self.bridge_ids[i])
            if bridge not in self.out.snapshots:
                self.out.snapshots[bridge] = self._snapshot(circuit, (solution,) * 3, 1.0)

    def only(self, circuits: Bools, solution: Solution) -> Solution:
        """The part of a solution that belongs to some circuits."""
        strings = circuits[self.net.circuit_of_string]
        branches = circuits[self.net.circuit_of_branch]
        return Solution(
            solution.string_A[strings],
            solution.branch_A[branches],
            solution.supply_A[circuits],
            solution.supply_V[circuits],
            solution.limited[circuits],
        )

    def merge(self, circuits: Bools, one: Solution, other: Solution) -> Solution:
        """Some circuits of one solution, the rest of the other."""
        strings = circuits[self.net.circuit_of_string]
        branches = circuits[self.net.circuit_of_branch]
        return Solution(
            np.where(strings, one.string_A, other.string_A),
            np.where(branches, one.branch_A, other.branch_A),
            np.where(circuits, one.supply_A, other.supply_A),
            np.where(circuits, one.supply_V, other.supply_V),
            np.where(circuits, one.limited, other.limited),
        )

    def retire(self, done: Bools, emf_V: Floats) -> None:
        """Write the end state of finished circuits back and drop them from the work."""
        b, whole = self.bridges, self.all_bridges
        gone = done[self.circuit_of_bridge]
        ids = self.bridge_ids[gone]
        whole.x[ids], whole.lit[ids], whole.parted[ids] = b.x[gone], b.lit[gone], b.parted[gone]
        whole.after_ohm[ids] = b.after_ohm[gone]
        self.out.end_emf_V[self.circuit_ids[done]] = emf_V[done]
        keep = np.flatnonzero(~done)
        if not keep.size:
            self.circuit_ids = keep
            return
        strings = np.flatnonzero(~done[self.net.circuit_of_string])
        renumber = np.full(self.net.circuit_of_string.size, -1, dtype=np.intp)
        renumber[strings] = np.arange(strings.size)
        kept = np.flatnonzero(~gone)
        self.branch_ids = self.branch_ids[~done[self.net.circuit_of_branch]]
        self.bridges = b.take(kept, renumber[b.string[kept]])
        self.bridge_ids = self.bridge_ids[kept]
        self.net = self.net.take(keep)
        self.circuit_ids = self.circuit_ids[keep]
        self._index()
