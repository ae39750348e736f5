"""Sequential Monte Carlo: from the prior to the posterior by raising the likelihood's power.

Draws start from the prior. The power beta rises from 0 to 1 in steps that leave the weights of
most draws worth something; after each step draws are resampled by weight and moved
(`bridgewire.bench.calibration.moves`). At beta = 1 they are moved on, and kept as they go.

References: P. Del Moral, A. Doucet, A. Jasra, J. R. Stat. Soc. B 68 (2006) 411 (from memory).
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from attrs import field, frozen

from bridgewire.bench.calibration.blocks import make_blocks
from bridgewire.bench.calibration.moves import Draws, Mover
from bridgewire.bench.calibration.target import Target
from bridgewire.physics.network import Floats

Progress = Callable[[int, int], None]


@frozen
class Settings:
    """How much work is done.

    Attributes
    ----------
    islands, particles : int
        Populations that never mix, and draws in each.
    effective : float
        Part of a population's weight that a step of beta leaves effective.
    sweeps : int
        Moves of everything at each beta.
    burn, final : int
        Sweeps at beta = 1 that are thrown away, and that are kept from.
    snapshots : int
        How many times the draws are kept in the final sweeps.
    """

    islands: int = 4
    particles: int = 96
    effective: float = 0.5
    sweeps: int = 1
    burn: int = 16
    final: int = 36
    snapshots: int = 9


@frozen(eq=False)
class Tempered:
    """Draws from the posterior.

    Attributes
    ----------
    z : array, shape (snapshots, islands, particles, unknowns)
    log_likelihood : array, shape (snapshots, islands, particles, trials)
    betas : tuple of float
        Powers gone through (of the island that was last, where they differ).
    taken : mapping of str to float
        Share of steps taken by each shared random walk at the end.
    """

    z: Floats
    log_likelihood: Floats
    betas: tuple[float, ...]
    evaluations: int
    taken: dict[str, float] = field(factory=dict)


def temper(
    target: Target,
    rng: np.random.Generator,
    settings: Settings,
    *,
    pooled: bool = True,
    rounds: int = 1,
    enough: Callable[[Tempered], bool] | None = None,
    progress: Progress | None = None,
) -> Tempered:
    """Draw from the posterior.

    Parameters
    ----------
    target : Target
        Its data have one data set (all islands share it), or one for each island.
    rng : Generator
    settings : Settings
    pooled : bool
        Whether islands have the same data: then they go through the same powers.
    rounds : int
        How often the final sweeps are made at most.
    enough : callable, optional
        Tells whether the draws of a round will do; those of a round that will not are thrown away.
    progress : callable, optional
        Called with parts done, of 1,000.

    Returns
    -------
    Tempered
    """
    count = settings.islands * settings.particles
    z = rng.standard_normal((count, target.model.size))
    draws = Draws(z, target.log_likelihood(z), np.zeros(count), settings.islands)
    mover = Mover(target, make_blocks(target.model), rng, pooled)
    betas: list[float] = [0.0]
    while draws.beta.min() < 1.0:
        _reweigh(draws, rng, settings.effective, pooled)
        betas.append(float(draws.beta.min()))
        mover.shape(draws)
        for _ in range(settings.sweeps):
            mover.sweep(draws)
        if progress is not None:
            # The power rises by about a constant factor at a time.
            part = 1.0 + np.log10(max(betas[-1], 1e-4)) / 4.0
            progress(int(500 * part), 1000)
    found: Tempered | None = None
    for number in range(rounds):
        mover.adapting = True
        for _ in range(settings.burn if number == 0 else settings.burn // 2):
            mover.shape(draws)
            mover.sweep(draws)
        mover.adapting = False
        found = _final(draws, mover, settings, tuple(betas), progress)
        if enough is None or enough(found):
            break
    assert found is not None
    return found


def _final(
    draws: Draws,
    mover: Mover,
    settings: Settings,
    betas: tuple[float, ...],
    progress: Progress | None,
) -> Tempered:
    """Sweeps whose draws are kept, with steps that no longer change."""
    kept_z: list[Floats] = []
    kept_l: list[Floats] = []
    every = max(settings.final // settings.snapshots, 1)
    for n in range(settings.final):
        mover.sweep(draws)
        if (n + 1) % every == 0 and len(kept_z) < settings.snapshots:
            kept_z.append(draws.island(draws.z.copy()))
            kept_l.append(draws.island(draws.log_likelihood.copy()))
        if progress is not None:
            progress(500 + 500 * (n + 1) // settings.final, 1000)
    return Tempered(
        np.stack(kept_z),
        np.stack(kept_l),
        betas,
        mover.target.evaluations,
        dict(mover.taken),
    )


def _reweigh(draws: Draws, rng: np.random.Generator, effective: float, pooled: bool) -> None:
    """Raise the power, and resample within each island."""
    total = draws.island(draws.log_likelihood.sum(axis=1))
    beta = draws.island(draws.beta)[:, 0].copy()
    steps = np.array([_next_step(total[k], 1.0 - beta[k], effective) for k in range(beta.size)])
    if pooled:
        steps[:] = steps.min()
    particles = total.shape[1]
    rows = np.empty(total.shape, dtype=np.intp)
    for k in range(beta.size):
        log_weight = steps[k] * total[k]
        weight = np.exp(log_weight - log_weight.max())
        rows[k] = k * particles + _systematic(weight / weight.sum(), rng)
    draws.z = draws.z[rows.ravel()]
    draws.log_likelihood = draws.log_likelihood[rows.ravel()]
    draws.beta = np.repeat(np.minimum(beta + steps, 1.0), particles)
    draws.beta[draws.beta > 1.0 - 1e-9] = 1.0


def _next_step(total: Floats, left: float, effective: float) -> float:
    """The largest rise of the power that leaves the wanted part of the weights effective."""
    if left <= 0.0:
        return 0.0

    def part(step: float) -> float:
        w = np.exp(step * (total - total.max()))
        return float(w.sum() ** 2 / (w * w).sum() / total.size)

    if part(left) >= effective:
        return left
    low, high = 0.0, left
    for _ in range(50):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if part(middle) >= effective else (low, middle)
    return max(low, 1e-6)


def _systematic(weight: Floats, rng: np.random.Generator) -> np.ndarray:
    places = (rng.random() + np.arange(weight.size)) / weight.size
    return np.minimum(np.searchsorted(np.cumsum(weight), places), weight.size - 1)
