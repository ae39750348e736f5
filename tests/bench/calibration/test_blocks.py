"""Moves leave what they should as it is."""

from __future__ import annotations

import numpy as np
import pytest

from bridgewire.bench.calibration.blocks import make_blocks, redraw_centred
from bridgewire.bench.calibration.moves import Draws, Mover
from bridgewire.bench.calibration.simulated import Design
from bridgewire.bench.calibration.target import Target
from tests.bench.calibration.benches import chain_trial, made_up, model_of


@pytest.fixture(scope="module")
def model():  # type: ignore[no-untyped-def]
    return model_of(chain_trial("1", 3, 1.6), chain_trial("2", 2, 0.4))


def test_every_unknown_is_in_one_block(model) -> None:  # type: ignore[no-untyped-def]
    blocks = make_blocks(model)
    columns = [*blocks.kit.tolist(), *blocks.classes.tolist()]
    for place in blocks.igniters:
        for group in place:
            columns += group.columns.tolist()
    for group in blocks.wiring:
        columns += group.columns.tolist()
    assert sorted(columns) == list(range(model.size))
    assert sorted(blocks.shared.tolist()) == sorted([*blocks.kit, *blocks.classes])


def test_a_move_touches_only_its_trials(model) -> None:  # type: ignore[no-untyped-def]
    rng = np.random.default_rng(1)
    z = rng.standard_normal((5, model.size))
    before = model.run(z)
    for groups in make_blocks(model).igniters:
        for group in groups:
            other = z.copy()
            other[:, group.columns] += 1.0
            for n, (a, b) in enumerate(zip(before, model.run(other), strict=True)):
                same = np.array_equal(a.level, b.level) and np.array_equal(a.ohm, b.ohm)
                assert same == (not group.trials[n])


def test_drawing_a_class_anew_keeps_every_outcome(model) -> None:  # type: ignore[no-untyped-def]
    rng = np.random.default_rng(2)
    z = rng.standard_normal((40, model.size))
    before = model.run(z)
    moved = z.copy()
    centred = make_blocks(model).centred
    assert len(centred) == 6
    for one in centred:
        redraw_centred(moved, one, rng)
    assert not np.allclose(moved, z)
    for a, b in zip(before, model.run(moved), strict=True):
        assert np.allclose(a.level, b.level, atol=1e-6)
        assert np.allclose(a.ohm, b.ohm, rtol=1e-12)


def test_drawing_a_class_anew_keeps_the_prior(model) -> None:  # type: ignore[no-untyped-def]
    """From independent normal values it makes independent normal values, moments up to the 4th."""
    rng = np.random.default_rng(3)
    z = rng.standard_normal((40_000, model.size))
    for one in make_blocks(model).centred[:2]:
        redraw_centred(z, one, rng)
        x = z[:, [one.mean, one.scatter, *one.own]]
        assert np.abs(x.mean(axis=0)).max() < 0.025
        assert np.abs(x.std(axis=0) - 1.0).max() < 0.02
        assert np.abs((x**4).mean(axis=0) - 3.0).max() < 0.25
        off = np.corrcoef(x.T) - np.eye(x.shape[1])
        assert np.abs(off).max() < 0.025
        assert abs(np.corrcoef(x[:, 1] ** 2, (x[:, 2:] ** 2).sum(axis=1))[0, 1]) < 0.025


@pytest.mark.parametrize("beta", [0.0, 1.0])
def test_what_is_kept_beside_the_draws_is_right(model, beta: float) -> None:  # type: ignore[no-untyped-def]
    rng = np.random.default_rng(4)
    data = made_up(model, rng.standard_normal((1, model.size)), Design(time_sd_s=0.05), rng)
    target = Target(model, data)
    z = rng.standard_normal((60, model.size))
    draws = Draws(z, target.log_likelihood(z), np.full(60, beta), 2)
    mover = Mover(target, make_blocks(model), rng)
    for _ in range(3):
        mover.shape(draws)
        mover.sweep(draws)
    assert np.allclose(draws.log_likelihood, target.log_likelihood(draws.z), atol=1e-4)


def test_without_a_likelihood_the_prior_stays(model) -> None:  # type: ignore[no-untyped-def]
    rng = np.random.default_rng(5)
    data = made_up(model, rng.standard_normal((1, model.size)), Design(time_sd_s=0.05), rng)
    z = rng.standard_normal((1500, model.size))
    target = Target(model, data, threads=2)
    draws = Draws(z, target.log_likelihood(z), np.zeros(1500), 1)
    mover = Mover(target, make_blocks(model), rng, pooled=True)
    for _ in range(4):
        mover.shape(draws)
        mover.sweep(draws)
    target.close()
    assert np.abs(draws.z.mean(axis=0)).max() < 0.13
    assert np.abs(draws.z.std(axis=0) - 1.0).max() < 0.1
