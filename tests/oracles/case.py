"""A firing circuit in plain terms, from which every solver's own input is built."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from attrs import evolve, field, frozen
from numpy.typing import NDArray

Rng = np.random.Generator


@frozen
class Igniter:
    """A bridge by its thermal data; temperatures are rises above ambient."""

    cold_ohm: float
    heat_J_per_K: float
    loss_W_per_K: float
    light_K: float
    open_K: float = math.inf
    alpha_per_K: float = 0.0
    after_ohm: float = math.inf
    start_K: float = 0.0

    @property
    def tau_s(self) -> float:
        return self.heat_J_per_K / self.loss_W_per_K

    @property
    def threshold_A(self) -> float:
        return math.sqrt(self.loss_W_per_K * self.light_K / self.cold_ohm)


@frozen
class Branch:
    """A resistance between two nodes."""

    start: int
    end: int
    ohm: float


@frozen
class String:
    """Igniters in series between two nodes, with leads; a diode conducts from start to end."""

    start: int
    end: int
    lead_ohm: float
    igniters: tuple[Igniter, ...]
    diode: bool = False
    on: tuple[bool, ...] = (True,)
    """Whether its way is switched on, per segment."""


@frozen
class Source:
    """A supply between node 1 (feed) and node 0 (return)."""

    emf_V: float
    internal_ohm: float
    limit_A: float = math.inf
    short_circuit_A: float = math.inf
    capacitance_F: float = math.inf

    @property
    def fold_S(self) -> float:
        """Rise of the limit with output voltage."""
        if math.isinf(self.limit_A):
            return 0.0
        return (self.limit_A - self.short_circuit_A) / self.emf_V


@frozen
class Case:
    """One circuit and its segments. Node 0 is the return, node 1 the feed terminal."""

    source: Source
    branches: tuple[Branch, ...]
    strings: tuple[String, ...]
    boundaries_s: tuple[float, ...]
    drop_V: float = 0.0

    @property
    def nodes(self) -> int:
        ends = [(b.start, b.end) for b in self.branches] + [(s.start, s.end) for s in self.strings]
        return max(2, *(max(pair) + 1 for pair in ends))

    @property
    def igniters(self) -> tuple[Igniter, ...]:
        return tuple(igniter for string in self.strings for igniter in string.igniters)

    @property
    def string_of_igniter(self) -> list[int]:
        return [i for i, string in enumerate(self.strings) for _ in string.igniters]

    def string_on(self, string: String, segment: int) -> bool:
        return string.on[min(segment, len(string.on) - 1)]


@frozen(eq=False)
class Events:
    """Light and parting time per igniter, nan where it did not happen, and the end state."""

    light_s: NDArray[np.float64]
    part_s: NDArray[np.float64]
    end_K: NDArray[np.float64] = field(factory=lambda: np.empty(0))
    end_emf_V: float = math.nan

    def worst_error(self, other: Events) -> float:
        """Largest difference of an event time, relative to the time; inf if events differ."""
        mine = np.concatenate([self.light_s, self.part_s])
        theirs = np.concatenate([other.light_s, other.part_s])
        if not np.array_equal(np.isnan(mine), np.isnan(theirs)):
            return math.inf
        happened = ~np.isnan(mine)
        if not happened.any():
            return 0.0
        return float(np.max(np.abs(mine - theirs)[happened] / theirs[happened]))


def reference_ladder() -> Case:
    """The four-rung ladder whose event times two outside solvers have given."""
    bridge = Igniter(1.7, 0.006, 0.002, 680.0, 1080.0, 1e-4)
    return ladder(Source(20.0, 0.3), [3.37] * 4, [bridge] * 4, 5.0)


def ladder(
    source: Source, segment_ohm: Sequence[float], igniters: Sequence[Igniter], pulse_s: float
) -> Case:
    """A daisy chain with one igniter after each segment."""
    count = len(segment_ohm)
    return Case(
        source,
        tuple(Branch(i + 1, i + 2, segment_ohm[i]) for i in range(count)),
        tuple(String(i + 2, 0, 0.0, (igniters[i],)) for i in range(count)),
        (0.0, pulse_s),
    )


def slow_igniter(rng: Rng, *, parts: bool = True) -> Igniter:
    """A clip-on nichrome igniter with tau near 3 s."""
    light_K = rng.uniform(550.0, 750.0)
    return Igniter(
        cold_ohm=rng.uniform(1.2, 2.4),
        heat_J_per_K=rng.uniform(0.004, 0.008),
        loss_W_per_K=rng.uniform(0.0015, 0.0025),
        light_K=light_K,
        open_K=light_K * rng.uniform(1.3, 1.8) if parts else math.inf,
        alpha_per_K=rng.uniform(0.5e-4, 2e-4),
    )


def fast_igniter(rng: Rng, *, parts: bool = True) -> Igniter:
    """An electric match with tau between 3 and 10 ms."""
    light_K = rng.uniform(250.0, 400.0)
    loss_W_per_K = rng.uniform(3e-4, 8e-4)
    return Igniter(
        cold_ohm=rng.uniform(1.0, 2.0),
        heat_J_per_K=loss_W_per_K * rng.uniform(0.003, 0.010),
        loss_W_per_K=loss_W_per_K,
        light_K=light_K,
        open_K=light_K * rng.uniform(1.2, 3.0) if parts else math.inf,
        alpha_per_K=rng.uniform(0.0, 5e-4),
    )


def random_tree(
    rng: Rng,
    igniters: Sequence[Sequence[Igniter]],
    source: Source,
    pulse_s: float,
    *,
    segment_ohm: tuple[float, float] = (0.1, 2.5),
    depth: float = 0.6,
) -> Case:
    """Strings on the nodes of a random tree; `depth` is the chance to go on from the last node."""
    branches: list[Branch] = []
    count = len(igniters) + int(rng.integers(0, 3))
    for node in range(2, count + 2):
        parent = node - 1 if rng.random() < depth else int(rng.integers(1, node))
        branches.append(Branch(parent, node, rng.uniform(*segment_ohm)))
    places = rng.permutation(np.arange(2, count + 2))[: len(igniters)]
    strings = tuple(
        String(int(place), 0, rng.uniform(0.02, 0.4), tuple(string))
        for place, string in zip(places, igniters, strict=True)
    )
    return Case(source, tuple(branches), strings, (0.0, pulse_s))


def mesh(rng: Rng, case: Case, extra: int = 2) -> Case:
    """The case with a split return side and some links that make it a mesh."""
    first = case.nodes
    returns = {string.start: first + i for i, string in enumerate(case.strings)}
    strings = tuple(evolve(s, end=returns[s.start]) for s in case.strings)
    back = [Branch(node, 0, rng.uniform(0.1, 1.0)) for node in returns.values()]
    feeds, links = list(range(1, first)), list(returns.values())
    for _ in range(extra):
        for side in (feeds, links):
            if len(side) > 1:
                a, b = rng.choice(side, 2, replace=False)
                back.append(Branch(int(a), int(b), rng.uniform(0.5, 5.0)))
    return evolve(case, branches=(*case.branches, *back), strings=strings)
