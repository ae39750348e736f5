"""Markov moves on all draws at once. Each leaves prior times likelihood to the power beta as it is.

- *shared*: a random walk of what all trials share, shaped by the spread of the draws so far, with
  the igniters' own parts kept (so that all igniters of a class move with their class).
- *carried*: a random walk of boxes, cables and contacts that takes each igniter's own parts along
  as far as they went along in the draws so far: with a stronger supply go slower igniters.
- *centred*: class means and scatters anew, with the igniters' values kept; no circuit is run.
- *igniters*, *wiring*: ``z' = m + sqrt(1 - b^2) (z - m) + b e`` (preconditioned Crank-Nicolson,
  S. L. Cotter et al., Stat. Sci. 28 (2013) 424; from memory), which keeps a normal distribution
  whatever the number of unknowns. For wiring that is the prior, so that only the likelihood
  decides; for igniters it is one fitted to the draws so far, and target over fitted density
  decides.

Step sizes follow the share of steps taken; when `adapting` is off they stay.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from attrs import define, field, frozen

from bridgewire.bench.calibration.blocks import Blocks, Group, redraw_centred
from bridgewire.bench.calibration.target import Target
from bridgewire.physics.network import Bools, Floats, Ints

WANTED = 0.28
"""Share of steps that should be taken."""
FARTHEST = 8.0
"""Random walks stay within this many standard deviations of the prior."""
_RATE = 0.35
_LARGEST = 0.95


@define(eq=False)
class Draws:
    """Draws under way: islands of equally many, one after the other.

    Attributes
    ----------
    z : array, shape (draws, unknowns)
    log_likelihood : array, shape (draws, trials)
    beta : array, shape (draws,)
        Power of the likelihood, the same within an island.
    islands : int
    """

    z: Floats
    log_likelihood: Floats
    beta: Floats
    islands: int

    def island(self, array: Floats) -> Floats:
        """An array over draws, cut by island."""
        return array.reshape(self.islands, -1, *array.shape[1:])


@frozen(eq=False)
class _Fit:
    """A normal distribution."""

    mean: Floats
    factor: Floats
    """Lower triangular square root of the covariance."""
    precision: Floats

    def log_density(self, z: Floats) -> Floats:
        """Up to a constant."""
        off = z - self.mean
        out: Floats = -0.5 * np.einsum("ni,ij,nj->n", off, self.precision, off)
        return out


_WIDER = 1.3
"""A fitted covariance is taken this much larger, so that its tails are not too thin."""


def _fit(z: Floats) -> _Fit:
    count, size = z.shape
    keep = count / (count + 4.0 * size)
    cov = _WIDER * (keep * np.cov(z.T).reshape(size, size) + (1.0 - keep) * np.eye(size))
    return _Fit(z.mean(axis=0), np.linalg.cholesky(cov), np.linalg.inv(cov))


@define(eq=False)
class Mover:
    """Makes sweeps over all blocks."""

    target: Target
    blocks: Blocks
    rng: np.random.Generator
    pooled: bool = True
    """Whether all islands have the same data, and so one shape of steps."""
    adapting: bool = True
    walk: dict[str, float] = field(factory=dict)
    """Logarithm of the scale of each kind of random walk."""
    share: dict[str, Floats] = field(factory=dict)
    """Logit of b of each group of each kind of move."""
    taken: dict[str, float] = field(factory=dict)
    _factors: dict[str, Floats] = field(factory=dict)
    _fits: dict[str, list[_Fit]] = field(factory=dict)
    _own: Ints = field(factory=lambda: np.empty(0, dtype=np.intp))
    _slopes: Floats | None = None

    def shape(self, draws: Draws) -> None:
        """Take the shape of the shared random walks from the draws as they are."""
        for name in ("shared", "kit", "classes"):
            columns = getattr(self.blocks, name)
            if columns.size:
                self._factors[name] = self._factor(draws, columns)
        if self.pooled:
            self._slopes = self._carry(draws.z) if self.blocks.kit.size else None
            for number, groups in enumerate(self.blocks.igniters):
                self._fits[f"igniter {number}"] = [_fit(draws.z[:, g.columns]) for g in groups]

    def _factor(self, draws: Draws, columns: Ints) -> Floats:
        """Square roots of covariances, one for each island or one for all."""
        x = draws.z[:, columns][None] if self.pooled else draws.island(draws.z[:, columns])
        x = x - x.mean(axis=1, keepdims=True)
        count, size = x.shape[1], columns.size
        cov = np.einsum("kni,knj->kij", x, x) / max(count - 1, 1)
        # Few draws tell little of how unknowns go together.
        keep = count / (count + 2.0 * size)
        diagonal = np.einsum("kii->ki", cov)
        cov = keep * cov
        place = np.arange(size)
        cov[:, place, place] = diagonal + 1e-6
        return np.linalg.cholesky(cov)

    def _carry(self, z: Floats) -> Floats:
        """How each igniter's own parts go with boxes, cables and contacts in the draws so far."""
        groups = [g.columns for place in self.blocks.igniters for g in place]
        self._own = np.concatenate(groups) if groups else np.empty(0, dtype=np.intp)
        x = z[:, self.blocks.kit] - z[:, self.blocks.kit].mean(axis=0)
        y = z[:, self._own] - z[:, self._own].mean(axis=0)
        count = x.shape[0]
        inverse = np.linalg.inv(x.T @ x + 0.01 * count * np.eye(x.shape[1]))
        slopes: Floats = inverse @ (x.T @ y)
        error = np.sqrt(np.outer(np.diag(inverse), (y * y).mean(axis=0)))
        # What may be chance is left out: it would only make steps fail.
        return np.where(np.abs(slopes) > 2.5 * error, slopes, 0.0)

    def sweep(self, draws: Draws) -> None:
        """Move everything once."""
        for name in ("shared", "kit", "classes"):
            self._walk(draws, name)
        self._centred(draws)
        for number, groups in enumerate(self.blocks.igniters):
            self._crank(draws, f"igniter {number}", groups)
        if self.blocks.wiring:
            self._crank(draws, "wiring", self.blocks.wiring)
        if self._slopes is not None:
            # The slowest direction of most records: stronger kit with slower igniters.
            self._walk(draws, "kit", self._slopes)
            self._walk(draws, "kit", self._slopes)
        else:
            self._walk(draws, "shared")
        self._centred(draws)

    def _centred(self, draws: Draws) -> None:
        for centred in self.blocks.centred:
            redraw_centred(draws.z, centred, self.rng)

    def _walk(self, draws: Draws, name: str, slopes: Floats | None = None) -> None:
        columns: Ints = getattr(self.blocks, name)
        if not columns.size:
            return
        count = draws.z.shape[0]
        kind = name if slopes is None else "carried"
        scale = self.walk.setdefault(kind, float(np.log(2.0 / np.sqrt(columns.size))))
        factor = self._factors[name]
        e = self.rng.standard_normal((factor.shape[0], count // factor.shape[0], columns.size))
        step = np.einsum("kij,knj->kni", factor, e).reshape(count, columns.size)
        # Steps of many sizes: some suit the middle, some the tails.
        step *= np.exp(scale + 0.7 * self.rng.standard_normal(count))[:, None]
        z = draws.z.copy()
        z[:, columns] += step
        moved = columns
        if slopes is not None:
            z[:, self._own] += step @ slopes
            moved = np.concatenate([columns, self._own])
        # Nobody needs to compute what the prior refuses: at least exp(-32) for each such value.
        wild = (np.abs(z[:, moved]) > FARTHEST).any(axis=1)
        z[wild] = draws.z[wild]
        new = self.target.log_likelihood(z)
        old_prior = (draws.z[:, moved] ** 2).sum(axis=1)
        gain = draws.beta * (new.sum(axis=1) - draws.log_likelihood.sum(axis=1))
        gain += 0.5 * (old_prior - (z[:, moved] ** 2).sum(axis=1))
        yes = (np.log(self.rng.random(count)) < gain) & ~wild
        draws.z[yes] = z[yes]
        draws.log_likelihood[yes] = new[yes]
        rate = float(yes.mean())
        self.taken[kind] = rate
        if self.adapting:
            self.walk[kind] += _RATE * (rate - WANTED) / WANTED

    def _crank(self, draws: Draws, name: str, groups: Sequence[Group]) -> None:
        count = draws.z.shape[0]
        logit = self.share.setdefault(name, np.zeros(len(groups)))
        fits = self._fits.get(name)
        z = draws.z.copy()
        for n, group in enumerate(groups):
            # Now and then a bold step, now and then a timid one.
            about = logit[n] + 1.0 * self.rng.standard_normal(count)
            b = (_LARGEST / (1.0 + np.exp(-about)))[:, None]
            e = self.rng.standard_normal((count, group.columns.size))
            old = z[:, group.columns]
            if fits is None:
                z[:, group.columns] = np.sqrt(1.0 - b * b) * old + b * e
            else:
                mean = fits[n].mean
                step = np.sqrt(1.0 - b * b) * (old - mean) + b * (e @ fits[n].factor.T)
                z[:, group.columns] = mean + step
        touched = np.flatnonzero(np.any([g.trials for g in groups], axis=0)).tolist()
        new = self.target.log_likelihood(z, touched)
        change = new - draws.log_likelihood
        for n, group in enumerate(groups):
            gain = draws.beta * change[:, group.trials].sum(axis=1)
            if fits is not None:
                old, step = draws.z[:, group.columns], z[:, group.columns]
                gain += fits[n].log_density(old) - fits[n].log_density(step)
                gain += 0.5 * ((old * old).sum(axis=1) - (step * step).sum(axis=1))
            yes = np.log(self.rng.random(count)) < gain
            self._take(draws, z, new, yes, group)
            if self.adapting:
                logit[n] += 2.0 * _RATE * (float(yes.mean()) - WANTED)

    @staticmethod
    def _take(draws: Draws, z: Floats, new: Floats, yes: Bools, group: Group) -> None:
        rows = np.flatnonzero(yes)
        draws.z[np.ix_(rows, group.columns)] = z[np.ix_(rows, group.columns)]
        trials = np.flatnonzero(group.trials)
        draws.log_likelihood[np.ix_(rows, trials)] = new[np.ix_(rows, trials)]
