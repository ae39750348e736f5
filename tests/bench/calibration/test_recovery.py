"""Known values come back: from records made by our own forward model, and from one that is not.

`examples/bench-evening` was computed by scipy and a dense network, see make_record.py there.
"""

from __future__ import annotations

import importlib.util
from functools import cache
from types import ModuleType

import numpy as np
import pytest

from bridgewire.bench.calibration.agreement import check_agreement
from bridgewire.bench.calibration.observed import TrialData
from bridgewire.bench.calibration.posterior import Posterior, diagnose, fit
from bridgewire.bench.calibration.simulated import Design, simulate_trial
from bridgewire.bench.calibration.study import FitStudy, study_of
from bridgewire.bench.calibration.target import Target
from bridgewire.bench.calibration.tempering import Settings, temper
from bridgewire.bench.compile_record import compile_record
from bridgewire.bench.forward import BenchModel
from bridgewire.bench.wiring import load_record
from tests.bench.calibration.benches import EXAMPLE, chain_trial, made_up, model_of

SMALL = Settings(islands=3, particles=80, burn=8, final=12, snapshots=4)


@cache
def example() -> FitStudy:
    return study_of(fit(compile_record(load_record(EXAMPLE)), seed=2, threads=2))


def make_record() -> ModuleType:
    script = EXAMPLE.with_name("make_record.py")
    spec = importlib.util.spec_from_file_location("make_record", script)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.slow
def test_the_evening_on_the_bench_is_fitted_end_to_end() -> None:
    study = example()
    assert study.posterior.diagnostics.good
    assert not study.disagreeing
    truth = make_record()
    wanted = {
        "heron supply.internal_ohm": truth.TRUTH["supply_ohm"] / 1.073,  # at 20 °C
        "shore-cable ohm_per_m": truth.TRUTH["shore_ohm_per_m"],
        "patch-24awg-cca ohm_per_m": truth.TRUTH["cca_ohm_per_m"],
        "clip-on-short bridge_ohm": truth.CLASSES["clip-on-short"][0][0],
        "clip-on-short burn_open": truth.CLASSES["clip-on-short"][0][5],
        "clip-on-long bridge_ohm": truth.CLASSES["clip-on-long"][0][0],
        "electric-match bridge_ohm": truth.MATCH[0][0],
    }
    found = {v.parameter.label: v for v in study.learned}
    for label, value in wanted.items():
        v = found[label]
        # The sample of igniters that was drawn has a mean of its own: give the interval some room.
        room = 0.5 * (v.posterior.max - v.posterior.min)
        assert v.posterior.min - room < value < v.posterior.max + room, label
        assert v.narrower < 1.05
    classes = {c.class_id: c for c in study.classes}
    slow = classes["generic:clip-on-short"]
    threshold = (0.00195 * (705.0 - 14.0) / 1.73) ** 0.5
    assert abs(slow.threshold_A.typical / threshold - 1.0) < 0.04
    assert slow.tau_s.min < 0.0063 / 0.00195 < slow.tau_s.max
    assert slow.tau_s.max - slow.tau_s.min < slow.tau_before_s.max - slow.tau_before_s.min


def class_mean(model: BenchModel, what: str) -> int:
    (place,) = [
        n
        for n, u in enumerate(model.unknowns)
        if u.key.startswith("batch/") and u.key.endswith(f"/{what}")
    ]
    return place


def synthetic(seed: int, **truth: float) -> tuple[BenchModel, np.ndarray, list[TrialData]]:
    """Six chains of three; `truth` sets unknowns by the end of their key."""
    lengths = [8.0 + 4.0 * n for n in range(6)]
    model = model_of(
        *(chain_trial(str(n), 3, 2.0, shots=2, length_m=m) for n, m in enumerate(lengths))
    )
    rng = np.random.default_rng(seed)
    z = rng.standard_normal((1, model.size))
    for end, value in truth.items():
        z[0, class_mean(model, end.replace("_", " "))] = value
    return model, z, made_up(model, z, Design(time_sd_s=0.02, fresh_ohm=True), rng)


