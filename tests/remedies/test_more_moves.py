"""Moves one by one: what they propose, and what they leave alone."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise
from pathlib import Path

import pytest

from bridgewire.model.kit import PulseChoice
from bridgewire.remedies.case import Case, Trial
from bridgewire.remedies.change import Change
from bridgewire.remedies.edits import Remove, Set
from bridgewire.remedies.judge import LEFT_OUT, apart_s, state_of
from bridgewire.remedies.moves import (
    connection,
    drop_cue,
    longer_pulse,
    move_cue,
    new_strip,
    other_class,
    other_output,
    other_strip,
    other_way,
    respace,
    retime,
    shorter_pulse,
    splitter_for_chain,
)
from bridgewire.timeline.outcomes import Verdict
from tests.remedies import shows
from tests.remedies.cases import case_from

Move = Callable[[Case, str], Iterator[Change]]
TEAL = '[[box]]\nid = "teal-1"\nkind = "harrowmere:teal"\nat_m = [10, 0]\n'
BURST = (
    shows.HEAD
    + TEAL
    + shows.strip("raft", (12, 0))
    + shows.run("teal-1/1", "raft", 5, "harrowmere:raft-cable")
    + "".join(
        shows.igniter(f"match {n}", f"raft/{n}", "harrowmere:lantern-match") for n in range(1, 5)
    )
    + "".join(shows.cue(f"shot {n}", f"teal-1/1/{n}", 10 + 0.2 * n, 0.02) for n in range(1, 5))
)
"""Four cues of a box that is held off for half a second after each."""
SLOW_ON_TEAL = (
    shows.HEAD
    + TEAL
    + shows.strip("roof", (12, 0))
    + shows.run("teal-1/1", "roof", 5, "harrowmere:raft-cable")
    + shows.strip("lawn", (20, 0))
    + shows.run("heron-1/1", "lawn", 25, "harrowmere:raft-cable")
    + shows.igniter("crown", "roof/1")
    + shows.igniter("star", "roof/2", "harrowmere:lantern-match")
    + shows.igniter("lances", "lawn/3", "harrowmere:lantern-match")
    + shows.cue("crown", "teal-1/1/1", 10, 0.1)
    + shows.cue("star", "teal-1/1/2", 20, 0.02)
    + shows.cue("lances", "heron-1/1/3", 30, 0.05)
)
"""A slow igniter on a box that only has short pulses, and another box nearby."""


def tried(case: Case, move: Move, cue_id: str) -> list[tuple[Change, Trial]]:
    found = [(c, case.trial(c.edits)) for c in move(case, cue_id)]
    assert found
    return [(c, t) for c, t in found if isinstance(t, Trial)]


def test_a_burst_is_drawn_apart_in_order(tmp_path: Path) -> None:
    case = case_from(BURST, tmp_path)
    assert [f.code for f in case.as_written.about("shot 3")].count("TIM002") == 1
    for change, trial in tried(case, respace.changes, "shot 3"):
        assert not any(f.code == "TIM002" for f in trial.findings)
        times = [c.switch_s for c in trial.assessment.cues]
        assert times == sorted(times)
        assert times[0] == pytest.approx(10.2)
        assert change.effort.shift_s == pytest.approx(
            sum(times) - sum(10 + 0.2 * n for n in range(1, 5)), abs=1e-6
        )
    gaps = [b - a for a, b in pairwise(times)]
    assert min(gaps) >= 0.02 + 0.5


def test_cues_that_do_not_wait_are_not_drawn_apart(tmp_path: Path) -> None:
    case = case_from(shows.SHORT_PULSE, tmp_path)
    assert list(respace.changes(case, "go")) == []
    assert list(move_cue.changes(case, "go")) == []
    assert list(shorter_pulse.changes(case, "go")) == []
    assert list(drop_cue.changes(case, "go")) == []


@pytest.mark.parametrize("move", [new_strip.changes, other_strip.changes], ids=["new", "other"])
def test_a_slow_igniter_goes_to_a_box_with_long_pulses(move: Move, tmp_path: Path) -> None:
    case = case_from(SLOW_ON_TEAL, tmp_path)
    assert case.as_written.cues["crown"].verdict is Verdict.NO
    done = [t for c, t in tried(case, move, "crown") if "heron-1" in c.boxes]
    assert done
    for trial in done:
        crown = trial.cues["crown"]
        assert crown.way is not None
        assert crown.way[0] == "heron-1"
        assert crown.verdict is Verdict.SURE
        assert [i.id for i in crown.meant] == ["crown"]
        # The others on the strip stay where they are.
        assert trial.cues["star"].way == ("teal-1", 1, 2)
        assert trial.cues["star"].verdict is case.as_written.cues["star"].verdict


def test_a_strip_on_another_box_has_pulses_that_box_offers(tmp_path: Path) -> None:
    case = case_from(SLOW_ON_TEAL, tmp_path)
    moved = [t for c, t in tried(case, other_output.changes, "crown") if c.kind == "other-box"]
    assert moved
    for trial in moved:
        assert trial.cues["star"].way == ("heron-1", 2, 2)
        assert not any(f.code == "TIM001" for f in trial.findings)


def test_an_output_that_a_cue_fires_is_not_free(tmp_path: Path) -> None:
    text = SLOW_ON_TEAL + shows.cue("test", "heron-1/2/16", 50, 0.05)
    case = case_from(text, tmp_path)
    for change in (*other_output.changes(case, "crown"), *new_strip.changes(case, "crown")):
        assert "heron-1/2" not in change.words


def test_a_cue_that_lights_nothing_is_left_out(tmp_path: Path) -> None:
    case = case_from(shows.SHORT_PULSE + shows.cue("empty", "heron-1/2/1", 60, 0.05), tmp_path)
    ((change, trial),) = tried(case, drop_cue.changes, "empty")
    assert change.edits == (Remove(("cue", 1)),)
    assert change.drops == ("empty",)
    assert state_of(trial, "empty") == LEFT_OUT
    assert LEFT_OUT.clear
    assert list(drop_cue.changes(case, "go")) == []


@pytest.mark.parametrize(
    ("offered", "pulse_s", "wanted"),
    [
        (PulseChoice(offered_s=(0.02, 0.05, 0.1)), 0.1, [0.05, 0.02]),
        (PulseChoice(offered_s=(0.02, 0.05, 0.1)), 0.02, []),
        (PulseChoice(min_s=0.05, max_s=4.0, step_s=0.05), 0.07, [0.05]),
        (PulseChoice(min_s=0.05, max_s=4.0, step_s=0.05), 2.0, [1.95, 1.0, 0.05]),
        (PulseChoice(min_s=0.05, max_s=4.0, step_s=0.05), 0.05, []),
    ],
)
def test_shorter_pulses_on_offer(offered: PulseChoice, pulse_s: float, wanted: list[float]) -> None:
    found = shorter_pulse.shorter(offered, pulse_s)
    assert found == pytest.approx(wanted)
    assert all(offered.offers(p) for p in found)


def test_a_pulse_that_is_not_offered_gets_its_neighbours(tmp_path: Path) -> None:
    case = case_from(shows.SHORT_PULSE.replace("pulse_s = 0.5", "pulse_s = 0.53"), tmp_path)
    changes = (*longer_pulse.changes(case, "go"), *shorter_pulse.changes(case, "go"))
    pulses = {e.value for c in changes for e in c.edits if isinstance(e, Set)}
    assert {0.5, 0.55} <= {round(p, 6) for p in pulses}


def test_a_string_is_cut_in_strings_side_by_side(tmp_path: Path) -> None:
    text = shows.HEAD + shows.strip("west") + shows.run("heron-1/1", "west", 42)
    text += shows.igniter(
        "ring", "west/1", "harrowmere:lantern-match", 'count = 6\nconnection = "series"\n'
    )
    text += shows.cue("go", "heron-1/1/1", 10, 0.05, 'lights = ["ring"]\n')
    case = case_from(text, tmp_path)
    found = {c.recipe: t for c, t in tried(case, connection.changes, "go")}
    assert set(found) == {"parallel", "2 strings", "3 strings"}
    for strings in (2, 3):
        trial = found[f"{strings} strings"]
        assert [i.igniter.count for i in trial.layout.igniters] == [6 // strings] * strings
        assert len(trial.cues["go"].meant) == strings
    whole, two = case.as_written.cues["go"].meant[0], found["2 strings"].cues["go"].meant[0]
    # Half the bridges in series, side by side: less resistance, and more current on the line.
    assert 2 * (two.terminal_A or 0) > (whole.terminal_A or 0)


def test_cues_that_must_light_together_are_not_fired_one_after_the_other(tmp_path: Path) -> None:
    case = case_from(shows.CHAIN, tmp_path)
    assert list(other_way.changes(case, "go"))
    together = case_from(shows.CHAIN + "together = true\n", tmp_path)
    assert list(other_way.changes(together, "go")) == []
    assert apart_s(together.as_written, ["go"]) == together.as_written.cues["go"].spread_typical_s


def test_another_kind_of_igniter_comes_with_a_caveat(tmp_path: Path) -> None:
    case = case_from(shows.SHORT_PULSE, tmp_path)
    for change in other_class.changes(case, "go"):
        same = "clip-on" in change.recipe
        assert bool(change.caveat) is not same
        assert {i.count for i in change.effort.items} == {1, -1}


def test_effects_are_put_round_the_time_they_are_wanted(tmp_path: Path) -> None:
    text = shows.SHORT_PULSE.replace("pulse_s = 0.5", "pulse_s = 2.0\neffect_at_s = 12")
    text = text.replace("margin = 1.1", "margin = 1.1\neffect_tolerance_s = 0.5")
    case = case_from(text, tmp_path)
    ((change, trial),) = tried(case, retime.changes, "go")
    (effect,) = (i.effect for i in trial.cues["go"].meant)
    assert effect is not None
    assert 0.5 * (effect.earliest + effect.latest) == pytest.approx(12.0, abs=0.01)
    assert "2.00 s" not in change.words
    assert change.effort.shift_s == 0


def test_a_splitter_never_gets_runs_longer_than_a_piece(tmp_path: Path) -> None:
    text = shows.CHAIN.replace("at_m = [30, 0]", "at_m = [60, 0]")
    case = case_from(text, tmp_path)
    at_box = [c for c in splitter_for_chain.changes(case, "go") if "at box" in c.words]
    # Shore cable has pieces of 50 m; raft cable of 100 m does.
    assert all("raft-cable" in c.words for c in at_box)
    assert at_box
