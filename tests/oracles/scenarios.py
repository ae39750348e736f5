"""Varied circuits, drawn once from fixed random streams, for comparison between solvers."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from attrs import evolve

from tests.oracles.case import (
    Case,
    Igniter,
    Rng,
    Source,
    fast_igniter,
    ladder,
    mesh,
    random_tree,
    slow_igniter,
)

SLOW_S, FAST_S = 5.0, 0.03
THIN_OHM = (1.0, 9.0)
"""Run resistances that leave electric matches one or two amperes."""


def _battery(rng: Rng) -> Source:
    return Source(rng.uniform(14.0, 30.0), rng.uniform(0.1, 0.6))


def _slow(rng: Rng, count: int) -> list[list[Igniter]]:
    return [[slow_igniter(rng)] for _ in range(count)]


def _fast(rng: Rng, count: int) -> list[list[Igniter]]:
    return [[fast_igniter(rng)] for _ in range(count)]


def _count(rng: Rng) -> int:
    return int(rng.integers(1, 7))


def slow_ladder(rng: Rng) -> Case:
    """A daisy chain of slow igniters."""
    count = int(rng.integers(2, 7))
    igniters = [slow_igniter(rng) for _ in range(count)]
    return ladder(_battery(rng), rng.uniform(0.5, 4.0, count).tolist(), igniters, SLOW_S)


def slow_tree(rng: Rng) -> Case:
    """Slow igniters on a tree."""
    return random_tree(rng, _slow(rng, _count(rng)), _battery(rng), SLOW_S, depth=rng.random())


def slow_star(rng: Rng) -> Case:
    """The same igniters on equal runs from one splitter."""
    one = slow_igniter(rng)
    run = rng.uniform(0.5, 3.0)
    case = ladder(_battery(rng), [run] * 4, [one] * 4, SLOW_S)
    return evolve(case, branches=tuple(evolve(b, start=1) for b in case.branches))


def series_strings(rng: Rng) -> Case:
    """Two or three igniters in series on each terminal."""
    strings = [
        [slow_igniter(rng) for _ in range(int(rng.integers(2, 4)))]
        for _ in range(int(rng.integers(1, 3)))
    ]
    return random_tree(rng, strings, _battery(rng), SLOW_S, segment_ohm=(0.1, 0.8))


def fast_tree(rng: Rng) -> Case:
    """Electric matches on a tree."""
    return random_tree(
        rng,
        _fast(rng, _count(rng)),
        _battery(rng),
        FAST_S,
        segment_ohm=THIN_OHM,
        depth=rng.random(),
    )


def fast_series(rng: Rng) -> Case:
    """Electric matches in series."""
    strings = [[fast_igniter(rng) for _ in range(int(rng.integers(2, 5)))] for _ in range(2)]
    return random_tree(rng, strings, _battery(rng), FAST_S, segment_ohm=THIN_OHM)


def mixed(rng: Rng) -> Case:
    """Slow igniters and some that are twenty times faster on one tree."""
    brisk = [[evolve(i, heat_J_per_K=20.0 * i.heat_J_per_K)] for (i,) in _fast(rng, 2)]
    both = [*brisk, *_slow(rng, 2)]
    return random_tree(rng, both, _battery(rng), SLOW_S, segment_ohm=THIN_OHM)


def stays_closed(rng: Rng) -> Case:
    """Some igniters that never part."""
    strings = [[slow_igniter(rng, parts=bool(rng.integers(0, 2)))] for _ in range(4)]
    return random_tree(rng, strings, _battery(rng), SLOW_S)


def residual(rng: Rng) -> Case:
    """Electric matches that end shorted or at a residual resistance."""
    after = [0.0, rng.uniform(0.5, 30.0), rng.uniform(0.5, 30.0), math.inf]
    strings = [[evolve(i, after_ohm=ohm)] for (i,), ohm in zip(_fast(rng, 4), after, strict=True)]
    return random_tree(rng, strings, _battery(rng), FAST_S, segment_ohm=THIN_OHM)


def warm(rng: Rng) -> Case:
    """Igniters that start warm."""
    strings = [[evolve(i, start_K=rng.uniform(0.0, 0.9) * i.light_K)] for (i,) in _slow(rng, 3)]
    return random_tree(rng, strings, _battery(rng), SLOW_S)


def fast_capacitor(rng: Rng) -> Case:
    """A capacitor discharged through electric matches."""
    source = Source(
        rng.uniform(30.0, 90.0), rng.uniform(0.2, 2.0), capacitance_F=rng.uniform(1e-4, 2e-3)
    )
    return random_tree(rng, _fast(rng, _count(rng)), source, FAST_S, segment_ohm=THIN_OHM)


def slow_capacitor(rng: Rng) -> Case:
    """A large capacitor discharged through slow igniters."""
    source = Source(rng.uniform(25.0, 40.0), rng.uniform(0.1, 0.5), capacitance_F=2.0)
    return random_tree(rng, _slow(rng, 3), source, SLOW_S)


def constant_current(rng: Rng) -> Case:
    """A supply with a constant-current limit."""
    limit = rng.uniform(2.0, 5.0)
    source = Source(rng.uniform(18.0, 30.0), 0.3, limit, limit)
    return random_tree(rng, _slow(rng, _count(rng)), source, SLOW_S)


def fast_constant_current(rng: Rng) -> Case:
    """Electric matches behind a constant-current limit."""
    limit = rng.uniform(1.5, 4.0)
    source = Source(24.0, rng.uniform(0.3, 1.0), limit, limit)
    return random_tree(rng, _fast(rng, _count(rng)), source, FAST_S, segment_ohm=THIN_OHM)


def fold_back(rng: Rng) -> Case:
    """A supply whose limit falls with its voltage."""
    source = Source(24.0, 0.3, rng.uniform(5.0, 7.0), rng.uniform(1.5, 3.0))
    return random_tree(rng, _slow(rng, 3), source, SLOW_S)


def dropped(rng: Rng) -> Case:
    """Every way behind a diode."""
    return evolve(fast_tree(rng), drop_V=rng.uniform(0.5, 1.1))


def slow_mesh(rng: Rng) -> Case:
    """Slow igniters with split returns and cross links."""
    return mesh(rng, random_tree(rng, _slow(rng, 4), _battery(rng), SLOW_S))


def fast_mesh(rng: Rng) -> Case:
    """Electric matches with split returns and cross links."""
    return mesh(rng, random_tree(rng, _fast(rng, 4), _battery(rng), FAST_S, segment_ohm=THIN_OHM))


KINDS: dict[Callable[[Rng], Case], int] = {
    slow_ladder: 5,
    slow_tree: 6,
    slow_star: 2,
    series_strings: 4,
    fast_tree: 6,
    fast_series: 3,
    mixed: 2,
    stays_closed: 3,
    residual: 5,
    warm: 2,
    fast_capacitor: 6,
    slow_capacitor: 2,
    constant_current: 4,
    fast_constant_current: 3,
    fold_back: 2,
    dropped: 2,
    slow_mesh: 4,
    fast_mesh: 3,
}
"""Kinds of circuit and how many of each."""
MESHES = frozenset({slow_mesh, fast_mesh})


def named_cases() -> dict[str, Case]:
    """All circuits by kind and number."""
    return {
        f"{kind.__name__}-{number}": kind(np.random.default_rng([number, place]))
        for place, (kind, count) in enumerate(KINDS.items())
        for number in range(count)
    }
