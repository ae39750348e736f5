"""Figures and words of rules about kits: KIT006, KIT007, KIT008, KIT014, PLG004 and PLG005."""

from __future__ import annotations

import pytest
from attrs import evolve

from bridgewire.api import load_show
from bridgewire.diagnostics import Finding
from bridgewire.model.band import Band
from bridgewire.model.kit import CableSpec, IgniterClass
from bridgewire.physics.laws import IgniterModel, Models, SupplyModel
from bridgewire.rules.context import Context
from bridgewire.rules.engine import run_rules
from bridgewire.rules.kit006_resistance_below_physics import least_ohm_per_m
from bridgewire.rules.kit007_inconsistent_igniter_data import contradictions
from bridgewire.rules.registry import load_rule
from bridgewire.testing import findings_of_case
from bridgewire.timeline.assess import assess
from tests.rules.case_files import CASES, KITS, case


def test_least_resistance_of_a_conductor() -> None:
    """Annealed copper has 0.017241 ohm mm2/m at 20 °C (IEC 60028); 4 % are allowed for its size.

    24 AWG is 0.2047 mm2 (ASTM B258: 0.0201 inches across).
    """
    gauge = CableSpec("a", "copper", "solid", 8, gauge_awg=24)
    metric = CableSpec("b", "copper", "stranded", 2, area_mm2=0.5)
    assert least_ohm_per_m(gauge) == pytest.approx(0.96 * 0.017241 / 0.2047, rel=2e-3)
    assert least_ohm_per_m(metric) == pytest.approx(0.96 * 0.017241 / 0.5, rel=2e-3)
    (found,) = findings_of_case(case("KIT006/fail_gauge"))
    assert "typically 0.0842 here" in found.remedy  # 0.017241 / 0.2047


def test_currents_that_just_fit_contradict_nothing() -> None:
    """The quickest piece lights from just the no-fire current, the slowest below all-fire."""
    klass = IgniterClass(
        "a",
        "electric-match",
        threshold_A=Band(0.2, 0.25, 0.3),
        tau_s=Band.exact(0.005),
        no_fire_A=0.2,
        all_fire_A=0.5,
    )
    assert list(contradictions(klass, Band.exact(20.0))) == []
    (found,) = contradictions(evolve(klass, no_fire_A=0.21), Band.exact(20.0))
    assert (found[0], found[2], found[3]) == ("no_fire_A", 0.2, 0.21)


UNBOUNDED = "without an impulse"


def test_only_without_an_impulse_is_there_no_shortest_time() -> None:
    (without,) = findings_of_case(case("KIT008/fail_without_impulse"))
    assert UNBOUNDED in without.message
    (with_impulse,) = findings_of_case(case("KIT008/fail_regulated_class"))
    assert UNBOUNDED not in with_impulse.message


@pytest.mark.parametrize(
    ("name", "count", "words"),
    [
        ("fail_contact", 1, "for want of it this is not judged: current through it"),
        ("fail_box", 2, "for want of them this is not judged: sag of the supply, current of an o"),
        ("fail_cable", 3, "for want of them this is not judged: steady current, heating in a p"),
    ],
)
def test_missing_limits_of_an_entry_are_counted(name: str, count: int, words: str) -> None:
    (found,) = findings_of_case(case(f"KIT014/{name}"))
    assert (found.measured, found.limit) == (count, 0)
    assert words in found.message


LAW = IgniterModel("law", lambda state: state.current_A**2)
SOURCE = SupplyModel("source", lambda state: state.emf_V - state.output_V)


BOTH_MODELS = CASES / "PLG005" / "fail_both_models.toml"


def not_provided(models: Models) -> tuple[Finding, ...]:
    """Findings of PLG005 where a box and a class name models, and plugins bring these."""
    loaded = load_show(BOTH_MODELS, kit_dirs=[KITS])
    assessment = assess(loaded.layout)
    layout = evolve(assessment.layout, models=models)
    found, _ = run_rules(Context(evolve(assessment, layout=layout)), [load_rule("PLG005")])
    return found


def test_models_of_igniters_and_of_supplies_are_two_lists() -> None:
    (supply,) = not_provided(Models({"no-such-law": LAW}, {"other": SOURCE}))
    assert "names the supply model 'no-such-supply'" in supply.message
    assert supply.remedy.endswith("or correct the name")
    (igniter,) = not_provided(Models({"such-law": LAW}, {"no-such-supply": SOURCE}))
    assert "names the igniter model 'no-such-law'" in igniter.message
    assert igniter.remedy.endswith("or correct the name: did you mean 'such-law'?")
    both = not_provided(Models({"no-such-supply": LAW}, {"no-such-law": SOURCE}))
    assert {f.subjects[1] for f in both} == {"no-such-law", "no-such-supply"}


def test_a_fault_is_told_of_the_entries_that_name_its_model_and_never_lost() -> None:
    """PLG004: the class and the box of the case name a model each; nothing names the third."""
    assessment = assess(load_show(BOTH_MODELS, kit_dirs=[KITS]).layout)
    for model in ("no-such-law", "no-such-supply", "unheard-of"):
        assessment.simulation.faults.add(model, "answers in words")
    found, _ = run_rules(Context(assessment), [load_rule("PLG004")])
    told = {(f.subjects, f.path) for f in found}
    assert told == {
        (("models:outside-law", "no-such-law"), ("igniter_class", 0, "model")),
        (("models:outside-supply", "no-such-supply"), ("box", 0, "supply", "model")),
        ((), ()),
    }
    assert [f.message for f in found if not f.subjects] == [
        "model 'unheard-of' gives what cannot be used: answers in words"
    ]
