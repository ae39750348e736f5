"""Doing what a finding says clears it; doing a little less does not."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.rules.show_text import assessed, case_text, findings


def _with_time(text: str, cue: str, time_s: float) -> str:
    """The show with a cue switched at a time (stated beside its `effect_at_s`)."""
    head, mark, tail = text.partition(f'[[cue]]\nid = "{cue}"\n')
    body, *rest = re.split(r"(?=^\[)", tail, maxsplit=1, flags=re.M)
    body = re.sub(r"^time_s = .*\n", "", body, flags=re.M)
    return "".join([head, mark, f"time_s = {time_s!r}\n", body, *rest])


@pytest.mark.parametrize(
    "name",
    ["fail_box_busy", "fail_during_the_pulse", "fail_output_busy", "fail_blocked_by_a_repeat"],
)
def test_a_cue_moved_out_of_the_hold_off_is_free(name: str, tmp_path: Path) -> None:
    text = case_text(f"TIM002/{name}")
    (one,) = findings(text, "TIM002", tmp_path)
    assert one.limit is not None
    assert findings(_with_time(text, "two", one.limit), "TIM002", tmp_path) == ()
    assert findings(_with_time(text, "two", one.limit - 0.01), "TIM002", tmp_path)


@pytest.mark.parametrize(
    "name", ["TIM007/fail_switched_too_late", "TIM008/fail_switched_too_early"]
)
def test_a_cue_moved_as_said_is_on_time(name: str, tmp_path: Path) -> None:
    text = case_text(name)
    code = name[:6]
    (one,) = findings(text, code, tmp_path)
    said = re.search(r"time_s = ([\d.]+)", one.remedy)
    assert said is not None
    moved = _with_time(text, "one", float(said[1]))
    assert findings(moved, "TIM007", tmp_path) == ()
    assert findings(moved, "TIM008", tmp_path) == ()


def test_the_pulse_named_lights_all_and_the_next_shorter_does_not(tmp_path: Path) -> None:
    text = case_text("FIR002/fail_pulse_barely_enough")
    (one,) = findings(text, "FIR002", tmp_path)
    assert one.remedy.startswith("set pulse_s = 0.28, the shortest pulse this box offers that ")
    assert findings(text.replace("pulse_s = 0.2", "pulse_s = 0.28"), "FIR002", tmp_path) == ()
    assert findings(text.replace("pulse_s = 0.2", "pulse_s = 0.27"), "FIR002", tmp_path)


def test_the_longer_pulse_makes_the_cue_sure(tmp_path: Path) -> None:
    text = case_text("FIR007/fail_longer_one_lights_all")
    (one,) = findings(text, "FIR007", tmp_path)
    longer = text.replace("pulse_s = 0.5", f"pulse_s = {one.limit}")
    verdict = assessed(longer, tmp_path).cues[0].verdict
    assert verdict is not None
    assert verdict.value == "sure"


def test_a_capacitor_is_full_after_the_time_named(tmp_path: Path) -> None:
    text = case_text("SUP004/fail_half_a_second_after")
    (one,) = findings(text, "SUP004", tmp_path)
    said = re.search(r"fire it ([\d.]+) s later", one.remedy)
    assert said is not None
    # The remedy is rounded to three digits.
    wait = float(said[1])
    assert findings(_with_time(text, "two", 10.2 + wait + 0.01), "SUP004", tmp_path) == ()
    assert findings(_with_time(text, "two", 10.2 + wait - 0.02), "SUP004", tmp_path)


def test_a_gap_as_long_as_the_hold_off_is_enough(tmp_path: Path) -> None:
    text = case_text("TIM014/fail_short_pause")
    (one,) = findings(text, "TIM014", tmp_path)
    longer = text.replace("gap_s = 0.4", f"gap_s = {one.limit}")
    assert findings(longer, "TIM014", tmp_path) == ()


def test_a_cue_that_overlaps_is_free_after_the_shift_named(tmp_path: Path) -> None:
    """TIM003: a short pulse in the middle of a long one has to move by more than they overlap."""
    text = case_text("TIM003/fail_pulses_overlap").replace("pulse_s = 2\n", "pulse_s = 4\n")
    text = text.replace('lights = ["comet"]', 'lights = ["comet"]\npulse_s = 0.5')
    (one,) = findings(text, "TIM003", tmp_path)
    assert one.measured == pytest.approx(0.5)
    said = re.search(r"move cue 'two' at least ([\d.]+) s later", one.remedy)
    assert said is not None
    assert float(said[1]) == pytest.approx(3.0)
    moved = findings(_with_time(text, "two", 11.0 + float(said[1])), "TIM003", tmp_path)
    assert not any("overlap" in f.message for f in moved)


def test_an_effect_wanted_as_much_later_as_said_is_after_the_start(tmp_path: Path) -> None:
    """TIM011: the time is rounded up, as one rounded off would leave some microseconds."""
    text = case_text("TIM011/fail_fuse_longer_than_the_show")
    (one,) = findings(text, "TIM011", tmp_path)
    said = re.search(r"want the effect at least ([\d.]+) s later", one.remedy)
    assert said is not None
    later = text.replace("effect_at_s = 2\n", f"effect_at_s = {2.0 + float(said[1])!r}\n")
    assert later != text
    assert findings(later, "TIM011", tmp_path) == ()


def test_a_cue_that_states_its_time_is_told_to_switch_later(tmp_path: Path) -> None:
    text = case_text("TIM011/fail_negative_time")
    (one,) = findings(text, "TIM011", tmp_path)
    assert one.message == "cue 'one' switches 0.500 s before the show starts"
    assert one.remedy.startswith("switch it 0.500 s later")
    assert findings(_with_time(text, "one", 0.0), "TIM011", tmp_path) == ()


def test_a_cue_at_the_moment_named_is_free_whatever_its_digits(tmp_path: Path) -> None:
    """TIM002: the moment is rounded up to a millisecond."""
    text = _with_time(case_text("TIM002/fail_box_busy"), "one", 10.0004)
    (one,) = findings(text, "TIM002", tmp_path)
    said = re.search(r"so that it switches at ([\d.]+) s or after", one.remedy)
    assert said is not None
    assert float(said[1]) == pytest.approx(13.001)
    assert findings(_with_time(text, "two", float(said[1])), "TIM002", tmp_path) == ()


def test_a_repeat_that_is_blocked_is_not_said_to_be_the_cue(tmp_path: Path) -> None:
    """TIM002: the moment at which the box is free again is one for the repeat."""
    text = case_text("TIM002/fail_repeat_is_blocked")
    (one,) = findings(text, "TIM002", tmp_path)
    said = re.search(r"move cue 'one' ([\d.]+) s later, so that this repeat comes at", one.remedy)
    assert said is not None
    moved = findings(_with_time(text, "one", 10.0 + float(said[1])), "TIM002", tmp_path)
    assert all("repeat" not in f.message for f in moved)


def test_a_repeat_with_the_longer_gap_named_finds_a_full_capacitor(tmp_path: Path) -> None:
    text = case_text("SUP004/fail_repeat")
    (one,) = findings(text, "SUP004", tmp_path)
    said = re.search(r"lengthen gap_s of the repeat by ([\d.]+) s", one.remedy)
    gap = re.search(r"gap_s = ([\d.]+)", text)
    assert said is not None
    assert gap is not None
    longer = text.replace(gap[0], f"gap_s = {float(gap[1]) + float(said[1])!r}")
    assert findings(longer, "SUP004", tmp_path) == ()
