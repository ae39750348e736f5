"""The trial to be made, as a piece of a record and as a form: both read back."""

from __future__ import annotations

from pathlib import Path

import pytest
from attrs import evolve

from bridgewire.bench.design.asking import catalogue_of
from bridgewire.bench.design.candidates import make_candidates
from bridgewire.bench.wiring import load_record
from bridgewire.documents.bench_cells import COLUMNS
from bridgewire.model.bench import Trial
from bridgewire.report.next_trial_record import trial_data, trial_form_csv, trial_toml
from tests.bench.design.lawn import RECORD, TRIAL, Lawn, lawn
from tests.bench.setups import with_trials

HOSTILE = '<script>alert("1")</script> =1+1 \\ "quoted" \x7f\x1b[31m ünï 灯\nnew line'


def _trial(it: Lawn, igniters: int) -> Trial:
    made, _ = make_candidates(it.ask().means, it.record.record, catalogue_of(it.record))
    return next(c.trial for c in made if c.igniters == igniters)


@pytest.mark.parametrize("igniters", [1, 2, 4])
def test_piece_of_a_record_reads_back(tmp_path: Path, igniters: int) -> None:
    it = lawn(tmp_path)
    trial = evolve(_trial(it, igniters), title=HOSTILE)
    text = trial_toml(trial, it.record.record)
    file = tmp_path / "more.toml"
    file.write_text(with_trials(RECORD, text), encoding="utf-8")
    [read] = load_record(file, kit_dirs=[tmp_path]).record.trial
    assert read.title == HOSTILE
    assert len(read.shot) == 1
    # A planned voltage is no reading.
    assert read.shot[0].supply_V is None
    assert "planned with 20" in text
    assert [s.igniter for s in read.shot[0].seen] == [i.id for i in trial.igniter]
    assert all(s.lit is None and s.time_s is None for s in read.shot[0].seen)
    assert evolve(read, shot=()) == evolve(trial, shot=())


def test_added_to_a_record_with_trials_and_filled_in(tmp_path: Path) -> None:
    record = with_trials(RECORD, TRIAL)
    it = lawn(tmp_path, record=record)
    text = trial_toml(_trial(it, 2), it.record.record)
    filled = text.replace("# lit = true or false", "lit = true")
    (tmp_path / "record.toml").write_text(record + "\n" + filled, encoding="utf-8")
    loaded = load_record(tmp_path / "record.toml", kit_dirs=[tmp_path]).record
    assert [t.id for t in loaded.trial] == ["again", "1"]
    assert [s.lit for s in loaded.trial[1].shot[0].seen] == [True, True]


def test_form_reads_back(tmp_path: Path) -> None:
    it = lawn(tmp_path)
    trial = _trial(it, 2)
    csv = trial_form_csv(trial, it.record.record)
    head, *rows = csv.split("\r\n")
    assert tuple(head.split(",")) == COLUMNS
    assert len([r for r in rows if r]) == 2
    lit = [",".join([*r.split(",")[:10], "yes", *r.split(",")[11:]]) for r in rows if r]
    (tmp_path / "seen.csv").write_text("\r\n".join([head, *lit]), encoding="utf-8")
    piece = trial_toml(trial, it.record.record).split("[[trial.shot]]")[0]
    results = '[results]\nfile = "seen.csv"\n'
    whole = with_trials(RECORD, results, piece)
    (tmp_path / "record.toml").write_text(whole, encoding="utf-8")
    [read] = load_record(tmp_path / "record.toml", kit_dirs=[tmp_path]).record.trial
    assert [s.lit for s in read.shot[0].seen] == [True, True]
    assert read.shot[0].pulse_s == trial.shot[0].pulse_s


def test_piece_and_form_go_together(tmp_path: Path) -> None:
    it = lawn(tmp_path)
    trial = _trial(it, 2)
    (tmp_path / "seen.csv").write_text(trial_form_csv(trial, it.record.record), encoding="utf-8")
    piece = trial_toml(trial, it.record.record)
    assert "take the line  trial = []  out" in piece
    results = '[results]\nfile = "seen.csv"\n'
    whole = with_trials(RECORD, results, piece)
    (tmp_path / "record.toml").write_text(whole, encoding="utf-8")
    record = load_record(tmp_path / "record.toml", kit_dirs=[tmp_path]).record
    assert len(record.trial[0].shot[0].seen) == 2
    assert "take the line" not in trial_toml(trial, record)


def test_plain_data_leaves_defaults_out(tmp_path: Path) -> None:
    data = trial_data(_trial(lawn(tmp_path), 1))
    assert data["run"][0]["from"] == "box/1"
    assert "parallel" not in data["run"][0]
    assert "count" not in data["igniter"][0]
    assert "seen" not in data["shot"][0]
