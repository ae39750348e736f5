"""What a record says about all that is unknown: posterior draws, and whether to trust them."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property

import numpy as np
from attrs import field, frozen

from bridgewire.bench.calibration.observed import TrialData, observations_of
from bridgewire.bench.calibration.parameters import Parameter, parameters_of
from bridgewire.bench.calibration.target import Target
from bridgewire.bench.calibration.tempering import Settings, Tempered, temper
from bridgewire.bench.forward import BenchModel
from bridgewire.physics.network import Floats

LARGEST_R_HAT = 1.1
"""Above this the populations disagree, and nothing should be built on the result."""
FEWEST_EFFECTIVE = 100.0
"""Fewer effective draws than this tell little about the ends of a band."""

Progress = Callable[[int, int], None]


@frozen
class Diagnostics:
    """Whether draws can be trusted.

    Attributes
    ----------
    r_hat : float
        Largest over common unknowns of how far populations that never met disagree: square root
        of total over within variance; 1 is perfect.
    r_hat_of : str
        The unknown that it is of.
    effective : float
        Fewest effective draws of any of them.
    steps : int
        Powers of the likelihood gone through.
    evaluations : int
        Trials computed.
    taken : mapping of str to float
        Share of steps taken by each kind of random walk.
    """

    r_hat: float
    r_hat_of: str
    effective: float
    steps: int
    evaluations: int
    taken: dict[str, float] = field(factory=dict)

    @property
    def good(self) -> bool:
        """Whether the draws are fit for use."""
        return self.r_hat <= LARGEST_R_HAT and self.effective >= FEWEST_EFFECTIVE


@frozen(slots=False, eq=False)
class Posterior:
    """Draws from the posterior of a record.

    Attributes
    ----------
    model : BenchModel
    z : array, shape (draws, unknowns)
        Values of all unknowns; each column's name is in `keys`.
    log_likelihood : array, shape (draws, trials)
    data : tuple of TrialData
    diagnostics : Diagnostics
    seed : int
    settings : Settings
    """

    model: BenchModel
    z: Floats = field(repr=False)
    log_likelihood: Floats = field(repr=False)
    data: tuple[TrialData, ...] = field(repr=False)
    diagnostics: Diagnostics
    seed: int
    settings: Settings

    @property
    def keys(self) -> tuple[str, ...]:
        """Names of all unknowns."""
        return tuple(u.key for u in self.model.unknowns)

    @cached_property
    def parameters(self) -> tuple[Parameter, ...]:
        """All values of kit entries that the record's circuits touch."""
        return parameters_of(self.model)

    def common(self) -> tuple[tuple[str, ...], Floats]:
        """Names and draws of what all trials share, for use with other trials (`carried`)."""
        places = self.model.places("common", "scatter")
        return tuple(self.model.unknowns[n].key for n in places.tolist()), self.z[:, places]


def fit(
    model: BenchModel,
    *,
    seed: int = 1,
    settings: Settings | None = None,
    threads: int = 1,
    rounds: int = 3,
    progress: Progress | None = None,
) -> Posterior:
    """Fit a record.

    Parameters
    ----------
    model : BenchModel
    seed : int
    settings : Settings, optional
    threads : int
        Trials computed beside each other. The result does not depend on their number.
    rounds : int
        How often the final sweeps are made at most, until the populations agree.
    progress : callable, optional
        Called with parts done, of 1,000.

    Returns
    -------
    Posterior

    Notes
    -----
    Method: `bridgewire.bench.calibration.tempering`. ``tests/bench/calibration`` holds rank
    histograms and the recovery of known values against it.
    """
    settings = settings or Settings()
    data = observations_of(model)
    target = Target(model, data, threads=threads)
    rng = np.random.default_rng(seed)
    try:
        drawn = temper(
            target,
            rng,
            settings,
            rounds=rounds,
            enough=lambda found: diagnose(model, found).r_hat <= 1.0 + 0.5 * (LARGEST_R_HAT - 1.0),
            progress=progress,
        )
    finally:
        target.close()
    return Posterior(
        model,
        drawn.z.reshape(-1, model.size),
        drawn.log_likelihood.reshape(-1, len(model.trials)),
        data,
        diagnose(model, drawn),
        seed,
        settings,
    )


def diagnose(model: BenchModel, drawn: Tempered) -> Diagnostics:
    """Compare populations with one another, and draws with what became of them.

    Parameters
    ----------
    model : BenchModel
    drawn : Tempered

    Returns
    -------
    Diagnostics
    """
    worst, name, fewest = 1.0, "", np.inf
    for n in model.places("common", "scatter").tolist():
        x = drawn.z[..., n]
        snapshots, islands, particles = x.shape
        means = x.mean(axis=(0, 2))
        within = float(x.var(axis=(0, 2)).mean())
        between = float(means.var(ddof=1)) if islands > 1 else 0.0
        r_hat = float(np.sqrt(1.0 + between / max(within, 1e-12)))
        if r_hat > worst:
            worst, name = r_hat, model.unknowns[n].key
        count = islands * particles
        chains = x.transpose(1, 2, 0).reshape(count, snapshots)
        effective = float(count)
        if snapshots > 1:
            across = snapshots * float(chains.mean(axis=1).var(ddof=1))
            along = float(chains.var(axis=1, ddof=1).mean())
            alike = max((across - along) / (across + (snapshots - 1) * along), 0.0)
            effective = count * snapshots / (1.0 + (snapshots - 1) * alike)
        fewest = min(fewest, effective)
    return Diagnostics(
        worst, name, float(fewest), len(drawn.betas) - 1, drawn.evaluations, drawn.taken
    )
