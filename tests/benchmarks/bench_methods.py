"""Ways to draw from the posterior of a bench record, beside one another.

    python tests/benchmarks/bench_methods.py [--seconds 60]

On one made-up record, the same target and the same unknowns for all:

- *tempered*: sequential Monte Carlo with the moves of `bridgewire.bench.calibration` (in use);
- *chains*: the same moves, many chains from the prior at the full likelihood, no tempering;
- *emcee*: the affine-invariant ensemble of emcee (stretch and differential-evolution moves), which
  knows nothing of what an unknown is, from the prior;
- *emcee, warm*: the same, started from the end of *tempered*.

Printed: effective draws of the common unknowns per second (fewest and median, from the
autocorrelation of each chain), R-hat between halves of the chains, and how far means lie from those
of *tempered*, in standard deviations.
"""

from __future__ import annotations

import argparse
import time
import warnings
from collections.abc import Callable

import numpy as np
from attrs import frozen

from bridgewire.bench.calibration.blocks import make_blocks
from bridgewire.bench.calibration.moves import Draws, Mover
from bridgewire.bench.calibration.simulated import Design
from bridgewire.bench.calibration.target import Target
from bridgewire.bench.calibration.tempering import Settings, temper
from bridgewire.bench.forward import BenchModel
from bridgewire.physics.network import Floats
from tests.bench.calibration.benches import chain_trial, made_up, model_of


@frozen(eq=False)
class Run:
    name: str
    chains: Floats
    """Shape (steps, chains, common unknowns)."""
    seconds: float
    evaluations: int


def record() -> tuple[BenchModel, list]:  # type: ignore[type-arg]
    """Four trials, eight igniters: small, so that emcee has a chance."""
    model = model_of(
        chain_trial("1", 3, 2.0),
        chain_trial("2", 2, 1.5, length_m=30.0),
        chain_trial("3", 1, 0.22, shots=2),
        chain_trial("4", 2, 0.05, klass="electric-match"),
    )
    rng = np.random.default_rng(6)
    z = rng.standard_normal((1, model.size))
    return model, made_up(model, z, Design(time_sd_s=0.03, fresh_ohm=True), rng)


def effective(chains: Floats) -> Floats:
    """Effective draws of each unknown: chains times length over integrated autocorrelation."""
    steps, count, size = chains.shape
    out = np.empty(size)
    for n in range(size):
        x = chains[:, :, n] - chains[:, :, n].mean()
        spectrum = np.abs(np.fft.rfft(x, 2 * steps, axis=0)) ** 2
        rho = np.fft.irfft(spectrum, axis=0)[:steps].mean(axis=1)
        rho = rho / max(rho[0], 1e-300) * (steps / (steps - np.arange(steps)))
        negative = np.flatnonzero(rho < 0.05)
        stop = int(negative[0]) if negative.size else steps
        out[n] = steps * count / max(1.0 + 2.0 * rho[1:stop].sum(), 1.0)
    return out


