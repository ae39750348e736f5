"""Simulation-based calibration: is the truth where the posterior says it is, as often as it says?

Records are made up from the prior, fitted, and the rank of the truth among the posterior's draws
is kept (S. Talts et al., arXiv 1804.06788; from memory). If prior, likelihood, forward model and
sampler go together, ranks are uniform for every unknown. The bands are read as 1.5 standard
deviations here, twice as wide as usual, so that the trials have much to say.
"""

from __future__ import annotations

import numpy as np
import pytest
from attrs import evolve

from bridgewire.bench.calibration.observed import TrialData
from bridgewire.bench.calibration.simulated import Design
from bridgewire.bench.calibration.tempering import Settings
from bridgewire.bench.forward import BenchModel
from bridgewire.model.show import Scatter
from tests.bench.calibration.benches import chain_trial, chi_square, model_of, ranks

FALSE_ALARM = 0.001
"""Probability that one of these tests fails by chance: split over its unknowns (Bonferroni)."""
SETTINGS = Settings(burn=8, final=6, snapshots=1)
OHM = "batch/generic:clip-on-short/bridge resistance"
CABLE = "drum/harrowmere:shore-cable"

DESIGNS = {
    "readings": Design(time_sd_s=0.03),
    "intervals": Design(interval_s=0.1),
    "order, state and ohms": Design(fresh_ohm=True),
    "lit or not": Design(order=False, state=False),
}


def small_bench() -> BenchModel:
    """A chain of two, and a single igniter with a pulse that is hardly enough, twice."""
    return model_of(
        chain_trial("1", 2, 1.6),
        chain_trial("2", 1, 0.2, shots=2),
        scatter=Scatter(band_sigma=1.5),
    )


@pytest.mark.slow
@pytest.mark.parametrize("number", range(len(DESIGNS)), ids=list(DESIGNS))
def test_ranks_are_uniform(number: int) -> None:
    design = list(DESIGNS.values())[number]
    found = ranks(
        small_bench(), design, replicates=160, particles=32, seed=31 + number, settings=SETTINGS
    )
    p = {key: chi_square(values) for key, values in found.items()}
    assert len(p) >= 18
    worst = min(p, key=lambda key: p[key])
    assert p[worst] > FALSE_ALARM / len(p), (worst, p[worst])


def late(data: TrialData) -> TrialData:
    return evolve(data, time_low_s=1.25 * data.time_low_s, time_high_s=1.25 * data.time_high_s)


def leads_not_subtracted(data: TrialData) -> TrialData:
    return evolve(data, ohm=data.ohm + 0.2)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("spoil", "design", "key"),
    [
        (late, Design(time_sd_s=0.03), CABLE),
        (leads_not_subtracted, Design(fresh_ohm=True), OHM),
    ],
    ids=["times read a quarter too long", "the meter's leads are in the readings"],
)
def test_a_wrong_likelihood_shows(spoil, design, key) -> None:  # type: ignore[no-untyped-def]
    found = ranks(
        small_bench(),
        design,
        replicates=160,
        particles=32,
        seed=35,
        settings=SETTINGS,
        spoil=spoil,
    )
    assert chi_square(found[key]) < FALSE_ALARM / len(found)


def test_the_check_itself_tells_uniform_from_not() -> None:
    rng = np.random.default_rng(1)
    assert chi_square(rng.random(400)) > 0.001
    assert chi_square(rng.random(400) ** 1.5) < 1e-6
