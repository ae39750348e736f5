"""Currents where none should be: limits and severities of the safety rules, at their boundaries."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from attrs import evolve

from bridgewire.diagnostics import Finding, Severity
from bridgewire.rules.context import Context
from bridgewire.rules.engine import run_rules
from bridgewire.rules.registry import load_rule
from bridgewire.timeline.outcomes import Assessment, IgniterOutcome, Stray, Verdict
from bridgewire.units import amperes
from tests.rules.show_text import assessed, case_text


def found_by(code: str, assessment: Assessment) -> tuple[Finding, ...]:
    found, _ = run_rules(Context(assessment), [load_rule(code)])
    assert all(f.code == code for f in found), found
    return found


def with_strays(assessment: Assessment, *strays: Stray) -> Assessment:
    """The first cue alone, with other strays."""
    return evolve(assessment, cues=(evolve(assessment.cues[0], strays=strays),))


class TestSneakCurrent:
    """SAF003, on a matrix without diodes."""

    @pytest.fixture
    def assessment(self, tmp_path: Path) -> Assessment:
        return assessed(case_text("SAF003/fail_matrix_without_diodes"), tmp_path)

    @pytest.fixture
    def no_fire_A(self, assessment: Assessment) -> float:
        value = assessment.layout.igniters[0].klass.no_fire_A
        assert value is not None
        return value

    @pytest.mark.parametrize(
        ("share", "severity"),
        [
            (0.0, None),
            (0.9999, None),
            (1.0, None),
            (1.0001, Severity.WARNING),
        ],
    )
    def test_up_to_the_allowed_share_nothing_is_said(
        self, assessment: Assessment, no_fire_A: float, share: float, severity: Severity | None
    ) -> None:
        limit_A = Context(assessment).no_fire_fraction * no_fire_A
        stray = Stray(0, "crossed", share * limit_A, lights=False, on_way=False)
        found = found_by("SAF003", with_strays(assessment, stray))
        assert [f.severity for f in found] == ([] if severity is None else [severity])
        for f in found:
            assert (f.limit, f.unit) == (limit_A, "A")
            sent, allowed = amperes(share * limit_A, 4), amperes(limit_A, 4)
            assert f"sends up to {sent} through" in f.message
            assert f.message.endswith(f"on another way; {allowed} is allowed")

    @pytest.mark.parametrize(
        ("factor", "severity"), [(1.0, Severity.WARNING), (1.0001, Severity.ERROR)]
    )
    def test_above_the_no_fire_current_it_is_an_error(
        self, assessment: Assessment, no_fire_A: float, factor: float, severity: Severity
    ) -> None:
        stray = Stray(0, "crossed", factor * no_fire_A, lights=False, on_way=False)
        (found,) = found_by("SAF003", with_strays(assessment, stray))
        assert found.severity is severity
        assert found.measured == factor * no_fire_A

    def test_the_one_with_most_is_named_and_the_others_counted(
        self, assessment: Assessment, no_fire_A: float
    ) -> None:
        # Those before it are the matter of other rules, and no reason to stop looking.
        other = [
            Stray(0, "lit", 9.0 * no_fire_A, lights=True, on_way=False),
            Stray(0, "own way", 9.0 * no_fire_A, lights=False, on_way=True),
            Stray(0, "spent", 9.0 * no_fire_A, lights=False, on_way=False, lit_before=True),
        ]
        over = [
            Stray(0, name, share * no_fire_A, lights=False, on_way=False)
            for name, share in (("some", 0.5), ("most", 0.8), ("less", 0.6))
        ]
        (found,) = found_by("SAF003", with_strays(assessment, *other, *over))
        assert "through igniter 'most' on another way" in found.message
        assert found.message.endswith(" (2 more igniters are over the limit too)")
        assert found.subjects[1:] == ("some", "most", "less")

    def test_two_are_one_and_one_more(self, assessment: Assessment, no_fire_A: float) -> None:
        two = [Stray(0, n, 0.9 * no_fire_A, lights=False, on_way=False) for n in ("a", "b")]
        # A cue before it without strays is no reason to stop looking.
        cue = assessment.cues[0]
        cues = (evolve(cue, strays=()), evolve(cue, strays=tuple(two)))
        (found,) = found_by("SAF003", evolve(assessment, cues=cues))
        assert found.message.endswith(" (1 more igniter is over the limit too)")


def only_igniter(assessment: Assessment, code: str, **changes: Any) -> tuple[Finding, ...]:
    """Findings where the first cue has one igniter, its first with fields changed."""
    cue = assessment.cues[0]
    igniter: IgniterOutcome = evolve(cue.igniters[0], **changes)
    return found_by(code, evolve(assessment, cues=(evolve(cue, igniters=(igniter,)),)))


@pytest.mark.parametrize(
    ("factor", "verdict", "count"),
    [
        (1.0, Verdict.NO, 0),
        (1.0001, Verdict.NO, 1),
        (1.0001, Verdict.MARGINAL, 0),
        (1.0001, Verdict.UNKNOWN, 0),
        (1.0001, Verdict.SURE, 0),
    ],
)
def test_heated_means_above_the_no_fire_current(
    factor: float, verdict: Verdict, count: int, tmp_path: Path
) -> None:
    assessment = assessed(case_text("SAF009/fail_starved_by_a_neighbour"), tmp_path)
    index = assessment.cues[0].igniters[0].igniter
    no_fire_A = next(p for p in assessment.layout.igniters if p.index == index).klass.no_fire_A
    assert no_fire_A is not None
    current_A = factor * no_fire_A
    found = only_igniter(assessment, "SAF009", verdict=verdict, terminal_A=current_A)
    assert [(f.measured, f.limit) for f in found] == [(current_A, no_fire_A)] * count
    assert only_igniter(assessment, "SAF009", verdict=Verdict.NO, terminal_A=None) == ()


@pytest.mark.parametrize(
    ("verdict", "severity", "words"),
    [
        (Verdict.SURE, None, ""),
        (Verdict.MARGINAL, Severity.INFO, "may be left unlit after the show"),
        (Verdict.UNKNOWN, Severity.WARNING, "after the show: nobody can tell whether it lights"),
        (Verdict.NO, Severity.WARNING, "will be left unlit after the show"),
    ],
)
def test_what_may_be_left(
    verdict: Verdict, severity: Severity | None, words: str, tmp_path: Path
) -> None:
    assessment = assessed(case_text("SAF006/pass_sure"), tmp_path)
    cues = tuple(
        evolve(c, igniters=tuple(evolve(i, verdict=verdict) for i in c.igniters))
        for c in assessment.cues
    )
    found = found_by("SAF006", evolve(assessment, cues=cues))
    assert {f.severity for f in found} == (set() if severity is None else {severity})
    assert all(f.message.endswith(words) for f in found)
    assert len(found) == (0 if severity is None else len(assessment.layout.igniters))


@pytest.mark.parametrize(
    ("typical_s", "severity", "words"),
    [
        (0.25, Severity.ERROR, "lights it after 0.250 s, with up to 0.800 A"),
        (math.inf, Severity.WARNING, "lights it at its best corner, with up to 0.800 A"),
    ],
)
def test_what_lights_unnamed_on_its_way(
    typical_s: float, severity: Severity, words: str, tmp_path: Path
) -> None:
    assessment = assessed(case_text("SAF004/fail_far_one_lights_too"), tmp_path)
    cue = assessment.cues[0]
    (stray,) = (s for s in cue.strays if s.on_way)
    igniters = tuple(
        evolve(i, light=evolve(i.light, typical=typical_s)) if i.igniter == stray.igniter else i
        for i in cue.igniters
    )
    strays = (
        evolve(stray, lights=False),
        evolve(stray, on_way=False),
        evolve(stray, lit_before=True),
        evolve(stray, peak_A=0.8),
    )
    (found,) = found_by(
        "SAF004", evolve(assessment, cues=(evolve(cue, igniters=igniters, strays=strays),))
    )
    assert found.severity is severity
    assert found.message.endswith(words)
    assert found.measured == 0.8


def test_what_a_cue_can_light_elsewhere(tmp_path: Path) -> None:
    """SAF005 leaves out what does not light, is on the cue's own way, or is spent."""
    assessment = assessed(case_text("SAF005/fail_without_diodes"), tmp_path)
    strays = (
        Stray(0, "cool", 9.0, lights=False, on_way=False),
        Stray(0, "own way", 9.0, lights=True, on_way=True),
        Stray(0, "spent", 9.0, lights=True, on_way=False, lit_before=True),
        Stray(0, "crossed", 0.7, lights=True, on_way=False),
        Stray(0, "far", 0.6, lights=True, on_way=False),
    )
    cue = evolve(assessment.cues[0], strays=strays)
    (found,) = found_by("SAF005", evolve(assessment, cues=(cue,)))
    assert found.subjects == (cue.id, "crossed", "far")
    assert found.measured == 0.7
    assert found.message.endswith("with up to 0.700 A")
    assert found.remedy is not None
    assert found.remedy.startswith("fire it from a box that has diodes")


