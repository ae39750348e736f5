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
from bridgewire.bench.unknown_words import words_of
from bridgewire.physics.network import Floats

LARGEST_R_HAT = 1.1
"""Above this the populations disagree, and nothing should be built on the result.

The bound is the usual one of A. Gelman et al., *Bayesian Data Analysis*, 3rd ed. 2013, section 11.4
(from memory). At 1.1 the means of populations scatter by 0.46 of the posterior's standard
deviation, so a median over four of them is uncertain by about a quarter of it; at 1.05, which a fit
tries for, by a sixth. That is little beside the bands that are written, and too much for a third
digit. For single chains 1.01 is asked for today (A. Vehtari et al., Bayesian Analysis 16 (2021)
667; from memory)."""
WANTED_R_HAT = 1.05
"""Up to this a fit makes its final sweeps anew, as often as it may."""
FEWEST_EFFECTIVE = 100.0
"""Fewer effective draws than this tell little about the ends of a band: of 100 independent draws
the part below a true 5 % point is 5 % with a standard error of 2.2 %."""

Progress = Callable[[int, int], None]


@frozen
class Diagnostics:
    """Whether draws can be trusted.

    Attributes
    ----------
    r_hat : float
        Largest over common unknowns of the potential scale reduction of A. Gelman and D. B. Rubin,
        Stat. Sci. 7 (1992) 457 (from memory), with populations that never met in the place of
        chains: ``sqrt(1 + B / W)``, B the variance of the populations' means, W the mean variance
        within them; 1 is perfect. It says whether populations agree, not whether the model is
        right.
    r_hat_of : str
        The unknown that it is of; empty where no unknown is above 1.
    effective : float
        Fewest effective draws of any of them: draws over ``1 + (s - 1) rho``, where each of them
        is kept s times and rho is the intraclass correlation of what is kept (the design effect of
        L. Kish, *Survey Sampling*, 1965; from memory). That draws of a population have ancestors
        in common is not in it; R-hat shows that.
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

    @property
    def caution(self) -> str:
        """A sentence for draws that are not fit for use; empty for those that are."""
        if self.good:
            return ""
        of = f" of {words_of(self.r_hat_of)}" if self.r_hat_of else ""
        return (
            f"The draws have not settled (R-hat {self.r_hat:.2f}{of}, at most {LARGEST_R_HAT:g} "
            f"wanted; {self.effective:.0f} effective draws, {FEWEST_EFFECTIVE:.0f} wanted): run "
            "again with more --effort, and do not build on these figures."
        )


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
            enough=lambda found: diagnose(model, found).r_hat <= WANTED_R_HAT,
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
        r_hat = _r_hat(x)
        if r_hat > worst:
            worst, name = r_hat, model.unknowns[n].key
        fewest = min(fewest, _effective(x))
    return Diagnostics(
        worst, name, float(fewest), len(drawn.betas) - 1, drawn.evaluations, drawn.taken
    )


def _r_hat(x: Floats) -> float:
    """Of one unknown: shape (snapshots, islands, particles)."""
    within = float(x.var(axis=(0, 2)).mean())
    between = float(x.mean(axis=(0, 2)).var(ddof=1)) if x.shape[1] > 1 else 0.0
    return float(np.sqrt(1.0 + between / max(within, 1e-12)))


def _effective(x: Floats) -> float:
    """Of one unknown: shape (snapshots, islands, particles)."""
    snapshots, islands, particles = x.shape
    count = islands * particles
    if snapshots == 1:
        return float(count)
    kept = x.transpose(1, 2, 0).reshape(count, snapshots)
    across = snapshots * float(kept.mean(axis=1).var(ddof=1))
    along = float(kept.var(axis=1, ddof=1).mean())
    alike = max((across - along) / (across + (snapshots - 1) * along), 0.0)
    return float(count * snapshots / (1.0 + (snapshots - 1) * alike))
