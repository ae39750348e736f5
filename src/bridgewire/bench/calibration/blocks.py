"""Which unknowns are moved together, and which trials such a move touches.

Moves that touch different trials are made at the same time and accepted each by itself, so that
one run of all trials serves many igniters.
"""

from __future__ import annotations

from collections import defaultdict

import numpy as np
from attrs import frozen

from bridgewire.bench.forward import BenchModel
from bridgewire.bench.latents import SCATTER_LOG_SD
from bridgewire.physics.network import Bools, Floats, Ints


@frozen(eq=False)
class Group:
    """Unknowns that are accepted or refused together."""

    columns: Ints
    trials: Bools
    """Shape (trials,): whose outcome they touch."""


@frozen(eq=False)
class Centred:
    """One value of one igniter class: its mean, its scatter, and its igniters' own parts.

    An igniter's place in the class's band is ``common_weight * mean + own_weight * exp(s scatter)
    * own``. With those places kept, mean and scatter can be drawn anew without any circuit.
    """

    mean: int
    scatter: int
    own: Ints
    common_weight: float
    own_weight: float


@frozen(eq=False)
class Blocks:
    """All moves of a record.

    Attributes
    ----------
    shared : int array
        Unknowns that all trials have in common, and how widely classes scatter.
    kit : int array
        Those of them that are of boxes, cables and contacts.
    classes : int array
        Those of them that are of igniter classes.
    igniters : tuple of tuple of Group
        The first igniter of every trial, the second of every trial, and so on.
    wiring : tuple of Group
        What belongs to one bench (or one trial): cables, contacts, voltage readings.
    centred : tuple of Centred
    """

    shared: Ints
    kit: Ints
    classes: Ints
    igniters: tuple[tuple[Group, ...], ...]
    wiring: tuple[Group, ...]
    centred: tuple[Centred, ...]


def make_blocks(model: BenchModel) -> Blocks:
    """Sort a model's unknowns into blocks.

    Parameters
    ----------
    model : BenchModel

    Returns
    -------
    Blocks
    """
    shared = model.places("common", "scatter")
    of_class = np.array(
        [model.unknowns[n].group in ("igniter batch", "igniter itself") for n in shared.tolist()],
        dtype=bool,
    )
    return Blocks(
        shared,
        shared[~of_class],
        shared[of_class],
        _igniters(model),
        _wiring(model),
        _centred(model),
    )


def _touched(model: BenchModel, trials: set[int]) -> Bools:
    out = np.zeros(len(model.trials), dtype=bool)
    out[sorted(trials)] = True
    return out


def _igniters(model: BenchModel) -> tuple[tuple[Group, ...], ...]:
    by_place: dict[int, dict[int, list[int]]] = defaultdict(lambda: defaultdict(list))
    for n, u in enumerate(model.unknowns):
        if u.role == "igniter":
            (trial,) = u.trials
            by_place[u.place][trial].append(n)
    return tuple(
        tuple(
            Group(np.array(columns, dtype=np.intp), _touched(model, {trial}))
            for trial, columns in sorted(groups.items())
        )
        for _, groups in sorted(by_place.items())
    )


def _wiring(model: BenchModel) -> tuple[Group, ...]:
    """Benches that have trials in common are one group; so is all else of one trial."""
    columns: dict[frozenset[int], list[int]] = defaultdict(list)
    for n, u in enumerate(model.unknowns):
        if u.role in ("wiring", "shot"):
            columns[u.trials].append(n)
    groups: list[tuple[set[int], list[int]]] = []
    for trials, own in columns.items():
        touching = [g for g in groups if g[0] & trials]
        merged = (set(trials).union(*(g[0] for g in touching)), list(own))
        for g in touching:
            merged[1].extend(g[1])
            groups.remove(g)
        groups.append(merged)
    return tuple(Group(np.array(sorted(c), dtype=np.intp), _touched(model, t)) for t, c in groups)


def _centred(model: BenchModel) -> tuple[Centred, ...]:
    own: dict[tuple[int, int], dict[int, tuple[float, float]]] = defaultdict(dict)
    for trial in model.trials:
        q = trial.plan.quantities
        none = len(q.latents)
        for c, o, wc, wo in zip(
            q.common.tolist(),
            q.own.tolist(),
            q.common_weight.tolist(),
            q.own_weight.tolist(),
            strict=True,
        ):
            if o == none or c == none or trial.spread[o] < 0 or min(wc, wo) <= 0.0:
                continue
            key = int(trial.columns[c]), int(trial.spread[o])
            own[key][int(trial.columns[o])] = (wc, wo)
    out: list[Centred] = []
    for (mean, scatter), columns in own.items():
        wc, wo = next(iter(columns.values()))
        out.append(Centred(mean, scatter, np.array(sorted(columns), dtype=np.intp), wc, wo))
    return tuple(out)


def redraw_centred(z: Floats, centred: Centred, rng: np.random.Generator, steps: int = 6) -> None:
    """Draw the mean and scatter of one value of a class anew, its igniters' values kept.

    Parameters
    ----------
    z : array, shape (draws, unknowns)
        Changed in place; the likelihood of every draw stays as it is.
    centred : Centred
    rng : Generator
    steps : int
        Metropolis steps of the scatter.

    Notes
    -----
    The mean given scatter and igniters is normal; the scatter takes steps of its own. Together
    with moves that keep the igniters' own parts this is the interweaving of Y. Yu and X.-L. Meng,
    J. Comput. Graph. Stat. 20 (2011) 531 (from memory).
    """
    wc, wo = centred.common_weight, centred.own_weight
    own = z[:, centred.own]
    count = centred.own.size
    draws = z.shape[0]
    log_scale = SCATTER_LOG_SD * z[:, centred.scatter]
    place = wc * z[:, [centred.mean]] + wo * np.exp(log_scale)[:, None] * own
    total, square = place.sum(axis=1), (place * place).sum(axis=1)
    scatter = z[:, centred.scatter].copy()
    mean = z[:, centred.mean].copy()

    def log_density(s: Floats, about: Floats) -> Floats:
        sd = wo * np.exp(SCATTER_LOG_SD * s)
        off = square - 2.0 * wc * about * total + count * (wc * about) ** 2
        out: Floats = -0.5 * s * s - count * SCATTER_LOG_SD * s - 0.5 * off / (sd * sd)
        return out

    for _ in range(steps):
        variance = (wo * np.exp(SCATTER_LOG_SD * scatter)) ** 2
        precision = 1.0 + count * wc * wc / variance
        centre = wc * total / variance / precision
        mean = centre + rng.standard_normal(draws) / np.sqrt(precision)
        step = scatter + 0.8 * np.exp(rng.standard_normal(draws) - 0.5) * rng.standard_normal(draws)
        better = log_density(step, mean) - log_density(scatter, mean)
        scatter = np.where(np.log(rng.random(draws)) < better, step, scatter)
    sd = wo * np.exp(SCATTER_LOG_SD * scatter)
    z[:, centred.mean], z[:, centred.scatter] = mean, scatter
    z[:, centred.own] = (place - wc * mean[:, None]) / sd[:, None]
