"""Every move proposes changes that can be made, and some that work where they should."""

from __future__ import annotations

from pathlib import Path

import pytest

from bridgewire.remedies.case import Refused, Trial
from bridgewire.remedies.judge import state_of
from bridgewire.remedies.moves.registry import MOVES
from bridgewire.timeline.outcomes import Verdict
from tests.remedies import shows
from tests.remedies.cases import EXAMPLES, case_from, case_of

SHOWS = {
    "short pulse": (shows.SHORT_PULSE, "go"),
    "long way": (shows.LONG_WAY, "go"),
    "chain": (shows.CHAIN, "go"),
    "hold-off": (shows.HOLD_OFF, "again"),
}
WORKS = [
    ("short pulse", "longer-pulse"),
    ("long way", "heavier-cable"),
    ("long way", "other-class"),
    ("chain", "longer-pulse"),
    ("chain", "heavier-cable"),
    ("hold-off", "move-cue"),
]


@pytest.mark.parametrize("name", SHOWS)
def test_proposals_can_be_made_and_are_all_different(name: str, tmp_path: Path) -> None:
    text, cue_id = SHOWS[name]
    case = case_from(text, tmp_path)
    made = [c for move in MOVES for c in move(case, cue_id)]
    assert len({(c.kind, c.edits) for c in made}) == len(made)
    for change in made:
        assert change.edits
        assert not change.words.endswith(".")
        trial = case.trial(change.edits, prove=False, only=change.boxes)
        # Refused are only those that the kit cannot do: a connector too few, a length missing.
        if isinstance(trial, Refused):
            assert all(isinstance(p, str) and p for p in trial.problems)
        else:
            assert cue_id in trial.cues


def test_nothing_is_refused_on_the_example_with_troubles() -> None:
    case = case_of(EXAMPLES / "boathouse-troubles.toml")
    refused = [
        (change.words, trial.problems)
        for move in MOVES
        for change in move(case, "fountains")
        if isinstance(trial := case.trial(change.edits, prove=False, only=change.boxes), Refused)
    ]
    assert refused == []


@pytest.mark.parametrize(("name", "kind"), WORKS)
def test_the_move_made_for_a_fault_mends_it(name: str, kind: str, tmp_path: Path) -> None:
    text, cue_id = SHOWS[name]
    case = case_from(text, tmp_path)
    states = []
    for move in MOVES:
        for change in move(case, cue_id):
            if change.kind != kind:
                continue
            trial = case.trial(change.edits)
            assert isinstance(trial, Trial)
            states.append(state_of(trial, cue_id))
    assert any(s.fires for s in states), [(s.verdict, s.margin) for s in states]
    assert not state_of(case.as_written, cue_id).fires


def test_a_splitter_brings_both_igniters_of_a_chain_to_light_together(tmp_path: Path) -> None:
    """physics.md: the same igniters on equal runs from one splitter light together."""
    case = case_from(shows.CHAIN, tmp_path)
    equal = next(
        c
        for move in MOVES
        for c in move(case, "go")
        if c.kind == "splitter-for-chain" and "equal" in c.words
    )
    trial = case.trial(equal.edits)
    assert isinstance(trial, Trial)
    lights = [i.light.typical for i in trial.cues["go"].meant]
    before = [i.light.typical for i in case.as_written.cues["go"].meant]
    assert abs(lights[0] - lights[1]) < 0.02 * lights[0]
    assert abs(before[0] - before[1]) > 0.5 * before[0]


def test_cues_follow_strips_to_another_output(tmp_path: Path) -> None:
    case = case_from(shows.CHAIN, tmp_path)
    split = next(c for m in MOVES for c in m(case, "go") if c.kind == "split-chain")
    trial = case.trial(split.edits)
    assert isinstance(trial, Trial)
    assert [c.way for c in trial.assessment.cues] == [("heron-1", 1, 1), ("heron-1", 2, 1)]
    assert [[i.id for i in c.meant] for c in trial.assessment.cues] == [["comet 1"], ["comet 2"]]
    assert all(c.verdict is Verdict.SURE for c in trial.assessment.cues)
