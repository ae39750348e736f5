"""Models from outside in the solver: they count, and they cannot make it wrong silently."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from attrs import evolve

from bridgewire.circuit.catalogue import Catalogue
from bridgewire.circuit.resolve import resolve
from bridgewire.model.band import Band
from bridgewire.model.kit import BoxKind, IgniterClass, ModelSupply
from bridgewire.model.show import Cue
from bridgewire.physics.laws import BridgeState, IgniterModel, Models, SupplyModel, SupplyState
from bridgewire.physics.network import Floats
from bridgewire.timeline.assess import assess
from bridgewire.timeline.outcomes import Assessment, EndState, Verdict
from tests.behaviours.bench import bench, catalogue, chain


def builtin_heating(state: BridgeState) -> Floats:
    ratio = state.current_A / state.threshold_A
    return ratio * ratio * (1.0 + state.rise_per_x * state.x)


def builtin_resistance(state: BridgeState) -> Floats:
    return state.cold_ohm * (1.0 + state.rise_per_x * state.x)


SAME = IgniterModel("same", builtin_heating, builtin_resistance)


def with_models(
    assessment: Assessment,
    models: Models,
    *,
    igniter: Callable[[IgniterClass], IgniterClass] = lambda c: c,
    box: Callable[[BoxKind], BoxKind] = lambda b: b,
) -> Assessment:
    """The same show with models, and with the generic kit's slow igniter and box changed."""
    kits = dict(catalogue().kits)
    kit = kits["generic"]
    kits["generic"] = evolve(
        kit,
        igniter_class=tuple(
            igniter(c) if c.id == "clip-on-short" else c for c in kit.igniter_class
        ),
        box=tuple(box(b) if b.id == "battery-matrix" else b for b in kit.box),
    )
    layout, problems = resolve(assessment.layout.show, Catalogue(kits), models)
    assert layout is not None, problems
    return assess(layout)


def named(name: str, **parameters: float) -> Callable[[IgniterClass], IgniterClass]:
    return lambda c: evolve(c, model=name, parameters=parameters)


def test_the_built_in_law_as_a_model_gives_the_same_answer() -> None:
    plain = chain(3, 20.0, 4.0)
    modelled = with_models(plain, Models({"same": SAME}), igniter=named("same"))
    assert modelled.model_faults == ()
    for a, b in zip(plain.cues[0].igniters, modelled.cues[0].igniters, strict=True):
        assert b.verdict is a.verdict
        assert b.light.typical == pytest.approx(a.light.typical, rel=1e-9)
        assert b.terminal_A == pytest.approx(a.terminal_A, rel=1e-3)


def test_a_model_s_own_law_and_parameters_count() -> None:
    def half(state: BridgeState) -> Floats:
        return builtin_heating(state) * state.parameters["share"]

    models = Models({"half": IgniterModel("half", half, parameters=("share",))})
    plain = chain(1, 10.0, 4.0)
    full = with_models(plain, models, igniter=named("half", share=1.0))
    weak = with_models(plain, models, igniter=named("half", share=0.5))
    assert full.cues[0].igniters[0].light.typical == pytest.approx(
        plain.cues[0].igniters[0].light.typical, rel=1e-6
    )
    assert weak.cues[0].igniters[0].light.typical > 1.5 * full.cues[0].igniters[0].light.typical


def test_a_model_may_say_what_a_parted_bridge_is() -> None:
    def shorted(state: BridgeState) -> Floats:
        return np.full(state.x.size, 0.02)

    models = Models({"shorts": IgniterModel("shorts", builtin_heating, after_ohm=shorted)})
    plain = chain(2, 20.0, 4.0)
    changed = with_models(plain, models, igniter=named("shorts"))
    assert plain.cues[0].igniters[1].end_state is not EndState.UNLIT
    assert changed.cues[0].igniters[1].end_state is EndState.UNLIT


def _raise(state: BridgeState) -> Floats:
    raise ZeroDivisionError("nothing to divide by")


FAULTY: dict[str, tuple[IgniterModel, str]] = {
    "shape": (
        IgniterModel("shape", lambda s: np.ones(1) if s.x.size > 1 else np.ones(2)),
        "heating: shape",
    ),
    "nan": (IgniterModel("nan", lambda s: s.x * np.nan), "heating: nan is no number"),
    "infinite": (IgniterModel("infinite", lambda s: s.x + np.inf), "heating: inf"),
    "negative": (IgniterModel("negative", lambda s: -builtin_heating(s) - 1), "is negative"),
    "ohm": (
        IgniterModel("ohm", builtin_heating, lambda s: -s.cold_ohm),
        "resistance: -",
    ),
    "zero": (
        IgniterModel("zero", builtin_heating, lambda s: 0.0 * s.cold_ohm),
        "resistance: 0 is not above 0",
    ),
    "after": (
        IgniterModel("after", builtin_heating, after_ohm=lambda s: s.x * np.nan),
        "after_ohm: nan",
    ),
    "raises": (IgniterModel("raises", _raise), "ZeroDivisionError: nothing to divide by"),
    "text": (IgniterModel("text", lambda s: np.array(["a"] * s.x.size)), "ValueError"),
}


