"""``bridgewire supply``."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from xml.etree import ElementTree

import jsonschema
import pytest

import bridgewire
from bridgewire.cli.main import run
from tests.cli.running import run_command
from tests.cli.shows import BAD, CLEAN, KITS, SMALL, write_show

ROOT = Path(__file__).parents[2]
MIDWINTER = ROOT / "examples" / "midwinter-small.toml"
TROUBLES = ROOT / "examples" / "boathouse-troubles.toml"


def test_text_on_a_plain_output_has_80_columns() -> None:
    done = run_command("supply", str(MIDWINTER))
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    for title in ("Voltage and charge", "other weather", "minutes late", "Cautions"):
        assert title in done.stdout
    assert all(len(line) <= 80 for line in done.stdout.splitlines())


def test_json_fits_the_schema_that_the_command_prints() -> None:
    schema = json.loads(run_command("schema", "supply").stdout)
    for show in (MIDWINTER, TROUBLES):
        done = run_command("supply", str(show), "--format", "json", "--step-C", "15")
        assert done.returncode == 0, done.stderr
        data = json.loads(done.stdout)
        jsonschema.Draft202012Validator(schema).validate(data)
        assert data["program"]["version"] == bridgewire.__version__
    assert [b["box"] for b in data["boxes"]] == ["heron-1", "teal-1"]


def test_the_range_of_the_sweep_is_the_users() -> None:
    done = run_command(
        "supply",
        str(MIDWINTER),
        "--format",
        "json",
        "--from-C",
        "-4",
        "--to-C",
        "6",
        "--step-C",
        "4",
    )
    steps = [s["at_C"] for s in json.loads(done.stdout)["sweep"]["steps"]]
    assert steps == [-4.0, 0.0, 1.0, 4.0, 6.0]  # 1 °C is the show's typical ambient


def test_csv_has_a_row_per_cue(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["supply", str(MIDWINTER), "--format", "csv"]) == 0
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    assert [r["cue"] for r in rows] == ["twin comets", "lances", "crackle"]
    used = [float(r["used_before_Ah"]) for r in rows]
    assert used == sorted(used)
    # 0.15 A for 1200 s before the show and 10 s in it (examples, profiles/harrowmere.toml).
    assert used[0] == pytest.approx(0.15 * 1210.0 / 3600.0, rel=1e-5)


def test_only_the_boxes_wanted(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plot = tmp_path / "plot.svg"
    assert run(["supply", str(TROUBLES), "--box", "teal-1", "--plot", str(plot)]) == 0
    text = capsys.readouterr().out
    assert "teal-1 (harrowmere:teal)" in text
    assert "heron-1 (harrowmere" not in text
    drawn = ElementTree.parse(plot).getroot()
    texts = ["".join(t.itertext()) for t in drawn.iter()]
    assert any("teal-1, capacitor supply" in t for t in texts)
    assert not any("heron-1, battery" in t for t in texts)


def test_a_report_can_be_written_to_a_file(tmp_path: Path) -> None:
    file = tmp_path / "supply.csv"
    done = run_command("supply", str(MIDWINTER), "--format", "csv", "--output", str(file))
    assert done.returncode == 0
    assert done.stdout == ""
    assert file.read_bytes().count(b"\r\n") == 4


def test_kits_beside_the_show_and_in_a_folder(tmp_path: Path) -> None:
    assert run_command("supply", str(write_show(tmp_path, CLEAN))).returncode == 0
    assert run_command("supply", str(SMALL), "--kit-dir", str(KITS)).returncode == 0


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (["--box", "heron-2"], "did you mean 'heron-1'?"),
        (["--plot", "x.pdf"], "must end in .svg or .png"),
        (["--from-C", "10", "--to-C", "0"], "must begin below its end"),
        (["--from-C", "-300"], "--from-C"),
        (["--step-C", "0"], "--step-C"),
        (["--step-C", "0.1"], "too many"),
        (["--format", "xml"], "--format"),
    ],
)
def test_wrong_use_is_told(more: list[str], words: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["supply", str(MIDWINTER), *more]) == 2
    assert words in capsys.readouterr().err


def test_a_bad_show_is_told_with_places(tmp_path: Path) -> None:
    done = run_command("supply", str(write_show(tmp_path, BAD)))
    assert done.returncode == 2
    assert "titel" in done.stderr


def test_a_plot_that_cannot_be_written(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["supply", str(MIDWINTER), "--plot", "/nowhere/x.svg"]) == 2
    assert "cannot write" in capsys.readouterr().err
