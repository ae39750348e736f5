"""Sorting outcomes into kinds."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from attrs import evolve

from bridgewire.bench.calibration.observed import NOTHING, TrialData
from bridgewire.bench.design.outcomes import RARE, sort_outcomes, way_of_seeing
from bridgewire.bench.wiring import load_record
from bridgewire.model.bench import Meter
from tests.bench import setups
from tests.bench.design.lawn import RECORD, TRIAL, lawn
from tests.bench.setups import with_trials


def _data(lit: np.ndarray, time: np.ndarray | None = None, opened: bool = True) -> TrialData:
    """One shot: who lit, and when."""
    lit = lit[:, None, :]
    shape = lit.shape
    timed = time is not None
    low = np.zeros(shape) if time is None else time[:, None, :]
    pairs = shape[2] * (shape[2] - 1) // 2
    return TrialData(
        lit,
        np.ones(shape, dtype=bool),
        low,
        low.copy(),
        np.ones(shape),
        lit & timed,
        np.full((shape[0], 1, pairs), NOTHING),
        lit & opened,
        lit.copy(),
        np.zeros((shape[0], 2, shape[2])),
        np.ones((shape[0], 2, shape[2])),
        np.zeros((shape[0], 2, shape[2]), dtype=bool),
        np.array([2.0]),
        0.1,
    )


def test_lit_and_dark_are_two_kinds() -> None:
    lit = np.tile([[True], [False]], (50, 1))
    found = sort_outcomes(_data(lit))
    assert found.count == 2
    assert (found.code[::2] != found.code[1::2]).all()


def test_times_make_classes_of_equal_frequency() -> None:
    rng = np.random.default_rng(1)
    time = rng.random((1200, 1))
    found = sort_outcomes(_data(np.ones((1200, 1), dtype=bool), time))
    sizes = np.bincount(found.code)
    assert found.count == 6
    assert sizes.min() > 150
    for kind in range(6):
        here = np.sort(time[found.code == kind, 0])
        outside = time[found.code != kind, 0]
        assert not ((outside > here[0]) & (outside < here[-1])).any()


def test_few_draws_make_few_kinds() -> None:
    rng = np.random.default_rng(2)
    lit = rng.random((400, 4)) < 0.5
    found = sort_outcomes(_data(lit, rng.random((400, 4))))
    sizes = np.bincount(found.code)
    assert sizes.min() >= RARE
    assert found.count <= 60


def test_equal_places_are_not_told_apart() -> None:
    rng = np.random.default_rng(3)
    lit = rng.random((600, 3)) < 0.5
    time = rng.random((600, 3))
    one = sort_outcomes(_data(lit, time), alike=True)
    other = sort_outcomes(_data(lit[:, ::-1], time[:, ::-1]), alike=True)
    assert one.count == other.count
    assert (one.code == other.code).all()
    assert one.count < sort_outcomes(_data(lit, time)).count


def test_counts() -> None:
    lit = np.array([[True], [True], [False], [True]])
    found = sort_outcomes(_data(np.tile(lit, (20, 1))))
    rows = np.repeat(np.arange(40), 2)
    counts = found.counts(rows, 40)
    assert counts.shape == (40, 2)
    assert (counts.sum(axis=1) == 2).all()
    assert sorted(counts.sum(axis=0).tolist()) == [20.0, 60.0]


def test_one_kind_only() -> None:
    found = sort_outcomes(_data(np.ones((5, 1), dtype=bool)))
    assert found.count == 1
    assert (found.code == 0).all()


@pytest.mark.parametrize(
    ("seen", "tolerance", "interval", "reading"),
    [
        ("lit = true\ntime_s = { min = 0.2, max = 0.5 }", 0.3, 0.3, None),
        ("lit = true\ntime_s = 0.4", 0.3, None, 0.1),
        ("lit = true", 0.3, None, 0.1),
        ("lit = true", None, None, None),
    ],
)
def test_a_further_trial_is_seen_as_the_others(
    tmp_path: Path,
    seen: str,
    tolerance: float | None,
    interval: float | None,
    reading: float | None,
) -> None:
    lawn(tmp_path, record=with_trials(RECORD, TRIAL, setups.seen('igniter = "x"', seen)))
    record = load_record(tmp_path / "record.toml", kit_dirs=[tmp_path]).record
    found = way_of_seeing(evolve(record, meter=Meter(time_tol_s=tolerance)))
    assert found.interval_s == (pytest.approx(interval) if interval else None)
    assert found.time_sd_s == (pytest.approx(reading) if reading else None)