@pytest.mark.parametrize("name", FAULTY)
def test_an_unusable_answer_makes_the_verdict_unknown_and_is_told(name: str) -> None:
    model, text = FAULTY[name]
    plain = chain(1, 10.0, 4.0)
    assert plain.cues[0].verdict is Verdict.SURE
    changed = with_models(plain, Models({name: model}), igniter=named(name))
    assert changed.cues[0].verdict is Verdict.UNKNOWN
    assert changed.model_faults
    assert all(f.model == name for f in changed.model_faults)
    assert any(text in f.text for f in changed.model_faults), changed.model_faults


def test_a_model_that_nobody_provides_makes_the_verdict_unknown() -> None:
    changed = with_models(chain(1, 10.0, 4.0), Models(), igniter=named("absent"))
    assert changed.cues[0].verdict is Verdict.UNKNOWN
    assert [m.key for m in changed.cues[0].missing] == ["model absent"]


def test_a_parameter_that_the_class_does_not_give_makes_the_verdict_unknown() -> None:
    model = IgniterModel("needs", builtin_heating, parameters=("share",))
    changed = with_models(chain(1, 10.0, 4.0), Models({"needs": model}), igniter=named("needs"))
    assert changed.cues[0].verdict is Verdict.UNKNOWN
    assert [m.key for m in changed.cues[0].missing] == ["parameters.share"]


def battery_line(state: SupplyState) -> Floats:
    """The generic battery box's typical source: 0.3 ohm behind its open-circuit voltage."""
    return np.maximum(state.emf_V - state.output_V, 0.0) / state.parameters["ohm"]


def supply(**parameters: float) -> Callable[[BoxKind], BoxKind]:
    return lambda b: evolve(
        b, supply=ModelSupply("model", "line", Band(20.8, 20.8, 20.8), parameters)
    )


def test_a_supply_model_of_a_plain_source_gives_the_same_answer() -> None:
    # The generic battery has a cold curve, so compare at its own 20 °C resistance.
    plain = chain(3, 20.0, 4.0)
    models = Models({}, {"line": SupplyModel("line", battery_line, ("ohm",))})
    modelled = with_models(plain, models, box=supply(ohm=0.3))
    assert modelled.model_faults == ()
    typical = [i.light.typical for i in plain.cues[0].igniters]
    assert [i.light.typical for i in modelled.cues[0].igniters] == pytest.approx(typical, rel=1e-4)


def test_a_supply_model_works_in_a_network_that_is_no_tree() -> None:
    cues = [
        Cue("a", fire="box/1/1", time_s=0.0, pulse_s=3.0),
        Cue("b", fire="box/1/2", time_s=0.0, pulse_s=3.0),
    ]
    from bridgewire.model.show import Igniter

    igniters = [
        Igniter("s/1", "generic:clip-on-short", id="i1"),
        Igniter("s/2", "generic:clip-on-short", id="i2"),
    ]
    plain = bench(["s"], [("box/1", "s", 10.0)], cues, igniters=igniters)
    assert plain.schedule.firings[0].meshed
    models = Models({}, {"line": SupplyModel("line", battery_line, ("ohm",))})
    modelled = with_models(plain, models, box=supply(ohm=0.3))
    for a, b in zip(plain.cues, modelled.cues, strict=True):
        assert b.igniters[0].light.typical == pytest.approx(a.igniters[0].light.typical, rel=1e-3)


@pytest.mark.parametrize(
    ("function", "text"),
    [
        (lambda s: s.emf_V * np.nan, "nan"),
        (lambda s: s.output_V - 100.0, "negative"),
        (lambda s: np.ones(s.emf_V.size + 1), "shape"),
        (lambda s: 1.0 + s.output_V, "rises with the output voltage"),
    ],
)
def test_an_unusable_supply_makes_the_verdict_unknown(
    function: Callable[[SupplyState], Floats], text: str
) -> None:
    models = Models({}, {"line": SupplyModel("line", function)})
    changed = with_models(chain(1, 10.0, 4.0), models, box=supply())
    assert changed.cues[0].verdict is Verdict.UNKNOWN
    assert any(text in f.text for f in changed.model_faults)
