"""Figures, ids and advice of the TIM rules, worked out by hand; their limits, met exactly."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from bridgewire.diagnostics import Finding
from tests.rules.show_text import assessed, case_text, findings


def only(name: str, folder: Path) -> Finding:
    """The one finding of a case."""
    (found,) = findings(case_text(name), name[:6], folder)
    return found


@pytest.mark.parametrize(
    ("name", "measured", "limit"),
    [
        ("TIM003/fail_pulses_overlap", 0.5, 0.0),  # 11.5 s - 11 s: the second pulse is inside
        ("TIM004/fail_output_zero", 0.0, 2.0),
        ("TIM004/fail_output", 3.0, 2.0),
        ("TIM004/fail_way_of_the_second_output", 5.0, 4.0),
        ("TIM004/fail_only_output", 2.0, 1.0),
        ("TIM011/fail_second_cue", -0.25, 0.0),
        ("TIM014/fail_last_cue", 0.49, 0.5),
    ],
)
def test_numbers(name: str, measured: float, limit: float, tmp_path: Path) -> None:
    found = only(name, tmp_path)
    assert found.measured == pytest.approx(measured)
    assert found.limit == limit


@pytest.mark.parametrize(
    ("name", "subjects"),
    [
        ("TIM003/fail_pulses_overlap", ("two", "one")),
        ("TIM003/fail_third_cue", ("three", "two", "comet")),
        ("TIM004/fail_only_output", ("one", "a")),
        ("TIM005/fail_empty_way", ("one", "a")),
        ("TIM006/fail_several", ("one", "a1", "a2")),
        ("TIM009/fail_one_in_time_before", ("one", "i1", "i2")),
        ("TIM010/fail_after_cues_on_their_way", ("one", "other")),
        ("TIM011/fail_second_cue", ("two",)),
        ("TIM012/fail_second_igniter_of_the_second_cue", ("two", "comet")),
        ("TIM013/fail_second_cue", ("two", "yard:no-pulse")),
        ("TIM014/fail_last_cue", ("short pause",)),
    ],
)
def test_what_a_finding_is_about(name: str, subjects: tuple[str, ...], tmp_path: Path) -> None:
    assert only(name, tmp_path).subjects == subjects


@pytest.mark.parametrize(
    ("name", "remedy"),
    [
        ("TIM004/fail_only_output", "use output 1 only, or another box"),
        ("TIM004/fail_way_of_the_second_output", "use ways 1 to 4, or another box"),
        ("TIM005/fail_empty_way", "put an igniter on way 2 of this output, or correct the cue"),
        ("TIM010/fail_on_no_box", "wire its strip to an output, name another igniter, or move"),
        ("TIM010/fail_other_way", "fire a/1/2, name another igniter, or move 'other' to"),
        ("TIM011/fail_second_cue", "switch it 0.250 s later, or start the show's clock earlier"),
        ("TIM014/fail_last_cue", "set gap_s = 0.5 or more, or use one longer pulse"),
    ],
)
def test_what_to_do(name: str, remedy: str, tmp_path: Path) -> None:
    assert only(name, tmp_path).remedy.startswith(remedy)


# TIM003


def test_a_cue_on_a_way_again_is_told_how_long_after(tmp_path: Path) -> None:
    """30 s - 20 s; the retry at 20 s names one of two and is let through."""
    assert only("TIM003/fail_third_cue", tmp_path).message == (
        "cue 'three' fires way a/1/1 again, 10.0 s after cue 'two', which means to light 'comet' "
        "as well"
    )


@pytest.mark.parametrize(("start_s", "overlap"), [(10.499, True), (10.5, False), (11.2, False)])
def test_pulses_overlap_until_the_first_ends(start_s: float, overlap: bool, tmp_path: Path) -> None:
    text = case_text("TIM003/pass_one_right_after_the_other")
    text = text.replace("time_s = 10.5", f"time_s = {start_s}")
    assert bool(findings(text, "TIM003", tmp_path)) == overlap


# TIM005


NORTH = """format = 1
title = "two boxes, and igniters on both outputs of one"
kits = ["bench"]

[[box]]
id = "north"
kind = "bench:mains"

