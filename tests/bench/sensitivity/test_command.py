"""``bridgewire bench sensitivity``: text, JSON, plot, errors."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from bridgewire.bench.sensitivity.analysis import analyse
from bridgewire.bench.sensitivity.fit import Fit
from bridgewire.bench.sensitivity.links import LOGIT
from bridgewire.bench.sensitivity.reading import read_trial_files
from bridgewire.bench.sensitivity.sequential import guess_from_levels, next_level
from bridgewire.cli.main import run
from bridgewire.report.plain_text import columns
from tests.bench import setups
from tests.bench.sensitivity.data_sets import SETS
from tests.cli.running import environment, run_command

EXAMPLES = Path(__file__).parents[3] / "examples" / "go-no-go"
FULL = str(EXAMPLES / "lantern-match.csv")
EARLY = str(EXAMPLES / "lantern-match-first-day.csv")
STEPS = str(EXAMPLES / "lantern-match-up-and-down.csv")


def valid(text: str) -> dict[str, Any]:
    """JSON of the command, held against its schema."""
    return setups.valid(text, "bench-sensitivity")


def output(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert run(["bench", "sensitivity", *arguments]) == 0
    return capsys.readouterr().out


def written(tmp_path: Path, text: str, name: str = "trial.csv") -> str:
    file = tmp_path / name
    file.write_text(text, encoding="utf-8")
    return str(file)


def test_help_imports_nothing_heavy() -> None:
    script = (
        "import sys; from bridgewire.cli.main import run; "
        "code = run(['bench', 'sensitivity', '--help']); "
        "sys.exit(code or bool({'numpy', 'scipy', 'bridgewire.bench'} & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, env=environment(), check=False
    )
    assert done.returncode == 0, done.stderr


def test_help_has_80_columns() -> None:
    for arguments in (["bench", "--help"], ["bench", "sensitivity", "--help"]):
        done = run_command(*arguments)
        assert done.returncode == 0
        assert all(columns(line) <= 80 for line in done.stdout.splitlines())


def test_a_mistyped_name_gets_a_hint(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["bench", "sensitivty"]) == 2
    assert "did you mean 'sensitivity'?" in capsys.readouterr().err


@pytest.mark.parametrize(
    "arguments",
    [
        [FULL],
        [EARLY],
        [FULL, EARLY, STEPS, "--confidence", "0.9"],
        [FULL, "--link", "cloglog", "--scale", "linear"],
        [STEPS, "--method", "up-and-down", "--scale", "linear"],
        [FULL, "--method", "up-and-down"],
        [EARLY, "--method", "next", "--guess", "0.25", "0.6"],
    ],
    ids=str,
)
def test_text_has_80_columns_and_the_cautions(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    text = output(capsys, *arguments)
    assert all(columns(line) <= 80 for line in text.splitlines())
    plain = " ".join(text.split())
    assert "A computed verdict is no permission to fire." in plain
    assert "In a show the current has another shape" in plain
    assert "nan" not in plain.split()
    assert "inf" not in plain.split()


def test_all_that_a_fit_tells(capsys: pytest.CaptureFixture[str]) -> None:
    text = " ".join(output(capsys, FULL).split())
    for part in (
        "half light at",
        "all-fire at most",
        "no-fire at least",
        "at 95 % confidence",
        "D417.41",
        "far above the highest level tried",
        "The same shots under other curves",
        "2995 shots at one level, all lit, show 0.999",
        "test of fit",
    ):
        assert part in text


def test_separable_shots_get_a_bound_and_a_reason(capsys: pytest.CaptureFixture[str]) -> None:
    text = " ".join(output(capsys, EARLY).split())
    assert "the change lies between 0.345 A and 0.365 A" in text
    assert "No middle, spread, all-fire or no-fire level is given." in text
    for part in ("mu ", "sigma", "half light at", "best guess"):
        assert part not in text
    data = valid(output(capsys, EARLY, "--format", "json"))["trials"][0]
    assert data["no_fit"]["reason"] == "separated"
    assert (data["no_fit"]["none_lit_up_to"], data["no_fit"]["all_lit_from"]) == (0.345, 0.365)
    assert (data["curve"], data["all_fire"], data["no_fire"]) == (None, None, None)
    assert data["other_curves"] == []


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ("1,1\n2,1\n", "Every shot lit, down to 1 A"),
        ("1,0\n2,0\n", "No shot lit, up to 2 A"),
        ("2,0\n2,1\n", "All shots were made at one level, 2 A"),
        ("14,0\n16,0\n16,1\n", "meet at one level only, 16 A; otherwise nothing lit up to 14 A"),
        ("1,1\n2,0\n", "the wrong way round"),
        ("1,1\n1,0\n2,1\n2,0\n", "the spread is infinite"),
        ("10,0\n12,1\n11,1\n8,1\n", "lies outside the levels tried (8 A to 12 A)"),
    ],
)
def test_every_reason_is_told_in_words(
    rows: str, words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = written(tmp_path, "level_A,result\n" + rows)
    text = " ".join(output(capsys, file).split())
    assert words in text
    assert "No middle, spread, all-fire or no-fire level is given." in text


def test_json_says_what_the_functions_say(capsys: pytest.CaptureFixture[str]) -> None:
    data = valid(output(capsys, FULL, "--format", "json", "--link", "logit", "--scale", "linear"))
    assert (data["kind"], data["method"], data["format"]) == ("sensitivity", "fit", 1)
    trial = data["trials"][0]
    read = read_trial_files([FULL])[0]
    a = analyse(read.trials, LOGIT)
    assert isinstance(a.result, Fit)
    assert trial["sha256"] == read.sha256
    assert trial["curve"]["mu"] == a.result.mu
    assert a.all_fire is not None
    assert trial["all_fire"]["bound"] == a.all_fire.bound
    assert trial["unit"] == "A"
    assert len(trial["other_curves"]) == 6


def test_open_bounds_are_null_and_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Gorla et al. (2017), Table 9: the level is not shown to matter at 95 %."""
    data = SETS["fatigue-951"]
    rows = zip(data["level"], data["lit"], strict=True)
    file = written(tmp_path, "level_kPa,result\n" + "".join(f"{x},{y}\n" for x, y in rows))
    trial = valid(output(capsys, file, "--format", "json"))["trials"][0]
    assert trial["all_fire"]["bound"] is None
    assert trial["curve"]["shares"][1]["profile_low"] is None
    assert trial["curve"]["level_matters"] is False
    text = " ".join(output(capsys, file).split())
    assert "the trials give no bound" in text
    assert "no bound on either side" in text
    assert "do not show that the level matters" in text