def test_overlapping_cues_are_told_of_once(tmp_path: Path) -> None:
    """SAF005: the same igniter, box and moment is one finding; another of these makes it two."""
    assessment = assessed(case_text("SAF005/fail_without_diodes"), tmp_path)
    cue = assessment.cues[0]
    stray = Stray(0, "crossed", 0.7, lights=True, on_way=False)
    other = Stray(0, "far", 0.6, lights=True, on_way=False)
    alone = evolve(cue, results=(), strays=(stray,), switch_s=10.0)
    cues = (
        evolve(alone, id="first", way=("a", 1, 1)),
        evolve(alone, id="same moment", way=("a", 2, 2)),
        evolve(alone, id="other box", way=("b", 1, 1)),
        evolve(alone, id="later", way=("a", 1, 1), switch_s=11.0),
        evolve(alone, id="no way", way=None),
        evolve(alone, id="one more", way=("a", 1, 3), strays=(stray, other)),
    )
    found = found_by("SAF005", evolve(assessment, cues=cues))
    assert sorted(f.subjects for f in found) == [
        ("first", "crossed"),
        ("later", "crossed"),
        ("no way", "crossed"),
        ("one more", "far"),
        ("other box", "crossed"),
    ]


@pytest.mark.parametrize("first", [0, 1])
def test_cues_that_overlap_are_both_named(first: int, tmp_path: Path) -> None:
    assessment = assessed(case_text("SAF005/fail_two_ways_of_a_matrix"), tmp_path)
    one, two = assessment.cues if first == 0 else assessment.cues[::-1]
    found = found_by("SAF005", evolve(assessment, cues=(one, two)))
    assert found[0].message.startswith(f"cue {one.id!r} together with {two.id!r} can light ")
    assert found[0].remedy is not None
    assert found[0].remedy.startswith("do not let these cues overlap")
