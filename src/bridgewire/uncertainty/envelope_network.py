"""The network behind an enclosure: one circuit for each bound, coupled through their states.

A *group* is one firing of one component. Its states are, for each igniter entry, a lower and an
upper bound of the rise x of its bridges, and for a capacitor two bounds of its voltage. Each state
has a circuit of its own, with the values that make its rate of change lowest or highest; what
stands in that circuit beside the bridge in question is heated, whole or parted as the other
states say. To the solver a group is one circuit and a state is a string with one bridge, so the
states of a group are stepped together and a step ends where one of them says that a bridge has
certainly parted or may have parted.

The string resistances that the solver hands over are x itself, ``inf`` once that has happened.
"""

from __future__ import annotations

import numpy as np
from attrs import define, field, fields

from bridgewire.physics.bridges import Bridges
from bridgewire.physics.network import Bools, Floats, Ints, Solution
from bridgewire.physics.tree import TreeNetwork


@define(eq=False)
class Members:
    """The bridges of all inner circuits, by inner string.

    Attributes
    ----------
    rise_of : int array
        State whose x heats the bridge.
    certain_of, possible_of : int array
        States that say that it has certainly parted, or that it may have.
    own : bool array
        Whether it is the bridge that the circuit's state bounds, or one in series with it whose
        parting is judged apart: whole for as long as it matters.
    telling : bool array
        Whether its certain parting fixes its resistance.
    low : bool array
        Whether its resistance is wanted low rather than high.
    cold_ohm, rise_per_x, after_ohm : arrays
    top_x : array
        Highest x of a bridge that may have parted and has not.
    """

    rise_of: Ints
    certain_of: Ints
    possible_of: Ints
    own: Bools
    telling: Bools
    low: Bools
    cold_ohm: Floats
    rise_per_x: Floats
    after_ohm: Floats
    top_x: Floats

    def resistance(self, x: Floats, flagged: Bools) -> Floats:
        """Resistance of each bridge, ohm: the lowest or the highest that it may have."""
        rise = np.where(flagged[self.rise_of], self.top_x, x[self.rise_of])
        whole = self.cold_ohm * (1.0 + self.rise_per_x * rise)
        either = np.where(
            self.low, np.minimum(whole, self.after_ohm), np.maximum(whole, self.after_ohm)
        )
        possible = flagged[self.possible_of]
        certain = flagged[self.certain_of] & self.telling
        other = np.where(certain, self.after_ohm, np.where(possible, either, whole))
        return np.where(self.own, whole, other)

    def take(self, keep: Bools, renumber: Ints) -> Members:
        """Some of them, their states renumbered."""
        kept = {f.name: getattr(self, f.name)[keep] for f in fields(Members)}
        for name in ("rise_of", "certain_of", "possible_of"):
            kept[name] = renumber[kept[name]]
        return Members(**kept)