[[box]]
id = "south"
kind = "bench:mains"
"""


def wired(*outputs: str) -> str:
    """Strips on outputs, each with its ways that have an igniter: ``north/1: 1 2``."""
    text = ""
    for number, line in enumerate(outputs):
        output, _, ways = line.partition(": ")
        text += f'[[strip]]\nid = "s{number}"\nkind = "bench:four"\n'
        text += f'[[run]]\nfrom = "{output}"\nto = "s{number}"\ncable = "bench:eight"\n'
        text += "length_m = 10\n"
        for way in ways.split():
            text += f'[[igniter]]\nat = "s{number}/{way}"\nclass = "bench:match"\n'
    return text


@pytest.mark.parametrize(
    ("outputs", "remedy"),
    [
        (
            ("north/1: 1 2 3", "north/2: 1 3", "south/1: 2", "south/2: 2"),
            "add an igniter, or fire 'north/1/2', where there are igniters",
        ),
        (("north/1: 1 3", "north/2: 1 3", "south/1: 2"), "put an igniter on way 2 of this output"),
        (("north/1: 1 3", "south/2: 2"), "wire a strip to output 2 of 'north', or fire another"),
    ],
)
def test_an_empty_way_is_looked_for_on_the_other_outputs_of_its_box(
    outputs: tuple[str, ...], remedy: str, tmp_path: Path
) -> None:
    cue = '[[cue]]\nid = "one"\nfire = "north/2/2"\ntime_s = 10\n'
    (found,) = findings(NORTH + wired(*outputs) + cue, "TIM005", tmp_path)
    assert found.remedy.startswith(remedy)


# TIM006 and TIM009


def test_others_that_are_late_are_counted(tmp_path: Path) -> None:
    several = only("TIM006/fail_several", tmp_path)
    assert several.message.endswith(" is allowed, and 1 more of the cue with it")
    assert only("TIM006/fail_typically_late", tmp_path).message.endswith("80.0 ms is allowed")


def test_an_igniter_that_lights_when_it_must_is_in_time(tmp_path: Path) -> None:
    text = case_text("TIM006/fail_typically_late")
    latest_s = assessed(text, tmp_path).cues[0].meant[0].light.latest
    for limit_s, told in ((latest_s, 0), (0.999 * latest_s, 1)):
        stated = text.replace("latest_light_s = 0.08", f"latest_light_s = {limit_s!r}")
        assert len(findings(stated, "TIM006", tmp_path)) == told


def test_a_spread_at_a_corner_is_a_warning_and_a_typical_one_an_error(tmp_path: Path) -> None:
    text = case_text("TIM009/fail_at_the_worst_corner_of_uneven_runs")
    (cue,) = assessed(text, tmp_path).cues
    typical, worst = cue.spread_typical_s, cue.spread_worst_s
    assert typical is not None
    assert worst is not None
    assert 0.0 < typical < worst
    for limit_s, severities in (
        (worst, []),
        (0.999 * worst, ["warning"]),
        (typical, ["warning"]),
        (0.999 * typical, ["error"]),
    ):
        stated = text.replace("spread_s = 0.05", f"spread_s = {limit_s!r}")
        found = findings(stated, "TIM009", tmp_path)
        assert [f.severity.word for f in found] == severities
        assert all(f.measured == worst for f in found)


# TIM007 and TIM008


CHAIN = case_text("TIM007/fail_second_of_a_chain")
FUSED = case_text("TIM007/fail_switched_too_late")
"""A fuse of 6 s, ±1 %, and 0.2 s allowed: a cue may switch 0.14 s around the right moment."""


def at(text: str, time_s: float, effect_at_s: float) -> str:
    """The show with a cue that states both its times."""
    text = re.sub(r"^(time_s|effect_at_s) = .*\n", "", text, flags=re.M)
    head, mark, tail = text.partition('fire = "a/1/1"\n')
    return f"{head}{mark}time_s = {time_s}\neffect_at_s = {effect_at_s}\n{tail}"


def test_a_cue_is_moved_to_the_middle_of_what_is_allowed(tmp_path: Path) -> None:
    """60 s less a fuse of 6 s: 60 mm at 9.9 to 10.1 mm/s burn for 5.941 s to 6.061 s."""
    (late,) = findings(at(FUSED, 55, 60), "TIM007", tmp_path)
    assert late.remedy.startswith("switch 1.00 s earlier, at time_s = 53.999 (")
    (early,) = findings(at(FUSED, 53, 60), "TIM008", tmp_path)
    assert early.remedy.startswith("switch 0.999 s later, at time_s = 53.999 (")


def test_no_cue_is_told_to_switch_before_the_start(tmp_path: Path) -> None:
    """The middle, 5.9 s less 6 s, is before the start; the start itself is near enough."""
    text = at(FUSED, 1, 5.9)
    (found,) = findings(text, "TIM007", tmp_path)
    assert found.remedy.startswith("switch 1.00 s earlier, at time_s = 0.000 (")
    assert findings(at(FUSED, 0, 5.9), "TIM007", tmp_path) == ()


@pytest.mark.parametrize("time_s", [0, 3])
def test_an_effect_wanted_before_its_fuse_can_burn(time_s: float, tmp_path: Path) -> None:
    """Switched at 0 it comes at 6.06 s at the latest, 1.86 s beyond 4 s and the 0.2 s allowed."""
    (found,) = findings(at(FUSED, time_s, 4), "TIM007", tmp_path)
    said = re.match(r"even a cue at the start of the show is ([\d.]+) s too late", found.remedy)
    assert said is not None
    assert float(said[1]) == pytest.approx(1.86, abs=0.011)
    assert "time_s" not in found.remedy
    assert findings(at(FUSED, 0, 4 + float(said[1])), "TIM007", tmp_path) == ()


def test_effects_that_spread_too_far_are_moved_to_the_start_at_most(tmp_path: Path) -> None:
    """i1 and i2 light about 0.6 s apart typically: none is right for both within 0.1 s."""
    text = CHAIN.replace("effect_tolerance_s = 0.4", "effect_tolerance_s = 0.1")
    (far,) = findings(at(text, 10, 5), "TIM007", tmp_path)
    assert far.remedy.startswith("no switching time is enough: the effects spread over ")
    assert re.search(r" and 0\.200 s are allowed; split the cue, or ", far.remedy)
    assert re.search(
        r"the least error comes from: switch \S+ s earlier, at time_s = [34]\.", far.remedy
    )
    (late,) = findings(at(text, 10, 0.2), "TIM007", tmp_path)
    assert "switch 10.0 s earlier, at time_s = 0.000 (" in late.remedy
    (there,) = findings(at(text, 0, 0.2), "TIM007", tmp_path)
    assert there.remedy.endswith("use igniters and fuses of narrower tolerance")
