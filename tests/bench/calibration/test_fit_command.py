"""``bridgewire bench fit``: what it reads is never replaced; JSON by its schema."""

from __future__ import annotations

from pathlib import Path

import pytest

from bridgewire.cli.main import run
from tests.bench.design.lawn import RECORD, SEEN, TRIAL, lawn
from tests.bench.setups import valid, with_trials

TEXT = with_trials(RECORD, TRIAL, SEEN)


@pytest.mark.parametrize(
    "more", [("--output", "{record}"), ("--output-kit", "{folder}", "--id", "record", "--force")]
)
def test_the_record_is_not_overwritten(
    more: tuple[str, ...], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lawn(tmp_path, record=TEXT)
    record = tmp_path / "record.toml"
    words = [w.format(record=record, folder=tmp_path) for w in more]
    assert run(["bench", "fit", str(record), "--kit-dir", str(tmp_path), *words]) == 2
    assert "cannot write" in capsys.readouterr().err
    assert record.read_text(encoding="utf-8") == TEXT


def test_json_is_of_the_schema(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lawn(tmp_path, record=TEXT)
    words = ["--draws", "200", "--effort", "quick", "--format", "json"]
    record = str(tmp_path / "record.toml")
    assert run(["bench", "fit", record, "--kit-dir", str(tmp_path), *words]) in (0, 1)
    data = valid(capsys.readouterr().out, "bench-fit")
    assert data["program"]["name"] == "bridgewire"
    assert [t["id"] for t in data["trials"]] == ["again"]
