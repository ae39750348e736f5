"""Figures, ids and advice of the SAF rules on what a test sees and what is left, by hand."""

from __future__ import annotations

from pathlib import Path

import pytest
from attrs import evolve

from bridgewire.diagnostics import Finding
from bridgewire.rules.context import Context
from bridgewire.rules.engine import run_rules
from bridgewire.rules.registry import load_rule
from tests.rules.show_text import assessed, case_text, findings


def only(name: str, folder: Path) -> Finding:
    """The one finding of a case."""
    (found,) = findings(case_text(name), name[:6], folder)
    return found


@pytest.mark.parametrize(
    ("name", "subjects"),
    [
        ("SAF004/fail_far_one_lights_too", ("one", "i2")),
        ("SAF006/fail_second_igniter", ("left",)),
        ("SAF007/fail_after_a_short_line", ("a/2/1", "p")),
        ("SAF008/fail_many_behind_a_long_line", ("a", "m1", "a/1/1")),
        ("SAF009/fail_starved_by_a_neighbour", ("one", "i2")),
    ],
)
def test_what_a_finding_is_about(name: str, subjects: tuple[str, ...], tmp_path: Path) -> None:
    assert findings(case_text(name), name[:6], tmp_path)[0].subjects == subjects


def test_a_way_that_reads_open_is_told_at_its_first_igniter(tmp_path: Path) -> None:
    text = case_text("SAF007/fail_after_a_short_line")
    both = '[[igniter]]\nid = "q"\nat = "t1/1"\nclass = "bench:match"\n\n[[cue]]'
    (found,) = findings(text.replace("[[cue]]", both), "SAF007", tmp_path)
    assert found.path == ("igniter", 1)
    assert found.subjects == ("a/2/1", "p", "q")


def test_each_that_is_heated_is_told(tmp_path: Path) -> None:
    found = findings(case_text("SAF009/fail_starved_by_a_neighbour"), "SAF009", tmp_path)
    assert [f.subjects for f in found] == [("one", "i2"), ("one", "i3")]
    assert all(f.limit == 0.5 for f in found)


def test_a_no_fire_current_heats_nothing_enough(tmp_path: Path) -> None:
    """SAF009: bench:slow does not light at 0.5 A however long; the next in the cue gets more."""
    assessment = assessed(case_text("SAF009/fail_starved_by_a_neighbour"), tmp_path)
    (cue,) = assessment.cues
    near, middle, far = cue.igniters
    at_the_limit = evolve(middle, terminal_A=0.5)
    above = evolve(far, terminal_A=0.501)
    changed = evolve(cue, igniters=(near, at_the_limit, above))
    context = Context(evolve(assessment, cues=(changed,)))
    (found,), _ = run_rules(context, [load_rule("SAF009")])
    assert found.subjects == ("one", "i3")
    assert found.measured == 0.501


# One that is missing


LINE = """format = 1
title = "long lines"
kits = ["yard", "bench"]

[site]
ambient_C = 20

[[box]]
id = "a"
kind = "yard:cell"

[[strip]]
id = "s1"
kind = "bench:four"

[[run]]
from = "a/1"
to = "s1"
cable = "bench:eight"
length_m = 100
"""


def igniters(*entries: str) -> str:
    """Igniters ``id way class`` with more keys behind them."""
    text = ""
    for entry in entries:
        ident, way, name, *more = entry.split(maxsplit=3)
        text += f'[[igniter]]\nid = "{ident}"\nat = "s1/{way}"\nclass = "{name}"\n'
        text += f"{more[0]}\n" if more else ""
    return text


def test_a_way_with_and_without_one_igniter(tmp_path: Path) -> None:
    """Two legs of 100 m, two mated contacts, the track of the strip and a clamp, and the switch;
    two matches of 1.7 + 0.3 ohm side by side at the most, one of 1.4 + 0.1 ohm at the least."""
    (found,) = findings(LINE + igniters("p 1 bench:match", "q 1 bench:match"), "SAF008", tmp_path)
    most = 200 * 0.0938 + 2 * (0.03 + 0.03 + 0.02 + 0.04) + 0.1 + 2.0 / 2
    least = 200 * 0.082 + 2 * (0.004 + 0.004 + 0.005 + 0.002) + 0.02 + 1.5
    assert found.measured is not None
    assert found.limit is not None
    assert found.measured == pytest.approx(least, rel=2e-3)
    assert found.limit == pytest.approx(most, rel=6e-3)
    assert found.measured < found.limit
    assert "without 'p', so no test of the way can tell" in found.message
    assert "more way" not in found.message


@pytest.mark.parametrize(
    ("ways", "more"),
    [
        (2, "can tell; 1 more way of this box is like it"),
        (3, "can tell; 2 more ways are like it"),
    ],
)
def test_more_ways_of_a_box_are_counted(ways: int, more: str, tmp_path: Path) -> None:
    entries = [f"{i}{w} {w} bench:match" for w in range(1, ways + 1) for i in "pq"]
    (found,) = findings(LINE + igniters(*entries), "SAF008", tmp_path)
    assert more in found.message
    assert found.subjects == ("a", "p1", *(f"a/1/{w}" for w in range(1, ways + 1)))


def test_an_entry_of_several_is_one_igniter_of_it(tmp_path: Path) -> None:
    text = LINE + igniters('p 1 bench:match count = 3\nconnection = "parallel"')
    (found,) = findings(text, "SAF008", tmp_path)
    assert "without one igniter of 'p', so no test" in found.message


def test_the_one_of_highest_resistance_is_named(tmp_path: Path) -> None:
    """Left out, it makes the least difference: bench:slow is of about 1.75 ohm, two matches in
    series of twice 1.7 ohm."""
    text = LINE + igniters(
        "one 1 bench:slow",
        'two 1 bench:match string = "s"',
        'three 1 bench:match string = "s"',
        "four 1 bench:slow",
    )
    (found,) = findings(text, "SAF008", tmp_path)
    assert found.subjects[1] == "two"
    assert found.path == ("igniter", 1)
