"""``bridgewire bench check`` and ``bridgewire bench fit``."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from bridgewire.cli.main import run

EXAMPLE = Path(__file__).parents[2] / "examples" / "bench-evening" / "record.toml"
SMALL = """\
format = 1
title = "Small <script>"
kits = ["harrowmere", "generic"]
[site]
ambient_C = 14
[meter]
time_tol_s = 0.1
[[trial]]
id = "1"
[[trial.box]]
id = "heron-1"
kind = "heron"
[[trial.strip]]
id = "a"
kind = "jetty-strip-8"
[[trial.run]]
from = "heron-1/1"
to = "a"
cable = "shore-cable"
length_m = 20
[[trial.igniter]]
id = "near"
at = "a/1"
class = "clip-on-short"
[[trial.shot]]
fire = "heron-1/1/1"
pulse_s = 1.0
supply_V = 21.2
[[trial.shot.seen]]
igniter = "near"
lit = true
time_s = 0.25
state_after = "open"
"""


@pytest.fixture
def small(tmp_path: Path) -> str:
    file = tmp_path / "small.toml"
    file.write_text(SMALL, encoding="utf-8")
    return str(file)


def test_check_says_what_is_there(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["bench", "check", str(EXAMPLE)]) == 0
    assert "10 trials, 24 shots, 40 igniters" in capsys.readouterr().out


def test_check_says_what_is_wrong(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "bad.toml"
    file.write_text(SMALL.replace("lit = true", "lit = false"), encoding="utf-8")
    assert run(["bench", "check", str(file)]) == 2
    found = capsys.readouterr().err
    assert "DOC019" in found
    assert "bad.toml:" in found
    assert run(["bench", "check", str(tmp_path / "gone.toml")]) == 2


def test_fit_writes_a_kit(small: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    kits = tmp_path / "new" / "kits"  # made if it is not there
    words = ["bench", "fit", small, "--output-kit", str(kits), "--id", "ours"]
    words += ["--draws", "1800", "--effort", "quick"]
    assert run(words) == 0
    out = capsys.readouterr().out
    assert [line for line in out.splitlines() if len(line) > 80 and "wrote" not in line] == []
    assert "trial 1: agrees" in out
    assert (kits / "ours.toml").is_file()
    assert run([*words, "--format", "json", "--force"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["diagnostics"]["seed"] == 1
    assert data["record"]["title"] == "Small <script>"


def test_fit_refuses_what_it_cannot_use(small: str, tmp_path: Path) -> None:
    kits = str(tmp_path)
    assert run(["bench", "fit", small, "--output-kit", kits]) == 2
    assert run(["bench", "fit", small, "--id", "ours"]) == 2
    for name in ("../up", "a/b", "", ".hidden", "a:b"):
        assert run(["bench", "fit", small, "--output-kit", kits, "--id", name]) == 2
    (tmp_path / "taken.toml").write_text("mine", encoding="utf-8")
    assert run(["bench", "fit", small, "--output-kit", kits, "--id", "taken"]) == 2
    assert (tmp_path / "taken.toml").read_text(encoding="utf-8") == "mine"
    empty = tmp_path / "empty.toml"
    empty.write_text('format = 1\ntitle = "x"\nkits = []\ntrial = []\n', encoding="utf-8")
    assert run(["bench", "fit", str(empty)]) == 2


def test_help_names_both() -> None:
    from bridgewire.cli.bench import command

    result = CliRunner().invoke(command, ["--help"])
    assert "check" in result.output
    assert "fit" in result.output
