"""The worked example of an evening with a meter: its files belong together."""

from __future__ import annotations

from pathlib import Path

from attrs import evolve

from bridgewire import Verdict, check, load_show
from bridgewire.authoring.answers_file import profile_of_answers
from bridgewire.circuit.resolve import resolve
from bridgewire.documents.loader import load_kit
from bridgewire.testing import check_kit_profile
from bridgewire.timeline.assess import assess

ROOT = Path(__file__).resolve().parents[2]
EVENING = ROOT / "examples" / "kit-evening"
DRAFT = EVENING / "first-evening" / "harrowmere-shed.toml"
FINISHED = ROOT / "examples/packages/harrowmere-kit/src/harrowmere_kit/harrowmere-shed.toml"


def test_the_first_profile_is_what_the_answers_give() -> None:
    _, text = profile_of_answers(EVENING / "answers.toml")
    assert text == DRAFT.read_text(encoding="utf-8")


def test_the_first_profile_lacks_one_thing_and_the_finished_one_none() -> None:
    first = [p.place for p in check_kit_profile(DRAFT)]
    assert first == ["igniter class match: burn_open"]
    assert check_kit_profile(FINISHED, complete=True) == []


def test_what_was_measured_is_still_in_the_finished_profile() -> None:
    first, finished = load_kit(DRAFT)[0], load_kit(FINISHED)[0]
    for table in ("contact", "cable", "strip", "igniter_class", "box"):
        for old, new in zip(getattr(first, table), getattr(finished, table), strict=True):
            for key, source in old.sources.items():
                if source.startswith("measured"):
                    assert new.sources[key] == source, (old.id, key)
    assert [c.ohm_per_m for c in first.cable] == [c.ohm_per_m for c in finished.cable]
    assert [c.contact_ohm for c in first.contact] == [c.contact_ohm for c in finished.contact]


def test_the_trial_line_is_surer_with_the_cable_that_was_paid_for() -> None:
    loaded = load_show(EVENING / "trial-line.toml", kit_dirs=[FINISHED.parent])
    assert check(loaded).cues[1].verdict is Verdict.MARGINAL
    copper = evolve(loaded.show.run[0], cable="generic:pair-24awg-solid")
    layout, problems = resolve(
        evolve(loaded.show, run=(copper,)), loaded.layout.catalogue, loaded.layout.models
    )
    assert layout is not None, problems
    assert assess(layout).cues[1].verdict is Verdict.SURE
