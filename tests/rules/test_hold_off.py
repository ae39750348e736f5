"""When a hold-off ends: to the microsecond, for each scope, with repeats and equal times."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.rules.show_text import findings

SHOW = """
format = 1
title = "Hold-off"
kits = ["yard", "bench"]
site = { ambient_C = 15 }

[[box]]
id = "a"
kind = "yard:KIND"
supply_V = 20.5

[[strip]]
id = "s1"
kind = "bench:four"
[[strip]]
id = "t1"
kind = "bench:four"

[[run]]
from = "a/1"
to = "s1"
cable = "bench:eight"
length_m = 10
[[run]]
from = "a/2"
to = "t1"
cable = "bench:eight"
length_m = 10

[[igniter]]
at = "s1/1"
class = "bench:match"
[[igniter]]
at = "s1/2"
class = "bench:match"
[[igniter]]
at = "t1/1"
class = "bench:match"

[[cue]]
id = "first"
fire = "a/1/1"
time_s = 10
pulse_s = 2.0

[[cue]]
id = "second"
fire = "WAY"
time_s = TIME
pulse_s = 0.5
"""


def _early(folder: Path, kind: str, way: str, time_s: float) -> float | None:
    """By how much the second cue comes too early; None where it does not."""
    text = SHOW.replace("KIND", kind).replace("WAY", way).replace("TIME", repr(time_s))
    found = findings(text, "TIM002", folder)
    if not found:
        return None
    (one,) = found
    assert one.path == ("cue", 1, "time_s")
    assert one.subjects[:2] == ("second", "first")
    assert one.message.startswith(f"cue 'second' at {time_s:.3f} s comes ")
    assert one.limit is not None
    assert one.measured is not None
    return one.limit - one.measured


# The pulse ends at 12 s; box and output hold off for 1 s, way for 0.5 s.
@pytest.mark.parametrize(
    ("kind", "way", "free_s"),
    [
        ("busy-box", "a/1/1", 13.0),
        ("busy-box", "a/1/2", 13.0),
        ("busy-box", "a/2/1", 13.0),
        ("busy-output", "a/1/2", 13.0),
        ("cell", "a/1/1", 12.5),
    ],
)
def test_hold_off_ends_so_long_after_the_pulse(
    tmp_path: Path, kind: str, way: str, free_s: float
) -> None:
    assert _early(tmp_path, kind, way, free_s) is None
    assert _early(tmp_path, kind, way, free_s + 1.0) is None
    assert _early(tmp_path, kind, way, free_s - 1e-3) == pytest.approx(1e-3)
    assert _early(tmp_path, kind, way, free_s - 4e-6) == pytest.approx(4e-6, abs=6e-7)
    assert _early(tmp_path, kind, way, 11.0) == pytest.approx(free_s - 11.0)
    assert _early(tmp_path, kind, way, 10.001) == pytest.approx(free_s - 10.001)


@pytest.mark.parametrize(("kind", "way"), [("busy-output", "a/2/1"), ("cell", "a/1/2")])
def test_what_is_outside_the_scope_is_free(tmp_path: Path, kind: str, way: str) -> None:
    for time_s in (10.0, 10.5, 12.1):
        assert _early(tmp_path, kind, way, time_s) is None


def test_equal_times_are_one_command_except_on_one_way(tmp_path: Path) -> None:
    assert _early(tmp_path, "busy-box", "a/1/2", 10.0) is None
    assert _early(tmp_path, "busy-output", "a/1/2", 10.0) is None
    # On one way the shorter pulse is named as blocked by the one that stands first.
    assert _early(tmp_path, "busy-box", "a/1/1", 10.0) == pytest.approx(3.0)


def test_the_pulse_that_blocks_longest_is_named(tmp_path: Path) -> None:
    text = SHOW.replace("KIND", "busy-box").replace("WAY", "a/1/2").replace("TIME", "10.0")
    text += '\n[[cue]]\nid = "third"\nfire = "a/2/1"\ntime_s = 10.4\npulse_s = 0.5\n'
    (one,) = findings(text, "TIM002", tmp_path)
    # "second" blocks until 11.5 s, "first" until 13.0 s.
    assert one.subjects[:2] == ("third", "first")
    assert one.limit == pytest.approx(13.0)
