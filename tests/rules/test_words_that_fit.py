"""Words that depend on the case: one or many, which supply, what can be done about it."""

from __future__ import annotations

import itertools
import math
from pathlib import Path

import pytest
from attrs import evolve

from bridgewire.diagnostics import Finding
from bridgewire.documents.loader import load_kit
from bridgewire.model.show import Checks, Ignore
from bridgewire.rules.context import Context
from bridgewire.rules.engine import run_rules
from bridgewire.rules.registry import load_rule
from bridgewire.timeline.charge import Volts
from bridgewire.timeline.outcomes import Assessment, Times
from tests.rules.case_files import KITS
from tests.rules.show_text import assessed, case_text, findings


def found_in(case: str, code: str, folder: Path, *changes: tuple[str, str]) -> tuple[Finding, ...]:
    """Findings of a rule on a case with texts replaced."""
    text = case_text(case)
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return findings(text, code, folder)


def found_by(code: str, assessment: Assessment) -> tuple[Finding, ...]:
    return run_rules(Context(assessment), [load_rule(code)])[0]


@pytest.mark.parametrize(
    ("latest", "words", "measured"),
    [
        (0.2, "lights 0.200 s after cue 'one' at the worst corner (0.100 s typically)", 0.2),
        (math.inf, "lights 0.100 s after cue 'one' typically, and never at the worst corner", 0.1),
    ],
)
def test_what_never_lights_at_the_worst_corner_is_not_said_to_light_late_there(
    latest: float, words: str, measured: float, tmp_path: Path
) -> None:
    assessment = assessed(case_text("TIM006/fail_typically_late"), tmp_path)
    (cue,) = assessment.cues
    igniter = evolve(cue.igniters[0], light=Times(0.05, 0.1, latest))
    (found,) = found_by("TIM006", evolve(assessment, cues=(evolve(cue, igniters=(igniter,)),)))
    assert words in found.message
    assert found.measured == measured


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("bank", "fire it later, when the capacitor is charged again"),
        ("cell", "or use a fuller, warmer or larger battery"),
        ("weak", "or use a stronger supply"),
    ],
)
def test_the_remedy_for_a_sag_is_one_for_that_supply(kind: str, words: str, tmp_path: Path) -> None:
    assessment = assessed(case_text("SUP002/fail_typically"), tmp_path)
    other = next(k for k in load_kit(KITS / "yard.toml")[0].box if k.id == kind)
    index, own, full_id = assessment.layout.boxes["a"]
    boxes = {"a": (index, evolve(own, supply=other.supply), full_id)}
    cues = tuple(evolve(c, start_V=Volts(1.0, 1.0, 1.0)) for c in assessment.cues)
    layout = evolve(assessment.layout, boxes=boxes)
    found = found_by("SUP002", evolve(assessment, layout=layout, cues=cues))
    assert found
    assert all(words in f.remedy for f in found)


def test_the_only_output_is_not_counted_from_1_to_1(tmp_path: Path) -> None:
    assessment = assessed(case_text("TIM004/fail_output"), tmp_path)
    (two,) = found_by("TIM004", assessment)
    assert two.message.endswith("which has outputs 1 to 2")
    index, own, full_id = assessment.layout.boxes["a"]
    boxes = {"a": (index, evolve(own, outputs=1), full_id)}
    layout = evolve(assessment.layout, boxes=boxes)
    (one,) = found_by("TIM004", evolve(assessment, layout=layout))
    assert one.message.endswith("which has output 1 only")
    assert one.remedy == "use output 1 only, or another box"


def test_two_silent_classes_have_no_default(tmp_path: Path) -> None:
    assessment = assessed(case_text("TIM013/fail_no_default"), tmp_path)
    (one,) = found_by("TIM013", assessment)
    assert one.message.endswith("and class 'yard:no-pulse' has no default")
    (placed,) = assessment.layout.igniters
    by_way = {
        way: [*group, evolve(placed, class_id="yard:other")]
        for way, group in assessment.layout.by_way.items()
    }
    two = evolve(assessment, layout=evolve(assessment.layout, by_way=by_way))
    assert [f.message for f in found_by("TIM013", two)] == [
        "cue 'one' states no pulse, and classes 'yard:no-pulse' and 'yard:other' have none"
    ]