def r_hat(chains: Floats) -> Floats:
    """Between quarters: one and the other half of the chains, early and late."""
    steps, count, _ = chains.shape
    parts = [
        chains[a, b].reshape(-1, chains.shape[2])
        for a in (slice(0, steps // 2), slice(steps // 2, steps))
        for b in (slice(0, count // 2), slice(count // 2, count))
    ]
    means = np.array([p.mean(axis=0) for p in parts])
    within = np.array([p.var(axis=0) for p in parts]).mean(axis=0)
    ratio: Floats = np.sqrt(1.0 + means.var(axis=0, ddof=1) / within)
    return ratio


def tempered(model: BenchModel, data: list, seconds: float) -> tuple[Run, Floats]:  # type: ignore[type-arg]
    target = Target(model, data, threads=2)
    start = time.perf_counter()
    # As many sweeps as fit, found from a short run.
    quick = Settings(islands=4, particles=96, burn=10, final=10, snapshots=10)
    temper(target, np.random.default_rng(0), quick)
    per_run = time.perf_counter() - start
    final = max(int(10 * seconds / per_run), 20)
    start = time.perf_counter()
    target.evaluations = 0
    settings = Settings(islands=4, particles=96, burn=10, final=final, snapshots=final)
    drawn = temper(target, np.random.default_rng(1), settings)
    took = time.perf_counter() - start
    target.close()
    shared = model.places("common", "scatter")
    chains = drawn.z.reshape(final, 384, model.size)
    return Run("tempered", chains[:, :, shared], took, target.evaluations), chains[-1]


def chains_only(model: BenchModel, data: list, seconds: float) -> Run:  # type: ignore[type-arg]
    target = Target(model, data, threads=2)
    rng = np.random.default_rng(2)
    z = rng.standard_normal((384, model.size))
    start = time.perf_counter()
    draws = Draws(z, target.log_likelihood(z), np.ones(384), 1)
    mover = Mover(target, make_blocks(model), rng)
    shared = model.places("common", "scatter")
    kept: list[Floats] = []
    while time.perf_counter() - start < seconds:
        if time.perf_counter() - start < 0.3 * seconds:
            mover.shape(draws)
        else:
            mover.adapting = False
            kept.append(draws.z[:, shared].copy())
        mover.sweep(draws)
    target.close()
    return Run("chains", np.array(kept), time.perf_counter() - start, target.evaluations)


def with_emcee(model: BenchModel, data: list, seconds: float, start_z: Floats | None) -> Run:  # type: ignore[type-arg]
    import emcee

    target = Target(model, data, threads=2)
    rng = np.random.default_rng(3)
    walkers = 2 * (model.size + 8)
    z = rng.standard_normal((walkers, model.size))
    if start_z is not None:
        z = start_z[rng.integers(0, start_z.shape[0], walkers)]
        z = z + 1e-3 * rng.standard_normal(z.shape)

    def log_posterior(rows: Floats) -> Floats:
        found: Floats = target.log_likelihood(rows).sum(axis=1) - 0.5 * (rows**2).sum(axis=1)
        return found

    sampler = emcee.EnsembleSampler(
        walkers,
        model.size,
        log_posterior,
        vectorize=True,
        moves=[(emcee.moves.StretchMove(), 0.4), (emcee.moves.DEMove(), 0.6)],
    )
    shared = model.places("common", "scatter")
    start = time.perf_counter()
    kept: list[Floats] = []
    state = z
    while time.perf_counter() - start < seconds:
        state = sampler.run_mcmc(state, 1, store=False, skip_initial_state_check=True)
        if time.perf_counter() - start > 0.3 * seconds:
            kept.append(state.coords[:, shared].copy())
    target.close()
    name = "emcee" if start_z is None else "emcee, warm"
    return Run(name, np.array(kept), time.perf_counter() - start, target.evaluations)


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--seconds", type=float, default=60.0)
    seconds = parser.parse_args().seconds
    model, data = record()
    print(f"{model.size} unknowns, {sum(d.count for d in data)} entries, {seconds:g} s each")
    first, end = tempered(model, data, seconds)
    tasks: list[Callable[[], Run]] = [
        lambda: chains_only(model, data, seconds),
        lambda: with_emcee(model, data, seconds, None),
        lambda: with_emcee(model, data, seconds, end),
    ]
    mean, sd = first.chains.mean(axis=(0, 1)), first.chains.std(axis=(0, 1))
    print("method        draws/s fewest  median   R-hat   mean off   sd off   trials computed")
    for run in [first, *(task() for task in tasks)]:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            eff = effective(run.chains) / run.seconds
        off = np.abs(run.chains.mean(axis=(0, 1)) - mean) / sd
        wide = np.abs(run.chains.std(axis=(0, 1)) / sd - 1.0)
        print(
            f"{run.name:14s}{eff.min():14.1f}{np.median(eff):8.1f}{r_hat(run.chains).max():8.3f}"
            f"{off.max():11.3f}{wide.max():9.3f}{run.evaluations:18d}"
        )


if __name__ == "__main__":
    main()
