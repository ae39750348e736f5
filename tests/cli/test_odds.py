"""``bridgewire odds``."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from tests.cli.running import run_command
from tests.uncertainty.shows import band, kit, show
from tests.uncertainty.test_odds import SIGMA, TWO_CUES, threshold_failing


def written(folder: Path, p: float, more: str = "") -> str:
    """A show of two igniters that fail with probability p each."""
    (folder / "trial.toml").write_text(kit(band(threshold_failing(p), SIGMA)), encoding="utf-8")
    file = folder / "show.toml"
    file.write_text(show(["a/1", "b/1"], TWO_CUES, more=more), encoding="utf-8")
    return str(file)


def test_text_tells_the_show_its_weakest_and_what_to_measure(tmp_path: Path) -> None:
    done = run_command("odds", written(tmp_path, 0.1), "--draws", "1000", "--workers", "1")
    assert done.returncode == 0, done.stderr
    text = " ".join(done.stdout.split())
    for words in (
        "no igniter left unlit",
        "Most likely to fail",
        "a 1 under cue cue 0 fails: ",
        "igniter batch: ",
        "fire a sample of this batch on the bench",
        "common practice, no source",
        "no permission to fire",
        "is not in them",
    ):
        assert words in text
    assert max(map(len, done.stdout.splitlines())) <= 80


@pytest.mark.parametrize(
    ("p", "words"),
    [(1e-5, r"[\d.]+ in a million \([\d.]+ to [\d.]+\)"), (1e-9, "less than 1 in a million")],
)
def test_a_rare_failure_is_told_in_words(tmp_path: Path, p: float, words: str) -> None:
    done = run_command("odds", written(tmp_path, p), "--draws", "1000", "--workers", "1")
    assert done.returncode == 0, done.stderr
    text = " ".join(done.stdout.split())
    assert re.search(f"a 1 under cue cue 0 fails: {words}", text), text
    assert not re.search(r"\de-\d", text)
    # What was drawn does not show that much.
    assert "no igniter left unlit 100 % (99.63 % to 100 %)" in text


def test_json_is_the_same_for_any_number_of_workers(tmp_path: Path) -> None:
    file = written(tmp_path, 0.1)
    call = ("odds", file, "--draws", "500", "--closer", "1", "--format", "json", "--workers")
    one, two = (run_command(*call, n) for n in ("1", "2"))
    assert one.stdout == two.stdout
    data = json.loads(one.stdout)
    assert data["kind"] == "odds"
    assert data["draws"] == 500
    assert 0.05 < 1.0 - data["cues"][0]["igniters"][0]["lights"]["value"] < 0.15
    assert data["closer"][0]["groups"][0]["group"] == "igniter itself"


def test_one_cue_only(tmp_path: Path) -> None:
    file = written(tmp_path, 0.1)
    done = run_command("odds", file, "--cue", "cue 1", "--draws", "200", "--format", "json")
    data = json.loads(done.stdout)
    assert [c["id"] for c in data["cues"]] == ["cue 1"]
    assert data["igniters"] == 1
    assert data["cue"] == "cue 1"
    wrong = run_command("odds", file, "--cue", "cue 11")
    assert wrong.returncode == 2
    assert "did you mean 'cue 1'" in wrong.stderr


def test_exit_code_where_the_show_requires_more(tmp_path: Path) -> None:
    required = "[requirements]\nreliability = 0.999"
    low = run_command("odds", written(tmp_path, 0.01, required), "--draws", "2000")
    assert low.returncode == 1
    assert "below what the show requires" in low.stdout
    high = run_command("odds", written(tmp_path, 1e-6, required), "--draws", "2000")
    assert high.returncode == 0
    assert "in a million" in high.stdout
