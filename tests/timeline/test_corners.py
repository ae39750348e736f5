"""No sample within the tolerances may be worse than the slow or better than the fast scenario."""

from __future__ import annotations

import math

import numpy as np
import pytest
from attrs import define
from numpy.typing import NDArray

from bridgewire.model.show import Cue, Igniter
from bridgewire.physics.laws import FaultLog
from bridgewire.physics.transient import run_transient
from bridgewire.timeline.assess import assess
from bridgewire.timeline.batch import build_forest
from bridgewire.timeline.corners import Component, Values
from bridgewire.timeline.jobs import Job, State
from bridgewire.timeline.outcomes import Assessment
from tests.behaviours.bench import MATCH, SLOW, bench

SAMPLES = 300


@define(eq=False)
class Sampled(Component):
    """A component whose scenarios are draws from the tolerance box."""

    @property
    def scenarios(self) -> int:
        return SAMPLES


def draw(
    rng: np.random.Generator, low: NDArray[np.float64], high: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Draw uniformly, with many draws on the ends."""
    where = np.clip(rng.uniform(-0.5, 1.5, (SAMPLES, low.size)), 0.0, 1.0)
    return low + where * (high - low)


def sample(assessment: Assessment, seed: int) -> tuple[list[int], NDArray[np.float64]]:
    """Light times of the first firing for draws; one column for each bridge."""
    rng = np.random.default_rng(seed)
    result = assessment.simulation.results[0]
    component = Sampled(result.component.ways, False)
    nodes = np.concatenate([w.node_ohm for w in component.ways])
    strings = np.concatenate([w.string_ohm for w in component.ways])
    data = component.data
    ohm = [d.bridge_ohm for d in data]
    part = [d.burn_open for d in data]

    def between(pairs: list[tuple[float, float]]) -> NDArray[np.float64]:
        low, high = np.array(pairs).T
        return draw(rng, low, high)

    # Heating lies between the fast and the slow pair of each class.
    heat = np.clip(rng.uniform(-0.5, 1.5, (SAMPLES, len(data))), 0.0, 1.0)
    fast = np.array([d.heating.fast for d in data])
    slow = np.array([d.heating.slow for d in data])
    values = Values(
        node_ohm=draw(rng, nodes[:, 0], nodes[:, 2]),
        string_ohm=draw(rng, strings[:, 0], strings[:, 2]),
        bridge_ohm=between([(b.min, b.max) for b in ohm]),
        threshold_A=fast[:, 0] + heat * (slow[:, 0] - fast[:, 0]),
        tau_s=fast[:, 1] + heat * (slow[:, 1] - fast[:, 1]),
        burn_open=between([(b.min, b.max) for b in part]),
        supply=rng.integers(0, 3, SAMPLES),
    )
    shape = values.bridge_ohm.shape
    state = State(
        component,
        values,
        np.zeros(shape),
        np.zeros(shape, dtype=bool),
        np.zeros(shape, dtype=bool),
        np.tile(component.after_ohm, (shape[0], 1)),
    )
    job = Job(result.firing, state, None, result.emf_V, 0.0, FaultLog())
    network, bridges, bounds, _, _ = build_forest(
        assessment.layout, [job], assessment.simulation.supplies
    )
    out = run_transient(network, bridges, bounds, tolerance=1e-5)
    light = np.where(np.isnan(out.light_s), np.inf, out.light_s).reshape(shape)
    return component.bridge_igniter.tolist(), light


def networks() -> list[tuple[str, Assessment]]:
    found: list[tuple[str, Assessment]] = []
    rng = np.random.default_rng(7)
    for n in range(24):
        klass = SLOW if n % 2 else MATCH
        pulse = 3.0 if klass == SLOW else 0.05
        count = int(rng.integers(1, 5))
        names = [f"s{i}" for i in range(count)]
        runs, free = [], ["box/1"]
        hub = count > 1 and rng.random() < 0.5
        if hub:
            runs.append(("box/1", "hub", float(rng.uniform(1, 20))))
            free = ["hub"] * 4
        for name in names:
            start = free.pop(int(rng.integers(0, len(free))))
            runs.append((start, name, float(rng.uniform(2, 30))))
            free.append(name)
        igniters = [
            Igniter(
                f"{s}/1",
                klass,
                id=s,
                count=(k := int(rng.integers(1, 3))),
                connection=("series" if rng.random() < 0.4 else "parallel") if k > 1 else None,
            )
            for s in names
        ]
        cue = Cue("c", fire="box/1/1", time_s=0.0, pulse_s=pulse)
        found.append(
            (
                f"net{n}",
                bench(
                    names,
                    runs,
                    [cue],
                    igniters=igniters,
                    splitters=["hub"] if hub else [],
                ),
            )
        )
    return found


@pytest.mark.parametrize(
    ("name", "assessment"), networks(), ids=lambda v: v if isinstance(v, str) else ""
)
def test_no_sample_is_outside_the_corners(name: str, assessment: Assessment) -> None:
    owners, light = sample(assessment, len(name))
    outcomes = {i.igniter: i for i in assessment.cues[0].igniters}
    for igniter, outcome in outcomes.items():
        columns = [k for k, owner in enumerate(owners) if owner == igniter]
        latest, earliest = light[:, columns].max(), light[:, columns].min()
        assert latest <= outcome.light.latest * (1 + 1e-4), outcome
        assert earliest >= outcome.light.earliest * (1 - 1e-4), outcome


def test_bands_are_not_needlessly_wide() -> None:
    """Alone on its cable the corner itself is among the draws, so the bound is reached."""
    cue = Cue("c", fire="box/1/1", time_s=0.0, pulse_s=3.0)
    assessment = bench(["s"], [("box/1", "s", 15.0)], [cue])
    _, light = sample(assessment, 1)
    outcome = assessment.cues[0].igniters[0]
    assert math.isfinite(outcome.light.latest)
    assert light.max() > 0.85 * outcome.light.latest
    assert assess(assessment.layout).cues[0].igniters[0].light == outcome.light
