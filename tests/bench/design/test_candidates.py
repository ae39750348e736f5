"""Candidates keep to what the kit allows, and say what it does not state."""

from __future__ import annotations

from pathlib import Path

import pytest
from attrs import evolve

from bridgewire.bench.design.asking import catalogue_of
from bridgewire.bench.design.candidates import MOST, Candidate, make_candidates, offered
from bridgewire.bench.design.given import candidates_in
from bridgewire.bench.design.rank import compile_candidates
from bridgewire.bench.design.study import study_next
from bridgewire.bench.wiring import load_record
from bridgewire.model.kit import PulseChoice
from tests.bench.design.lawn import KIT, RECORD, SEEN, TRIAL, Lawn, lawn
from tests.bench.setups import findings_of, shot, with_trials


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Lawn:
    return lawn(tmp_path_factory.mktemp("lawn"))


def _made(it: Lawn, most: int = MOST) -> tuple[tuple[Candidate, ...], tuple[str, ...]]:
    return make_candidates(it.ask().means, it.record.record, catalogue_of(it.record), most=most)


def test_they_keep_to_the_kit(plain: Lawn) -> None:
    made, notes = _made(plain)
    assert 40 <= len(made) <= MOST
    assert not notes
    catalogue = catalogue_of(plain.record)
    kind = catalogue.boxes.get("lawn:brick")
    assert kind is not None
    assert kind.pulses is not None
    for c in made:
        assert kind.pulses.offers(c.shot.pulse_s)
        assert len(c.trial.strip) <= (kind.max_strips or 0)
        assert c.igniters == len(c.trial.igniter) >= 1
        assert all(r.length_m is not None and r.length_m.max <= 50.0 for r in c.trial.run)
        assert c.cable_m == pytest.approx(
            sum(r.length_m.typical for r in c.trial.run if r.length_m)
        )
        assert all(not s.seen for s in c.trial.shot)
    assert {c.igniters for c in made} == {1, 2, 3, 4}
    assert {c.shot.pulse_s for c in made} >= {1.0, 0.7}
    tried, missing = compile_candidates(made[::9], plain.record)
    assert len(tried) == len(made[::9])
    assert not missing


def test_no_more_than_asked_for(plain: Lawn) -> None:
    made, notes = _made(plain, most=20)
    assert len(made) == 20
    assert any("20 are looked at" in n for n in notes)
    assert len({c.layout for c in made}) > 4


def test_each_has_a_free_id(tmp_path: Path) -> None:
    record = with_trials(RECORD, TRIAL.replace('"again"', '"1"'))
    made, _ = _made(lawn(tmp_path, record=record))
    assert {c.trial.id for c in made} == {"2"}


@pytest.mark.parametrize(
    ("cut", "said", "left"),
    [
        ("max_length_m = 50\n", "states no max_length_m", 0),
        ("default_pulse_s = 1.0\n", "states no default_pulse_s", 2),
        ("[box.pulses]\nmin_s = 0.05\nmax_s = 4.0\nstep_s = 0.05\n", "states no pulses", None),
    ],
)
def test_what_the_kit_does_not_state_is_said(
    tmp_path: Path, cut: str, said: str, left: int | None
) -> None:
    assert cut in KIT
    made, notes = _made(lawn(tmp_path, KIT.replace(cut, "")))
    assert any(said in n for n in notes)
    if left is not None:
        assert len({c.shot.pulse_s for c in made}) == left
    assert all(c.shot.pulse_s > 0.0 for c in made)


def test_without_a_candidate_the_findings_say_why(tmp_path: Path) -> None:
    it = lawn(tmp_path, KIT.replace("max_length_m = 50\n", ""))
    [finding] = findings_of(study_next, it.record, it.ask(), None, required=0.9)
    assert "no trial can be made" in finding.message
    assert "max_length_m" in finding.remedy


def test_a_strip_without_a_through_connector_makes_no_chain(tmp_path: Path) -> None:
    made, _ = _made(lawn(tmp_path, KIT.replace("through = 1\n", "")))
    assert {c.igniters for c in made} == {1}
    assert not any("end of" in c.layout for c in made)


def test_values_that_a_candidate_lacks(plain: Lawn, tmp_path: Path) -> None:
    """What another class lacks leaves its trials out, with a finding; each thing once."""
    bare = '[[igniter_class]]\nid = "bare"\nkind = "clip-on-nichrome"\nbridge_ohm = 1.7\n'
    it = lawn(tmp_path, KIT + bare)
    made, _ = _made(it)
    igniter = evolve(made[0].trial.igniter[0], class_="lawn:bare")
    wrong = evolve(made[0], trial=evolve(made[0].trial, igniter=(igniter,)))
    tried, missing = compile_candidates((wrong, made[1], wrong), it.record)
    assert len(tried) == 1
    assert {f.code for f in missing} == {"KIT001"}
    assert len({f.message for f in missing}) == len(missing)
    assert all(f.location is None for f in missing)
    # The trials have no names that anybody knows.
    assert not any("trial" in f.message for f in missing)


def test_wirings_of_the_record_are_used_again(tmp_path: Path) -> None:
    body = TRIAL.replace('[[trial]]\nid = "again"\n', "").split("[[trial.shot]]")[0]
    bench = '[[bench]]\nid = "long"\n' + body.replace("trial.", "bench.")
    trial = '[[trial]]\nid = "1"\nbench = "long"\n' + shot("b/1/1", 1.0)
    it = lawn(tmp_path, record=with_trials(RECORD, bench, trial))
    made, _ = _made(it)
    again = [c for c in made if c.trial.bench == "long"]
    assert again
    assert {c.cable_m for c in again} == {0.0}
    [one], _ = compile_candidates(again[:1], it.record)
    # Its cables and contacts are those that were tried, so trials tell of them.
    assert any(k.startswith("bench/long/") for k in one.keys)


def test_candidates_from_a_file(tmp_path: Path) -> None:
    it = lawn(tmp_path)
    file = tmp_path / "mine.toml"
    file.write_text(with_trials(RECORD, TRIAL), encoding="utf-8")
    [one] = candidates_in(load_record(file, kit_dirs=[tmp_path]))
    assert (one.igniters, one.cable_m) == (1, 45.0)
    assert compile_candidates([one], it.record)[0]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (TRIAL.split("[[trial.shot]]")[0], "has no shot"),
        (TRIAL + SEEN, "has results already"),
    ],
)
def test_candidates_that_are_none(tmp_path: Path, text: str, said: str) -> None:
    lawn(tmp_path)
    file = tmp_path / "mine.toml"
    file.write_text(with_trials(RECORD, text), encoding="utf-8")
    [finding] = findings_of(candidates_in, load_record(file, kit_dirs=[tmp_path]))
    assert said in finding.message
    assert finding.location is not None
    assert finding.location.file == str(file)


def test_offered_pulses(plain: Lawn) -> None:
    kind = catalogue_of(plain.record).boxes.get("lawn:brick")
    assert kind is not None
    assert offered(kind, [0.01, 0.32, 9.0]) == (0.05, 0.35, 4.0)
    listed = evolve(kind, pulses=PulseChoice(offered_s=(0.5, 1.5)))
    assert offered(listed, [0.1, 0.6, 7.0]) == (0.5, 1.5)
    assert offered(evolve(kind, pulses=None), [1.0]) == ()