@define(eq=False)
class EnvelopeNetwork:
    """Groups of coupled bounds as a `bridgewire.physics.network.Network`.

    Attributes
    ----------
    circuit_of_string : int array
        Group of each state.
    inner : TreeNetwork
        One circuit for each state, and for some groups two more: the heaviest and the lightest
        load that the supply can have.
    inner_group : int array
        Group of each inner circuit.
    members : Members
    heads : int array
        First member of each inner string.
    state_inner, state_string : int arrays
        Inner circuit of each state, and the inner string whose current it takes.
    is_voltage : bool array
        Whether a state is a capacitor's voltage over `full_V`; it takes the supply's current.
    inner_voltage : int array
        State that is the source voltage of an inner circuit; -1 where that is fixed.
    full_V : array
        Voltage of each inner circuit where such a state is 1.
    limiter : int array
        For states on a fold-back supply the inner circuit that gives the extreme total current
        on its limit; else -1.
    """

    circuit_of_string: Ints
    inner: TreeNetwork
    inner_group: Ints
    members: Members
    heads: Ints
    state_inner: Ints
    state_string: Ints
    is_voltage: Bools
    inner_voltage: Ints
    full_V: Floats
    limiter: Ints

    @property
    def groups(self) -> int:
        """Count of groups."""
        return int(self.inner_group[-1]) + 1 if self.inner_group.size else 0

    @property
    def circuit_of_branch(self) -> Ints:
        """One stand-in branch for each group."""
        return np.arange(self.groups)

    @property
    def capacitance_F(self) -> Floats:
        """None: capacitors are states of their own here."""
        return np.full(self.groups, np.inf)

    @property
    def emf_V(self) -> Floats:
        """Not used."""
        return np.zeros(self.groups)

    def solve(self, string_ohm: Floats, segment: Ints, emf_V: Floats) -> Solution:
        """Currents of the states; `string_ohm` is their x, ``inf`` where the event is past."""
        flagged = np.isinf(string_ohm)
        x = np.where(flagged, 0.0, string_ohm)
        bridge_ohm = self.members.resistance(x, flagged)
        source_V = self.inner.emf_V
        if (self.inner_voltage >= 0).any():
            held = np.maximum(x[self.inner_voltage], 0.0) * self.full_V
            source_V = np.where(self.inner_voltage >= 0, held, source_V)
        found = self.inner.solve(
            np.add.reduceat(bridge_ohm, self.heads), segment[self.inner_group], source_V
        )
        total_A = found.supply_A[self.state_inner]
        current_A = found.string_A[self.state_string]
        if (self.limiter >= 0).any():
            at_limit = (self.limiter >= 0) & found.limited[self.limiter]
            share = current_A / np.maximum(total_A, 1e-300)
            most = np.where(at_limit, found.supply_A[self.limiter] * share, np.inf)
            current_A = np.minimum(current_A, most)
        current_A = np.where(self.is_voltage, total_A, current_A)
        none = np.zeros(segment.size)
        return Solution(current_A, none, none, emf_V, none > 0)

    def take(self, circuits: Ints) -> EnvelopeNetwork:
        """Only some groups, in rising order."""
        number = np.full(self.groups, -1, dtype=np.intp)
        number[circuits] = np.arange(circuits.size)
        states = number[self.circuit_of_string] >= 0
        inners = number[self.inner_group] >= 0
        strings = inners[self.inner.circuit_of_string]
        lengths = np.diff(np.append(self.heads, self.members.own.size))
        state_no, inner_no, string_no = (np.cumsum(k) - 1 for k in (states, inners, strings))

        def moved(values: Ints, to: Ints) -> Ints:
            return np.where(values >= 0, to[values], -1)

        return EnvelopeNetwork(
            circuit_of_string=number[self.circuit_of_string[states]],
            inner=self.inner.take(np.flatnonzero(inners)),
            inner_group=number[self.inner_group[inners]],
            members=self.members.take(np.repeat(strings, lengths), state_no),
            heads=np.concatenate(([0], np.cumsum(lengths[strings])[:-1])).astype(np.intp),
            state_inner=inner_no[self.state_inner[states]],
            state_string=string_no[self.state_string[states]],
            is_voltage=self.is_voltage[states],
            inner_voltage=moved(self.inner_voltage[inners], state_no),
            full_V=self.full_V[inners],
            limiter=moved(self.limiter[states], inner_no),
        )


@define(eq=False)
class EnvelopeBridges(Bridges):
    """States of an enclosure in the place of bridges.

    ``resistance`` is x itself. A lower bound cools with the shortest and an upper bound with the
    longest time constant that the data allow, which need not be the one it heats with.

    Attributes
    ----------
    cooling : array
        Time constant of heating over that of cooling.
    fall_per_As : array
        For a capacitor's voltage the fall, over its full value, for each ampere second; else 0.
    """

    cooling: Floats = field(kw_only=True)
    fall_per_As: Floats = field(kw_only=True)

    def take(self, keep: Ints, string: Ints) -> EnvelopeBridges:
        """Some states, by index, with their new string numbers."""
        plain = Bridges.take(self, keep, string)
        values = {f.name: getattr(plain, f.name) for f in fields(Bridges)}
        return EnvelopeBridges(
            **values, cooling=self.cooling[keep], fall_per_As=self.fall_per_As[keep]
        )

    def resistance(self, x: Floats) -> Floats:
        """What `EnvelopeNetwork.solve` wants to know of each state."""
        return np.where(self.parted, np.inf, x)

    def heating(self, string_A: Floats, x: Floats) -> Floats:
        """u of each state, so that ``(u - x) / tau_s`` is its rate of change."""
        current_A = string_A[self.string]
        ratio = current_A / self.threshold_A
        u = ratio * ratio * (1.0 + self.rise_per_x * x)
        u = np.where(u < x, x + (u - x) * self.cooling, u)
        u = np.where(self.fall_per_As > 0.0, x - self.tau_s * self.fall_per_As * current_A, u)
        return np.where(self.parted, 0.0, u)
