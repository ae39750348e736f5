"""Readings against their bands: what is off, near, hidden, or not seen at all."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from bridgewire.api import check
from bridgewire.bench.meter.probe import BOX
from bridgewire.model.readings import MeterAccuracy, Moment, Reading
from bridgewire.timeline.outcomes import Assessment
from tests.bench.readings.shows import IGNITERS, POND, assessed, igniter, readings_of, study

MIDWINTER = "examples/midwinter-small.toml"
EXACT = MeterAccuracy(0.0, 0.0)


def _midwinter() -> Assessment:
    found = check(MIDWINTER).assessment
    assert found is not None
    return found


def _status(
    ohm: float | None,
    *,
    meter: MeterAccuracy = EXACT,
    moment: Moment = "before",
    lead: float | None = None,
) -> str:
    row = Reading(("heron-1", 1, 1), "west", moment, ohm, ohm is None, lead)
    return study(_midwinter(), [row], meter).judged[0].status


@pytest.mark.parametrize(
    ("ohm", "status"),
    [
        (1.7, "as expected"),
        (1.574001, "near the edge"),
        (1.909999, "near the edge"),
        (1.573, "outside"),
        (1.911, "outside"),
        (0.2, "outside"),
        (0.15, "shorted"),
        (0.0, "shorted"),
        (None, "open"),
    ],
)
def test_bounds(ohm: float | None, status: str) -> None:
    """The band is 1.574 to 1.910 ohm."""
    assert _status(ohm) == status


def test_meter_error_is_given_to_the_circuit() -> None:
    assert _status(2.0, meter=MeterAccuracy(0.0, 0.1)) == "near the edge"
    assert _status(2.02, meter=MeterAccuracy(0.0, 0.1)) == "outside"
    assert _status(2.0, meter=MeterAccuracy(4.51, 0.0)) == "near the edge"
    assert _status(2.0, meter=MeterAccuracy(4.49, 0.0)) == "outside"


def test_leads_are_taken_off() -> None:
    assert _status(2.2, lead=0.5) == "as expected"
    row = Reading(("heron-1", 1, 1), "west", "before", 2.2)
    assert study(_midwinter(), [row], EXACT, 0.5).judged[0].status == "as expected"
    own = Reading(("heron-1", 1, 1), "west", "before", 2.2, lead_ohm=0.0)
    assert study(_midwinter(), [own], EXACT, 0.5).judged[0].status == "outside"


def test_leads_above_the_reading_are_a_short() -> None:
    assert _status(0.1, lead=0.5) == "shorted"


def test_after_the_show() -> None:
    assert _status(None, moment="after") == "as expected"
    assert _status(1.7, moment="after") == "closed after show"


def test_behind_a_diode_nothing_is_judged() -> None:
    row = Reading(("heron-1", 1, 1), BOX, "before", 5.0)
    done = study(_midwinter(), [row])
    assert done.judged[0].status == "not judged"
    assert done.diagnoses == ()
    assert len(done.unmeasured) == 3


def test_one_strip_does_not_see_the_other_behind_diodes() -> None:
    done = study(_midwinter(), [Reading(("heron-1", 1, 1), "west", "before", 1.7)])
    left = next(u for u in done.unmeasured if u.way == ("heron-1", 1, 1))
    assert left.igniters == ("east comet",)


@pytest.mark.parametrize("seed", range(4))
def test_good_circuits_are_never_called_off(seed: int, tmp_path: Path) -> None:
    """Any values within the tolerances, with any meter error within its limits."""
    a = assessed(POND + IGNITERS, tmp_path)
    rng = np.random.default_rng(seed)
    meter = MeterAccuracy(1.0, 0.05)
    for _ in range(25):
        rows = []
        for r in readings_of(a, rng, extreme=True):
            assert r.ohm is not None
            # A meter within its limits: the limit is a share of what it shows.
            sign = rng.choice([-1.0, 0.0, 1.0])
            shown = (r.ohm + sign * meter.ohm) / (1.0 - sign * meter.pct / 100.0)
            rows.append(Reading(r.way, r.place, r.moment, shown))
        done = study(a, rows, meter)
        assert not any(j.off for j in done.judged)
        assert done.diagnoses == ()


def test_missing_one_of_many_can_hide(tmp_path: Path) -> None:
    many = POND + igniter("far/1", "generic:bridge-a", 'count = 5\nconnection = "parallel"\n')
    a = assessed(many, tmp_path)
    row = readings_of(a, np.random.default_rng(1), [(("teal-1", 1, 1), BOX)])
    assert study(a, row, MeterAccuracy(1.0, 0.1)).judged[0].hides == ("far 1",)


def test_one_of_two_does_not_hide(tmp_path: Path) -> None:
    a = assessed(POND + igniter("near/1") + igniter("far/1"), tmp_path)
    rows = readings_of(a, np.random.default_rng(1), [(("teal-1", 1, 1), "near")])
    assert study(a, rows).judged[0].hides == ()


def test_an_unknown_circuit_is_not_judged_and_counts_as_unmeasured(tmp_path: Path) -> None:
    show = POND.replace("length_m = { typical = 10, tol = 0.3 }", "")
    a = assessed(show + IGNITERS, tmp_path)
    done = study(a, [Reading(("teal-1", 1, 1), BOX, "before", 3.0)])
    assert done.judged[0].status == "not judged"
    assert ("teal-1", 1, 1) in {u.way for u in done.unmeasured}