def test_another_confidence_is_not_called_the_published_one(
    capsys: pytest.CaptureFixture[str],
) -> None:
    text = " ".join(output(capsys, FULL, "--confidence", "0.9").split())
    assert "All-fire and no-fire are defined at 95 % confidence; these bounds have 90 %." in text


def test_a_misfit_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Morgan (1992), Table 3.9, deguelin: the logistic curve does not fit."""
    rows = "5.128,49,16\n10,48,18\n20.417,48,34\n30.2,49,47\n40.738,50,47\n50.119,48,48\n"
    file = written(tmp_path, "level_A,tried,lit\n" + rows)
    assert "The curve does not fit" in output(capsys, file, "--link", "logit")


def test_up_and_down(capsys: pytest.CaptureFixture[str]) -> None:
    arguments = [STEPS, "--method", "up-and-down", "--scale", "linear"]
    text = " ".join(output(capsys, *arguments).split())
    # by hand: 19 lit, lowest at 0.36 A, steps of 0.02 A, A = 22
    assert f"half light at {0.36 + 0.02 * (22 / 19 - 0.5):.4f} A (Dixon and Mood)" in text
    assert "Standard errors are not given" in text
    data = valid(output(capsys, *arguments, "--format", "json"))["trials"][0]
    assert data["dixon_mood"]["standard_errors"] is None
    assert data["dixon_mood"]["N"] == 19
    text = " ".join(output(capsys, FULL, "--method", "up-and-down").split())
    assert "the formulas do not apply" in text
    data = valid(output(capsys, FULL, "--method", "up-and-down", "--format", "json"))
    assert data["trials"][0]["dixon_mood"] is None
    assert data["trials"][0]["does_not_apply"]


def test_next(capsys: pytest.CaptureFixture[str]) -> None:
    arguments = [EARLY, "--method", "next", "--guess", "0.25", "0.6"]
    text = output(capsys, *arguments)
    level = next_level(
        read_trial_files([EARLY])[0].trials.order or (),
        guess_from_levels(0.25, 0.6, None, "log10"),
        "log10",
    ).level
    assert f"Next level: {level:.4f} A" in text
    assert "stage overlap" in text
    data = valid(output(capsys, *arguments, "--format", "json"))["trials"][0]
    assert data["next_level"] == level
    assert data["stage"] == "overlap"


def test_a_next_level_that_is_none_is_doubted(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = written(tmp_path, "level_C,result\n1,1\n")
    text = output(capsys, file, "--method", "next", "--scale", "linear", "--guess", "-20", "20")
    assert "the level is not above 0" in " ".join(text.split())


def test_problems_of_all_files_with_their_places(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    first = written(tmp_path, "level_A,result\n0.3,maybe\n-1,lit\n", "first.csv")
    second = written(tmp_path, "level,result\n1,1\n", "second.csv")
    assert run(["bench", "sensitivity", first, second]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    for place in (f"{first}:2:5", f"{first}:3:1", f"{second}:1:1"):
        assert place in said.err
    assert "3 problems" in said.err
    assert "Traceback" not in said.err


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        ([], "Missing argument"),
        ([FULL, "--method", "next"], "--guess"),
        ([FULL, "--guess", "1", "2"], "--method next"),
        ([FULL, "--method", "next", "--guess", "2", "1"], "above the low end"),
        ([FULL, "--method", "next", "--guess", "nan", "1"], "not a number"),
        ([FULL, "--confidence", "nan"], "not a number"),
        ([FULL, "--method", "next", "--guess", "-1", "1"], "above 0"),
        ([FULL, "--method", "next", "--guess", "1", "2", "--guess-spread", "-1"], "above 0"),
        ([FULL, "--confidence", "0.5"], "0.5"),
        ([FULL, "--confidence", "1"], "0.9999"),
        ([FULL, "--link", "normal"], "probit"),
        ([FULL, EARLY, "--plot", "x.svg"], "one FILE"),
        ([FULL, "--plot", "x.png"], ".svg"),
        (["no-such.csv"], "there is no such file"),
    ],
)
def test_wrong_usage(arguments: list[str], word: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["bench", "sensitivity", *arguments]) == 2
    assert word in capsys.readouterr().err


def test_without_scipy_the_extra_is_named(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    import importlib.util

    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    assert run(["bench", "sensitivity", FULL]) == 2
    assert "bridgewire[bench]" in capsys.readouterr().err


def test_output_and_plot_go_to_files(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    report, plot = tmp_path / "report.txt", tmp_path / "curve.svg"
    assert output(capsys, FULL, "--output", str(report), "--plot", str(plot)) == ""
    assert "all-fire" in report.read_text(encoding="utf-8")
    root = ElementTree.fromstring(plot.read_text(encoding="utf-8"))
    assert root.tag.endswith("svg")
    circles = [e for e in root.iter() if e.tag.endswith("circle")]
    assert len(circles) == 21


@pytest.mark.parametrize("option", ["--output", "--plot"])
def test_trials_are_not_overwritten(option: str, tmp_path: Path) -> None:
    text = Path(FULL).read_text(encoding="utf-8")
    file = written(tmp_path, text, "trial.svg")
    assert run(["bench", "sensitivity", file, option, file]) == 2
    assert Path(file).read_text(encoding="utf-8") == text


@pytest.mark.parametrize("scale", ["log", "linear"])
def test_a_plot_without_a_curve_says_so(
    scale: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plot = tmp_path / "curve.svg"
    output(capsys, EARLY, "--plot", str(plot), "--scale", scale)
    text = plot.read_text(encoding="utf-8")
    assert "no curve: separated" in text
    assert "polyline" not in text


def test_a_hostile_name_does_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    name = "=1+1 <script>\x1b[31m灯" + "x" * 150 + ".csv"
    file = written(tmp_path, "level_A,result\n1,0\n2,1\n3,0\n4,1\n", name)
    plot = tmp_path / "p.svg"
    text = output(capsys, file, "--plot", str(plot))
    assert "\x1b" not in text
    assert all(columns(line) <= 80 for line in text.splitlines())
    svg = plot.read_text(encoding="utf-8")
    ElementTree.fromstring(svg)
    assert "<script>" not in svg
    valid(output(capsys, file, "--format", "json"))
