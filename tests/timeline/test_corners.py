"""Draws within the tolerances against the corners alone, on networks where corners suffice.

Corners are no bound in general; `tests/uncertainty/test_proof.py` tests the bounds.
"""

from __future__ import annotations

import math

import pytest

from bridgewire.model.show import Cue
from bridgewire.timeline.assess import assess
from bridgewire.timeline.outcomes import Assessment
from tests.behaviours.bench import bench
from tests.uncertainty.networks import ladders
from tests.uncertainty.sampling import extremes


@pytest.mark.parametrize(
    ("name", "assessment"), ladders(7), ids=lambda v: v if isinstance(v, str) else ""
)
def test_no_sample_is_outside_the_corners(name: str, assessment: Assessment) -> None:
    found = extremes(assessment, 300, len(name))
    for outcome in assessment.cues[0].igniters:
        drawn = found[0, outcome.igniter]
        assert drawn.latest <= outcome.light.latest * (1 + 1e-4), outcome
        assert drawn.earliest >= outcome.light.earliest * (1 - 1e-4), outcome


def test_bands_are_not_needlessly_wide() -> None:
    """Alone on its cable the corner itself is among the draws, so the bound is reached."""
    cue = Cue("c", fire="box/1/1", time_s=0.0, pulse_s=3.0)
    assessment = bench(["s"], [("box/1", "s", 15.0)], [cue])
    drawn = extremes(assessment, 300, 1)[0, 0]
    outcome = assessment.cues[0].igniters[0]
    assert math.isfinite(outcome.light.latest)
    assert drawn.latest > 0.85 * outcome.light.latest
    assert assess(assessment.layout).cues[0].igniters[0].light == outcome.light
