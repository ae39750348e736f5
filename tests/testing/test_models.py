"""Checks of models: sound ones pass, each sort of fault is found."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from bridgewire.physics.laws import BridgeState, IgniterModel, SupplyModel, SupplyState
from bridgewire.physics.network import Floats
from bridgewire.testing import assert_igniter_model, assert_supply_model


def heating(s: BridgeState) -> Floats:
    ratio = s.current_A / s.threshold_A
    return ratio * ratio * (1.0 + s.rise_per_x * s.x)


def shared(s: BridgeState) -> Floats:
    """Depends on its neighbours in the batch."""
    return heating(s) / s.x.size


def changes(s: BridgeState) -> Floats:
    np.add(s.x, 1.0, out=s.x)
    return heating(s)


def branches(s: BridgeState) -> Floats:
    return s.x if s.x > 1.0 else heating(s)


_calls = itertools.count()


def forgets(s: BridgeState) -> Floats:
    return heating(s) + next(_calls) * 1e-3


def test_sound_igniter_models_pass() -> None:
    assert_igniter_model(IgniterModel("law", heating))
    assert_igniter_model(
        IgniterModel(
            "whole",
            lambda s: heating(s) * s.parameters["share"],
            lambda s: s.cold_ohm * (1.0 + s.rise_per_x * s.x),
            lambda s: np.full(s.x.size, np.inf),
            parameters=("share",),
        ),
        {"share": 0.5},
    )


@pytest.mark.parametrize(
    ("model", "words"),
    [
        (IgniterModel("m", lambda s: s.x * np.nan), "nan is no number"),
        (IgniterModel("m", lambda s: s.x + np.inf), "inf is no number"),
        (IgniterModel("m", lambda s: -heating(s) - 0.5), "is negative"),
        (IgniterModel("m", lambda s: heating(s)[:1]), "shape \\(1,\\) for 2 asked"),
        (IgniterModel("m", lambda s: np.array(1.0)), "shape \\(\\) for 1 asked"),
        (IgniterModel("m", shared), "a batch gives something else"),
        (IgniterModel("m", changes), "changes what it is given"),
        (IgniterModel("m", branches), "ValueError"),
        (IgniterModel("m", forgets), "answers differently"),
        (IgniterModel("m", lambda s: heating(s) + 1.0), "lights without current"),
        (IgniterModel("m", heating, lambda s: 0.0 * s.x), "resistance: 0 is not above 0"),
        (IgniterModel("m", heating, lambda s: -s.cold_ohm), "resistance: -"),
        (IgniterModel("m", heating, after_ohm=lambda s: s.x * np.nan), "after_ohm: nan"),
        (IgniterModel("m", heating, parameters=("share",)), "has the parameters \\['share'\\]"),
    ],
)
def test_faults_of_igniter_models_are_found(model: IgniterModel, words: str) -> None:
    with pytest.raises(AssertionError, match=words):
        assert_igniter_model(model)


def line(s: SupplyState) -> Floats:
    return np.maximum(s.emf_V - s.output_V, 0.0) / s.parameters["ohm"]


def test_a_sound_supply_model_passes() -> None:
    assert_supply_model(SupplyModel("line", line, ("ohm",)), {"ohm": 0.4})


@pytest.mark.parametrize(
    ("model", "words"),
    [
        (SupplyModel("m", lambda s: s.output_V), "gives nothing into a short|rises from"),
        (SupplyModel("m", lambda s: s.emf_V * 0.0), "nothing into a short"),
        (
            SupplyModel("m", lambda s: 1.0 + s.output_V),
            "rises from 1 to 1.03 A between 0 and 0.03 V",
        ),
        (SupplyModel("m", lambda s: s.output_V - 100.0), "is negative"),
        (SupplyModel("m", lambda s: np.ones(s.emf_V.size + 1)), "shape"),
        (SupplyModel("m", lambda s: s.emf_V * np.nan), "nan is no number"),
    ],
)
def test_faults_of_supply_models_are_found(model: SupplyModel, words: str) -> None:
    with pytest.raises(AssertionError, match=words):
        assert_supply_model(model)
