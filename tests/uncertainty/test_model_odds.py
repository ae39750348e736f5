"""Models from outside in the odds: they count, here and in other processes; faults are told."""

from __future__ import annotations

import pytest

from bridgewire.physics.laws import BridgeState, IgniterModel, Models
from bridgewire.physics.network import Floats
from bridgewire.timeline.outcomes import Verdict
from bridgewire.uncertainty.limit_state import OddsError
from bridgewire.uncertainty.odds import show_odds
from bridgewire.uncertainty.rare import igniter_failure
from tests.behaviours.bench import chain
from tests.timeline.test_models import SAME, builtin_heating, named, with_models

DRAWS = 300


def test_the_built_in_law_as_a_model_gives_the_same_odds() -> None:
    plain = chain(3, 20.0, 2.8)
    modelled = with_models(plain, Models({"same": SAME}), igniter=named("same"))
    one, other = show_odds(plain, draws=DRAWS), show_odds(modelled, draws=DRAWS)
    failures = [i.failures for i in one.cues[0].igniters]
    assert any(0 < n < DRAWS for n in failures)
    assert [i.failures for i in other.cues[0].igniters] == failures


@pytest.mark.parametrize("sendable", [True, False])
def test_a_model_s_law_counts_in_worker_processes(sendable: bool) -> None:
    def half(state: BridgeState) -> Floats:
        return 0.5 * builtin_heating(state)

    # A function within a function cannot be sent: it is run here.
    model = SAME if sendable else IgniterModel("same", half)
    modelled = with_models(chain(2, 20.0, 2.8), Models({"same": model}), igniter=named("same"))
    one = show_odds(modelled, draws=DRAWS, block=DRAWS)
    assert repr(show_odds(modelled, draws=DRAWS, block=DRAWS, workers=2)) == repr(one)


def test_what_rests_on_a_faulty_model_is_not_judged() -> None:
    def negative(state: BridgeState) -> Floats:
        return -builtin_heating(state)

    models = Models({"bad": IgniterModel("bad", negative)})
    assessment = with_models(chain(2, 10.0, 4.0), models, igniter=named("bad"))
    assert {i.verdict for i in assessment.cues[0].igniters} == {Verdict.UNKNOWN}
    odds = show_odds(assessment, draws=DRAWS)
    assert odds.cues == ()
    assert odds.unknown == ("s1", "s2")
    with pytest.raises(OddsError):
        igniter_failure(assessment, 0, 0)
