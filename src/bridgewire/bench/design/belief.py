"""What is thought of everything that trials can tell of: draws, with weights.

One row is one possible truth: values of what all trials share, of how widely classes scatter, and
of the cables and contacts of wirings that trials use again. What belongs to a single trial (its own
igniters, its own cables) is not in it; that is drawn anew for every trial.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from attrs import evolve, field, frozen

from bridgewire.bench.calibration.posterior import Posterior
from bridgewire.bench.forward import BenchModel
from bridgewire.physics.network import Floats, Ints


@frozen(eq=False)
class Belief:
    """Draws of what trials can tell of.

    Attributes
    ----------
    keys : tuple of str
        Names of the columns, as in `bridgewire.bench.latents.Unknown`.
    values : array, shape (rows, columns)
        Standard normal before any trial.
    weight : array, shape (rows,)
        Adds up to 1.
    """

    keys: tuple[str, ...]
    values: Floats
    weight: Floats = field()

    @weight.default
    def _even(self) -> Floats:
        rows = self.values.shape[0]
        return np.full(rows, 1.0 / max(rows, 1))

    @property
    def rows(self) -> int:
        """How many draws."""
        return int(self.values.shape[0])

    @property
    def effective(self) -> float:
        """Effective number of draws: fewer where few of them have most of the weight."""
        return float(1.0 / (self.weight**2).sum())

    @classmethod
    def of_posterior(cls, posterior: Posterior, rows: int) -> Belief:
        """Draws of a fitted record, evenly spaced over those that were kept.

        Parameters
        ----------
        posterior : Posterior
        rows : int
            At most so many.
        """
        count = posterior.z.shape[0]
        take = np.linspace(0, count - 1, min(rows, count)).astype(np.intp)
        places = learnable(posterior.model)
        names = tuple(posterior.model.unknowns[n].key for n in places.tolist())
        return cls(names, posterior.z[np.ix_(take, places)])

    @classmethod
    def of_kits(cls, rows: int) -> Belief:
        """Nothing but what the kit profiles say; see `covering`."""
        return cls((), np.empty((rows, 0)))

    def covering(self, keys: Iterable[str], rng: np.random.Generator) -> Belief:
        """The same with columns for further names, as the kit profiles have them.

        Parameters
        ----------
        keys : iterable of str
        rng : Generator

        Returns
        -------
        Belief
        """
        new = [k for k in dict.fromkeys(keys) if k not in set(self.keys)]
        fresh = rng.standard_normal((self.rows, len(new)))
        return Belief((*self.keys, *new), np.hstack([self.values, fresh]), self.weight)

    def updated(self, likelihood: Floats) -> Belief:
        """The same draws, weighed anew by how probable they make what was seen.

        Parameters
        ----------
        likelihood : array, shape (rows,)
            At least one is above 0.
        """
        weight = self.weight * likelihood
        return evolve(self, weight=weight / weight.sum())

    def column(self, key: str) -> Floats:
        """Values of one unknown."""
        return self.values[:, self.keys.index(key)]


def learnable(model: BenchModel) -> Ints:
    """Numbers of the unknowns of a record that further trials can tell of."""
    return np.array(
        [
            n
            for n, u in enumerate(model.unknowns)
            if u.role in ("common", "scatter")
            or (u.role == "wiring" and u.key.startswith("bench/"))
        ],
        dtype=np.intp,
    )


def filled(keys: Sequence[str], belief: Belief, rows: Ints, rng: np.random.Generator) -> Floats:
    """Values of some unknowns in chosen draws; those that the belief does not have are fresh.

    Parameters
    ----------
    keys : sequence of str
    belief : Belief
    rows : int array
        Which draws; one may be there several times.
    rng : Generator

    Returns
    -------
    array, shape (len(rows), len(keys))
    """
    out = rng.standard_normal((rows.size, len(keys)))
    places = {k: n for n, k in enumerate(belief.keys)}
    known = [(n, places[k]) for n, k in enumerate(keys) if k in places]
    if known:
        here = np.array([n for n, _ in known])
        there = np.array([n for _, n in known])
        out[:, here] = belief.values[rows][:, there]
    return out