def fitted(model: BenchModel, data: list[TrialData], seed: int = 1) -> Posterior:
    target = Target(model, data, threads=2)
    drawn = temper(target, np.random.default_rng(seed), SMALL)
    target.close()
    return Posterior(
        model,
        drawn.z.reshape(-1, model.size),
        drawn.log_likelihood.reshape(-1, len(model.trials)),
        tuple(data),
        diagnose(model, drawn),
        seed,
        SMALL,
    )


@pytest.mark.slow
@pytest.mark.parametrize("sign", [-1.0, 1.0])
def test_known_values_come_back(sign: float) -> None:
    model, _, data = synthetic(11, heat_capacity=1.5 * sign, bridge_resistance=-1.5 * sign)
    posterior = fitted(model, data)
    for what, value in (("heat capacity", 1.5 * sign), ("bridge resistance", -1.5 * sign)):
        place = class_mean(model, what)
        draws = posterior.z[:, place]
        assert draws.std() < 0.85
        assert abs(draws.mean() - value) < 3.0 * draws.std()
        assert np.sign(draws.mean()) == np.sign(value)


@pytest.mark.slow
def test_a_trial_with_a_bad_contact_is_called_out() -> None:
    model, z, data = synthetic(12)
    rng = np.random.default_rng(5)
    worse = model.trials[3].run(_with_cable(model, z, 3, 13.0))
    data[3] = simulate_trial(model, 3, worse, Design(time_sd_s=0.02, fresh_ohm=True), rng)
    found = check_agreement(fitted(model, data))
    assert [a.trial for a in found if a.disagrees] == ["3"]
    assert found[3].advice.startswith("trial 3 disagrees with the rest: its igniters light later")
    assert "check the contacts" in found[3].advice


@pytest.mark.slow
def test_a_trial_with_another_batch_is_called_out() -> None:
    model, z, data = synthetic(13)
    rng = np.random.default_rng(6)
    other = z.copy()
    for n, u in enumerate(model.unknowns):
        if u.role == "igniter" and u.key.endswith("heat capacity") and 4 in u.trials:
            other[0, n] = -6.0
    design = Design(time_sd_s=0.02, fresh_ohm=True)
    data[4] = simulate_trial(model, 4, model.trials[4].run(other), design, rng)
    found = check_agreement(fitted(model, data))
    assert [a.trial for a in found if a.disagrees] == ["4"]
    assert "batch" in found[4].advice


@pytest.mark.slow
def test_trials_that_agree_are_not_called_out() -> None:
    model, _, data = synthetic(14)
    assert not any(a.disagrees for a in check_agreement(fitted(model, data)))


def _with_cable(model: BenchModel, z: np.ndarray, trial: int, by: float) -> np.ndarray:
    """A trial whose first plug has gone bad: its own part far beyond its band."""
    out = z.copy()
    places = [
        n
        for n, u in enumerate(model.unknowns)
        if u.role == "wiring" and trial in u.trials and "contact at heron-1/1" in u.key
    ]
    assert places
    out[0, places] = by
    return out


@pytest.mark.slow
def test_same_seed_same_result_for_any_number_of_threads() -> None:
    model = model_of(chain_trial("1", 2, 1.0), chain_trial("2", 1, 0.3))
    few = Settings(islands=2, particles=20, burn=2, final=2, snapshots=1)
    rng = np.random.default_rng(3)
    data = made_up(model, rng.standard_normal((1, model.size)), Design(time_sd_s=0.05), rng)
    results = []
    for threads in (1, 2):
        target = Target(model, data, threads=threads)
        results.append(temper(target, np.random.default_rng(9), few).z)
        target.close()
    one, two = results
    assert np.array_equal(one, two)


def test_a_record_without_observations_gives_the_prior_back() -> None:
    model = model_of(chain_trial("1", 2, 1.0))
    few = Settings(islands=2, particles=150, burn=2, final=4, snapshots=2)
    posterior = fit(model, settings=few)
    shared = model.places("common", "scatter")
    assert np.abs(posterior.z[:, shared].mean(axis=0)).max() < 0.3
    assert np.abs(posterior.z[:, shared].std(axis=0) - 1.0).max() < 0.2
