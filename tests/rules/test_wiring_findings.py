"""Figures, ids and advice of the WIR rules, worked out by hand; their limits, met exactly."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from attrs import evolve

from bridgewire.diagnostics import Finding
from bridgewire.model.band import Band
from bridgewire.model.kit import CableSpec, PathMap
from bridgewire.rules import element_loads
from bridgewire.rules.context import Context
from bridgewire.rules.element_loads import warmth, worst_loads
from bridgewire.rules.engine import run_rules
from bridgewire.rules.registry import load_rule
from bridgewire.rules.wir002_run_longer_than_cable import joints_needed
from bridgewire.rules.wir010_too_few_conductors import conductors_for
from bridgewire.timeline.outcomes import Assessment
from tests.rules.show_text import assessed, case_text, findings


def only(name: str, folder: Path) -> Finding:
    """The one finding of a case."""
    (found,) = findings(case_text(name), name[:6], folder)
    return found


@pytest.mark.parametrize(
    ("name", "measured", "limit"),
    [
        # Three joints join four pieces of 50 m.
        ("WIR002/fail_three_joints_for_five_pieces", 250.0, 200.0),
        ("WIR002/fail_run", 51.0, 50.0),
        ("WIR002/fail_lead_behind_harmless_ones", 100.5, 100.0),
        # Two igniters at s and behind a splitter; none of them may be there.
        ("WIR008/fail_names_before_and_after", 2.0, 0.0),
        # 80 m - 59.9 m.
        ("WIR009/fail_half_a_metre_short", 19.6, 20.1),
        ("WIR010/fail_lead_of_one_core", 1.0, 2.0),
        ("WIR010/fail_behind_enough", 2.0, 4.0),
        ("WIR013/fail_three_entries", 3.0, 2.0),
        ("WIR014/fail_derived", 1.0, 0.0),
    ],
)
def test_counts_and_lengths(name: str, measured: float, limit: float, tmp_path: Path) -> None:
    found = only(name, tmp_path)
    assert found.measured == pytest.approx(measured)
    assert found.limit == pytest.approx(limit)


@pytest.mark.parametrize(
    "name",
    ["WIR008/fail_empty_splitter", "WIR015/fail_one_joint", "WIR015/fail_joint"],
)
def test_where_nothing_is_measured_no_number_is_given(name: str, tmp_path: Path) -> None:
    """Nothing hangs on the part; the contact is missing, however many joints there are."""
    found = only(name, tmp_path)
    assert (found.measured, found.limit, found.unit) == (None, None, "")


@pytest.mark.parametrize(
    ("name", "subjects"),
    [
        ("WIR001/fail_after_one_on_no_box", ("forgotten",)),
        ("WIR002/fail_three_joints_for_five_pieces", ("s2",)),
        ("WIR002/fail_lead_behind_harmless_ones", ("long",)),
        ("WIR004/fail_lead", ("bench:clad", "one")),
        ("WIR007/fail_brief", ("go", "bench:thin")),
        ("WIR008/fail_names_before_and_after", ("mid", "p", "q")),
        ("WIR009/fail_half_a_metre_short", ("s4",)),
        ("WIR010/fail_lead_of_one_core", ("one",)),
        ("WIR011/fail_last_cue", ("two", "quick", "lance")),
        ("WIR012/fail_match_before_slow", ("one", "two")),
        ("WIR013/fail_three_entries", ("s", "one", "two", "three")),
        ("WIR016/fail_middle_of_chain", ("s",)),
    ],
)
def test_what_a_finding_is_about(name: str, subjects: tuple[str, ...], tmp_path: Path) -> None:
    assert only(name, tmp_path).subjects == subjects


@pytest.mark.parametrize(
    ("name", "remedy"),
    [
        ("WIR001/fail_after_one_on_no_box", "add a cue with fire = 'a/1/2', or take"),
        # 250 m are five pieces of 50 m, and they have four joints; 51 m are two pieces.
        ("WIR002/fail_three_joints_for_five_pieces", "state joints = 4 with"),
        ("WIR002/fail_run", "state joints = 1 with"),
        ("WIR007/fail_brief", "the pulse is too short to heat it beyond its service temperature"),
        ("WIR007/fail_long_and_hot", "shorten the pulse, use thicker or parallel conductors"),
        ("WIR008/fail_empty_splitter", "add a run with to = 'f', or take the splitter out"),
        ("WIR008/fail_strip_with_igniter", "add a run with to = 's', or take the strip out"),
        ("WIR009/fail_half_a_metre_short", "use at least 21 m and some for"),
        ("WIR010/fail_behind_enough", "use a cable of 4 conductors or more, or move ways"),
        ("WIR016/fail_middle_of_chain", "take it out and run the cable past it"),
        ("WIR016/fail_end_of_chain", "take it out, or add the igniters"),
    ],
)
def test_what_to_do(name: str, remedy: str, tmp_path: Path) -> None:
    assert only(name, tmp_path).remedy.startswith(remedy)


def test_parts_that_hang_on_a_part_are_named_and_their_igniters_counted(tmp_path: Path) -> None:
    assert only("WIR008/fail_names_before_and_after", tmp_path).message == (
        "splitter 'mid' is wired to no box, nor is what hangs on it: 'aft' and 'zone'; 2 igniters "
        "there cannot fire"
    )
    assert only("WIR008/fail_empty_splitter", tmp_path).message == (
        "splitter 'f' is wired to no box"
    )


def test_conductors_over_the_steady_rating(tmp_path: Path) -> None:
    """Without an insulation nobody can say how warm it gets; with one the message does."""
    text = case_text("WIR007/fail_brief")
    (known,) = findings(text, "WIR007", tmp_path)
    assert re.search(
        r"rated 0\.800 A steady; without loss of heat that warms it to \d+ °C$", known.message
    )
    unknown = text.replace('["bench"]', '["bench", "yard"]').replace(
        "bench:thin", "yard:no-insulation"
    )
    (bare,) = findings(unknown, "WIR007", tmp_path)
    assert bare.message.endswith("rated 0.800 A steady")
    assert bare.severity.word == "warning"
    assert bare.remedy.startswith("shorten the pulse")


# Joints


@pytest.mark.parametrize(
    ("length_m", "joints"), [(0.5, 0), (50.0, 0), (50.1, 1), (100.0, 1), (100.1, 2), (150.0, 2)]
)
def test_pieces_of_50_m_join_up(length_m: float, joints: int) -> None:
    spec = CableSpec("c", "copper", "solid", 8, max_length_m=50.0)
    assert joints_needed(spec, Band.exact(length_m)) == joints


def test_joints_of_unknown_lengths_are_not_asked_for() -> None:
    assert joints_needed(CableSpec("c", "copper", "solid", 8), Band.exact(400.0)) == 0
    assert joints_needed(CableSpec("c", "copper", "solid", 8, max_length_m=50.0), None) == 0


def test_lengths_from_coordinates_are_told_at_the_first(tmp_path: Path) -> None:
    """WIR014: the runs to s2 and s3 state no length, those to s1 and s4 do."""
    text = case_text("WIR014/fail_stated_and_derived_before")
    text = text.replace(
        'to = "s3"\ncable = "bench:eight"\nlength_m = 12\n', 'to = "s3"\ncable = "bench:eight"\n'
    )
    _, found = findings(text, "WIR014", tmp_path)
    assert found.message == (
        "2 runs with a length taken from coordinates plus 15 % slack: 's1 -> s2' and 's2 -> s3'"
    )
    assert found.path == ("run", 1)
    assert (found.measured, found.limit) == (2.0, 0.0)
    assert found.subjects == ("s2", "s3")


# Copper-clad aluminium


def test_clad_cable_against_copper(tmp_path: Path) -> None:
    """ASTM B566: at 15 % copper by volume 64.4 % of the conductivity of copper at least; copper
    and aluminium side by side (0.15 · 100 % + 0.85 · 61 % IACS) have 66.9 %."""
    _, clad = findings(case_text("WIR004/fail_after_one_of_unknown_share"), "WIR004", tmp_path)
    assert clad.measured is not None
    assert 1 / 0.67 < clad.measured < 1 / 0.644
    assert clad.limit == 1.0
    assert clad.subjects == ("bench:clad", "s2", "m")
    assert clad.message == (
        "'bench:clad' is copper-clad aluminium: its resistance is 1.50 times that of copper of the "
        # 1 - 0.667 of the length.
        "same size, so a line reaches 33 % less far; used by 's2' and 'm'"
    )


# Conductors of a matrix


@pytest.mark.parametrize(
    ("ways", "conductors"),
    [
        ({1}, 2),
        ({1, 2, 3, 4}, 1 + 4),  # one row of four columns
        ({3, 4, 7, 8}, 2 + 2),
        ({1, 5, 9, 13}, 4 + 1),  # one column of four rows
        ({4, 5}, 2 + 2),  # the end of a row and the beginning of the next
        (set(range(1, 17)), 4 + 4),
    ],
)
def test_rows_and_columns_of_a_matrix_share_conductors(ways: set[int], conductors: int) -> None:
    assert conductors_for(PathMap("matrix", rows=4, columns=4), ways) == conductors


def test_rows_and_columns_have_their_own_number_of_conductors() -> None:
    thick = PathMap("matrix", feed_conductors=2, return_conductors=3, rows=4, columns=4)
    assert conductors_for(thick, {1, 2, 6}) == 2 * 2 + 2 * 3


@pytest.mark.parametrize("kind", ["pair", "common-return"])
def test_rows_and_columns_mean_nothing_without_a_matrix(kind: str) -> None:
    plain, with_rows = PathMap(kind), PathMap(kind, rows=4, columns=4)  # type: ignore[arg-type]
    for ways in ({1}, {1, 5}, {1, 2, 5, 6}):
        assert conductors_for(with_rows, ways) == conductors_for(plain, ways)


# Limits met exactly


def rated(assessment: Assessment, kind: str, factor: float) -> Assessment:
    """The same with all elements of a kind rated for so much of what they carry."""
    return evolve(
        assessment,
        cues=tuple(
            evolve(
                cue,
                loads=tuple(
                    evolve(load, element=evolve(load.element, rated_A=load.each_A * factor))
                    if load.element.kind == kind
                    else load
                    for load in cue.loads
                ),
            )
            for cue in assessment.cues
        ),
    )


@pytest.mark.parametrize(("code", "kind"), [("WIR005", "contact"), ("WIR007", "cable")])
def test_what_carries_just_its_rating_is_no_fault(code: str, kind: str, tmp_path: Path) -> None:
    assessment = assessed(case_text("WIR005/fail_weak_inlet"), tmp_path)

    def found(factor: float) -> int:
        context = Context(rated(assessment, kind, factor))
        return len(run_rules(context, [load_rule(code)])[0])

    assert found(1.0) == 0
    assert found(0.999) > 0


def test_a_conductor_just_at_its_limit_is_no_fault(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """WIR006 judges the short-time limit of the insulation, WIR007 the service temperature."""
    context = Context(assessed(case_text("WIR007/fail_brief"), tmp_path))
    (one,) = worst_loads(context, "cable", element_loads.current)
    warm = warmth(context, one)
    assert warm is not None

    def found(code: str, **limits: float) -> tuple[Finding, ...]:
        assert warm is not None
        changed = warm.limits._replace(**limits)
        monkeypatch.setattr(element_loads, "INSULATION_LIMITS", {"pvc-70": changed})
        return run_rules(context, [load_rule(code)])[0]

    assert found("WIR006", short_time_C=warm.end_C) == ()
    assert len(found("WIR006", short_time_C=warm.end_C - 0.001)) == 1
    assert [f.severity.word for f in found("WIR007", operating_C=warm.end_C)] == ["info"]
    assert [f.severity.word for f in found("WIR007", operating_C=warm.end_C - 0.001)] == ["warning"]


# Classes that light unequally


def test_the_last_may_take_twice_as_long_as_the_first(tmp_path: Path) -> None:
    """WIR011 without a stated spread: as much again as the first takes is allowed."""
    second = '[[igniter]]\nid = "lance 2"\nat = "s1/1"\nclass = "bench:slow"\n\n[[cue]]'
    text = case_text("WIR011/fail_slow_before_quick_in_the_alphabet")
    text = text.replace("[[cue]]", second)
    quick, lance, _ = assessed(text, tmp_path).cues[0].meant
    (found,) = findings(text, "WIR011", tmp_path)
    assert found.measured == lance.light.typical - quick.light.typical
    assert found.limit == quick.light.typical
    assert found.remedy == (
        "use one class on a way, or put 'lance' and 'lance 2' on another way, under a cue that "
        "starts earlier"
    )


def test_the_spread_of_the_show_is_for_cues_that_are_together(tmp_path: Path) -> None:
    """WIR011: one of 0.05 s is less than the quick one's lead, one of 0.15 s is more."""
    text = case_text("WIR011/pass_together_within_the_spread_of_the_show")
    for spread_s, allowed in ((0.05, False), (0.15, True)):
        stated = text.replace("spread_s = 1.5", f"spread_s = {spread_s}")
        assert (findings(stated, "WIR011", tmp_path) == ()) == allowed
        apart = stated.replace("together = true\n", "")
        assert len(findings(apart, "WIR011", tmp_path)) == 1
        own = apart.replace("pulse_s = 2\n", f"pulse_s = 2\nspread_s = {spread_s}\n")
        assert (findings(own, "WIR011", tmp_path) == ()) == allowed


def test_two_cues_that_fire_a_way_for_others_are_both_named(tmp_path: Path) -> None:
    text = case_text("WIR001/fail_on_a_way_fired_for_others")
    again = '\n[[cue]]\nid = "two"\nfire = "a/1/1"\ntime_s = 20\npulse_s = 0.5\nlights = ["i1"]\n'
    found = findings(text + again, "WIR001", tmp_path)
    assert found[0].message.endswith("which 'one' and 'two' fire for others")
