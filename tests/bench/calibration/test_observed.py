"""The observation model: probabilities that add up, and made-up data that follow it."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from attrs import evolve

from bridgewire.bench.calibration.observed import (
    AFTER,
    BEFORE,
    NOTHING,
    SLIP,
    TOGETHER,
    TrialData,
    log_likelihood,
    observations_of,
    order_probabilities,
    pairs_of,
)
from bridgewire.bench.calibration.simulated import Design, simulate_trial
from bridgewire.bench.compile_record import compile_record
from bridgewire.bench.forward import TrialOutcome
from bridgewire.bench.wiring import load_record
from tests.bench.calibration.benches import EXAMPLE, chain_trial, model_of


def outcome(level: float = 0.0, light_s: float = 0.5, open_level: float = 0.0) -> TrialOutcome:
    one = np.ones((1, 1, 1))
    return TrialOutcome(level * one, light_s * one, open_level * one, np.full((1, 1), 1.75))


def nothing_seen() -> TrialData:
    no = np.zeros((1, 1, 1), dtype=bool)
    return TrialData(
        lit=no,
        lit_known=no.copy(),
        time_low_s=np.zeros((1, 1, 1)),
        time_high_s=np.zeros((1, 1, 1)),
        time_sd_s=np.full((1, 1, 1), 0.03),
        time_known=no.copy(),
        relation=np.full((1, 1, 0), NOTHING),
        open_=no.copy(),
        open_known=no.copy(),
        ohm=np.zeros((1, 2, 1)),
        ohm_sd=np.ones((1, 2, 1)),
        ohm_known=np.zeros((1, 2, 1), dtype=bool),
        end_s=np.array([1.0]),
        together_s=0.1,
    )


YES = np.ones((1, 1, 1), dtype=bool)


@pytest.mark.parametrize("level", [-1.0, -0.01, 0.0, 0.004, 0.5])
def test_lit_and_not_lit_add_up_to_one(level: float) -> None:
    seen = evolve(nothing_seen(), lit_known=YES)
    dark = log_likelihood(outcome(level), seen)
    lit = log_likelihood(outcome(level), evolve(seen, lit=YES))
    assert np.exp(dark) + np.exp(lit) == pytest.approx(1.0)
    assert np.exp(dark).min() >= SLIP * 0.99


def test_the_edge_is_soft_by_one_per_cent() -> None:
    seen = evolve(nothing_seen(), lit_known=YES, lit=YES)
    p = float(np.exp(log_likelihood(outcome(0.01), seen))[0])
    assert p == pytest.approx(SLIP + (1 - 2 * SLIP) * 0.8413447, abs=1e-6)


def test_intervals_that_cover_the_pulse_add_up_to_one() -> None:
    total = 0.0
    for low in np.arange(10) / 10:
        seen = evolve(
            nothing_seen(),
            time_known=YES,
            time_low_s=np.full((1, 1, 1), low),
            time_high_s=np.full((1, 1, 1), low + 0.1),
            time_sd_s=np.full((1, 1, 1), 0.005),
        )
        total += float(np.exp(log_likelihood(outcome(light_s=0.437), seen))[0])
    assert total == pytest.approx(1.0, abs=1e-6)


def test_readings_are_a_density() -> None:
    grid = np.linspace(-2.0, 3.0, 5001)
    densities = [
        float(
            np.exp(
                log_likelihood(
                    outcome(light_s=0.4),
                    evolve(
                        nothing_seen(),
                        time_known=YES,
                        time_low_s=np.full((1, 1, 1), t),
                        time_high_s=np.full((1, 1, 1), t),
                    ),
                )
            )[0]
        )
        for t in grid[::10]
    ]
    inside = np.trapezoid(densities, grid[::10])
    # A slip may be anywhere in the pulse; here it is spread over five times that.
    assert inside == pytest.approx((1 - SLIP) + 5 * SLIP, abs=1e-3)


@pytest.mark.parametrize("gap", [-0.3, -0.11, 0.0, 0.05, 0.09, 0.11, 0.4])
def test_orders_add_up_to_one(gap: float) -> None:
    p = order_probabilities(np.array([[0.2, 0.2 + gap]]), 0.1)
    assert float(sum(float(v[0, 0]) for v in p)) == pytest.approx(1.0)
    assert (p[0][0, 0] > 0.5) == (gap > 0.1)


def test_pairs() -> None:
    assert pairs_of(4) == list(itertools.combinations(range(4), 2))


def test_made_up_data_follow_the_probabilities() -> None:
    model = model_of(chain_trial("1", 2, 1.6))
    rng = np.random.default_rng(4)
    z = np.repeat(rng.standard_normal((1, model.size)), 4000, axis=0)
    made = simulate_trial(model, 0, model.trials[0].run(z), Design(fresh_ohm=True), rng)
    real = model.trials[0].run(z[:1])
    from scipy.stats import norm

    for i in range(2):
        p = SLIP + (1 - 2 * SLIP) * norm.cdf(real.level[0, 0, i] / 0.01)
        error = math.sqrt(max(p * (1 - p), 1e-4) / 4000)
        assert abs(made.lit[:, 0, i].mean() - p) < 5 * error
    off = (made.ohm[:, 0] - real.ohm) / made.ohm_sd[:, 0]
    assert abs(off.mean()) < 0.05
    assert abs(off.std() - 1.0) < 0.05


def test_the_example_is_read_as_it_stands() -> None:
    model = compile_record(load_record(EXAMPLE))
    data = observations_of(model)
    first = data[0]
    assert first.lit[0, 0].tolist() == [True, True, False, False]
    # Once lit, an igniter is not asked again; those still dark are.
    assert first.lit_known[0, 1].tolist() == [False, False, True, True]
    assert first.time_low_s[0, 0, 0] == pytest.approx(0.2)
    assert first.time_high_s[0, 0, 0] == pytest.approx(0.3)
    # Both have times, so their order says nothing more.
    assert (first.relation == NOTHING).all()
    splitter = data[7]
    assert (splitter.relation != NOTHING).sum() == 3
    assert set(splitter.relation[splitter.relation != NOTHING].tolist()) == {TOGETHER}
    assert {BEFORE, AFTER}.isdisjoint(set(splitter.relation.ravel().tolist()))
    assert all(
        np.isfinite(log_likelihood(t.run(np.zeros((3, model.size))), d)).all()
        for t, d in zip(model.trials, data, strict=True)
    )


def test_softness_matters_little() -> None:
    """The edge's width is a choice; half or twice as wide changes no draw by much."""
    model = compile_record(load_record(EXAMPLE))
    data = observations_of(model)
    z = 0.5 * np.random.default_rng(8).standard_normal((300, model.size))
    totals = [
        sum(log_likelihood(t.run(z), d, soft) for t, d in zip(model.trials, data, strict=True))
        for soft in (0.005, 0.01, 0.02)
    ]
    spread = np.std(totals[1])
    for other in (totals[0], totals[2]):
        assert np.corrcoef(other, totals[1])[0, 1] > 0.9
        assert np.median(np.abs(other - totals[1] - np.median(other - totals[1]))) < 0.5 * spread