def test_two_things_that_are_not_stated_are_two(tmp_path: Path) -> None:
    silent = ("standby_s = 600\n", "")
    (both,) = found_in("SUP009/fail_kit_silent", "SUP009", tmp_path, silent)
    assert both.message.endswith(
        "standby_A of yard:cell-no-standby in the kit and standby_s in the show are not stated"
    )


def test_one_way_needs_its_conductors(tmp_path: Path) -> None:
    case = "WIR010/pass_one_way_on_two_cores"
    (found,) = found_in(case, "WIR010", tmp_path, ("bench:two", "gaps:one-core"), *GAPS)
    assert "has 1 conductor in 'gaps:one-core', but the 1 way behind it needs 2 (pair)" in (
        found.message
    )


GAPS = (('kits = ["bench"', 'kits = ["gaps", "bench"'),)


def test_a_run_is_named_as_it_is_written(tmp_path: Path) -> None:
    """WIR014 quotes an id with an apostrophe once."""
    named = ("[[run]]\n", '[[run]]\nid = "Anne\'s run"\n')
    (found,) = found_in("WIR014/fail_derived", "WIR014", tmp_path, named)
    assert found.message.endswith('15 % slack: "Anne\'s run"')


def test_a_cue_with_a_space_can_be_asked_about(tmp_path: Path) -> None:
    """FIR014 names a command that can be typed as it stands, but for the show's file."""
    from bridgewire.uncertainty.study import study_odds

    text = case_text("FIR014/fail_pulse_barely_enough").replace('id = "one"', 'id = "one more"')
    assessment = assessed(text, tmp_path)
    context = Context(assessment, odds=study_odds(assessment, draws=500, closer=0))
    found, _ = run_rules(context, [load_rule("FIR014")])
    assert found
    assert all("`bridgewire odds SHOW --cue 'one more'`" in f.remedy for f in found)


def test_what_too_few_draws_show_is_what_they_show_of_every_igniter(tmp_path: Path) -> None:
    """FIR014: the least of all, wherever it stands."""
    from bridgewire.uncertainty.intervals import Estimate
    from bridgewire.uncertainty.study import study_odds

    assessment = assessed(case_text("FIR014/fail_too_few_draws"), tmp_path)
    study = study_odds(assessment, draws=500, closer=0)
    lows = itertools.cycle((0.991, 0.98, 0.995))
    cues = tuple(
        evolve(
            c,
            igniters=tuple(evolve(i, lights=Estimate(1.0, next(lows), 1.0)) for i in c.igniters),
        )
        for c in study.odds.cues
    )
    told = Context(assessment, odds=evolve(study, odds=evolve(study.odds, cues=cues)))
    (found,) = run_rules(told, [load_rule("FIR014")])[0]
    assert found.message.startswith("500 draws without a failure show only 98 % for ")
    assert found.measured == pytest.approx(0.98)


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("DOC004", "it is found while documents are read"),
        ("REC002", "it is found by `bridgewire readings`"),
        ("CUT001", "it is found by `bridgewire sheets`"),
    ],
)
def test_an_ignore_of_what_no_check_finds_says_what_does(
    code: str, words: str, tmp_path: Path
) -> None:
    assessment = assessed(case_text("WIR001/pass_complete"), tmp_path)
    show = evolve(assessment.layout.show, checks=Checks((Ignore(code, "known"),)))
    layout = evolve(assessment.layout, show=show)
    (found,) = found_by("DOC022", evolve(assessment, layout=layout))
    assert found.message == f"checks.ignore names {code!r}, which cannot be ignored: {words}"
