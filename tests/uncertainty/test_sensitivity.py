"""Which uncertainty costs most, and what knowing it better would bring."""

from __future__ import annotations

import math
from pathlib import Path
from statistics import NormalDist

import pytest

from bridgewire.uncertainty.normal import below
from bridgewire.uncertainty.sensitivity import MEASURE, CauseRanking, Importance, rank_causes
from tests.uncertainty.shows import BRIDGE_OHM, EMF_V, REACH, assessed, band, kit, show, single
from tests.uncertainty.test_odds import SIGMA, threshold_failing


def by_group(ranking: CauseRanking) -> dict[str, Importance]:
    return {str(g.group): g for g in ranking.groups}


def test_batch_and_own_scatter_of_a_rare_failure(tmp_path: Path) -> None:
    p, share = 1e-4, 0.4
    data = band(threshold_failing(p), SIGMA)
    ranking = rank_causes(single(tmp_path, data, batch_share=share), 0, 0)
    beta = -NormalDist().inv_cdf(p)
    assert ranking.basis == "first order"
    assert ranking.beta == pytest.approx(beta, abs=0.01)
    assert [g.group for g in ranking.groups] == ["igniter itself", "igniter batch"]
    for group, part in (("igniter itself", 1.0 - share), ("igniter batch", share)):
        found = by_group(ranking)[group]
        assert found.share == pytest.approx(part, abs=0.01)
        # What is left of the variance of the logarithm of the threshold.
        assert found.known == pytest.approx(below(-beta / math.sqrt(1.0 - part)), rel=0.05)
        assert found.halved == pytest.approx(below(-beta / math.sqrt(1.0 - 0.75 * part)), rel=0.05)
        assert found.advice


def test_batch_and_own_scatter_of_a_common_failure(tmp_path: Path) -> None:
    p, share = 0.1, 0.4
    data = band(threshold_failing(p), SIGMA)
    ranking = rank_causes(single(tmp_path, data, batch_share=share), 0, 0)
    assert ranking.basis == "sampled"
    for group, part in (("igniter itself", 1.0 - share), ("igniter batch", share)):
        found = by_group(ranking)[group]
        assert found.share == pytest.approx(part, abs=0.1)
        known = below(NormalDist().inv_cdf(p) / math.sqrt(1.0 - part))
        assert found.known == pytest.approx(known, abs=4.0 * math.sqrt(known / 5000) + 1e-3)


@pytest.mark.parametrize(
    ("changes", "first"),
    [
        ({"ohm_per_m": band(0.2, 0.15)}, "cable"),
        ({"contact": band(0.2, 0.5)}, "contacts"),
        (
            {
                "supply": 'kind = "regulated"\nopen_circuit_V = { min = 3.2, typical = 4.0, '
                "max = 4.8 }\ninternal_ohm = 0.0"
            },
            "supply voltage",
        ),
        (
            {
                "supply": 'kind = "regulated"\nopen_circuit_V = 4.0\n'
                "internal_ohm = { min = 0.5, typical = 1.0, max = 4.0 }"
            },
            "supply resistance",
        ),
    ],
)
def test_the_cause_that_scatters_most_comes_first(
    changes: dict[str, str], first: str, tmp_path: Path
) -> None:
    supply = 'kind = "regulated"\nopen_circuit_V = 4.0\ninternal_ohm = 0.0'
    options = {"supply": supply, "ohm_per_m": "0.2", **changes}
    text = show(["a/1"], ['fire = "box/1/1"\ntime_s = 1.0'], length="10.0")
    data = kit(band(0.4, 0.02), **options)  # type: ignore[arg-type]
    ranking = rank_causes(assessed(tmp_path, data, text), 0, 0)
    assert ranking.groups[0].group == first
    assert ranking.groups[0].known < ranking.groups[0].halved < ranking.failure.probability


def test_an_igniter_that_fails_at_typical_values_has_nothing_to_measure(tmp_path: Path) -> None:
    typical = 1.6 * EMF_V / BRIDGE_OHM * REACH
    ranking = rank_causes(single(tmp_path, band(typical, SIGMA)), 0, 0)
    assert ranking.failure.probability > 0.99
    assert ranking.beta < 0.0


def test_every_group_has_its_advice() -> None:
    from typing import get_args

    from bridgewire.uncertainty.quantities import Group

    assert set(MEASURE) == set(get_args(Group))
