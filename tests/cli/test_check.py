from __future__ import annotations

import json
import re
import sys
from pathlib import Path

import jsonschema
import pytest

import bridgewire
from bridgewire.cli import terminal
from bridgewire.cli.main import run
from tests.cli.running import run_command, run_on_terminal
from tests.cli.shows import BAD, CLEAN, KITS, SMALL, write_show

SCHEMA = json.loads(
    (Path(bridgewire.__file__).parent / "schemas" / "report-1.json").read_text(encoding="utf-8")
)


def test_text_without_a_terminal_is_plain_and_80_columns() -> None:
    done = run_command("check", SMALL.name, cwd=SMALL.parent)
    assert "\x1b" not in done.stdout
    assert done.stderr == ""
    assert done.stdout.startswith("Boathouse Proms, rehearsal\n")
    assert max(len(line) for line in done.stdout.splitlines()) <= 80
    assert "bench 3" in done.stdout
    assert "4 to 15 °C (typical 9)" in done.stdout


def test_colour_on_a_terminal_unless_it_is_not_wanted() -> None:
    code, shown = run_on_terminal("check", str(SMALL))
    assert code == 1
    assert "\x1b[1;31m" in shown
    for env in ({"NO_COLOR": "1"}, {"TERM": "dumb"}):
        assert "\x1b[" not in run_on_terminal("check", str(SMALL), env=env)[1]
    assert "\x1b[" not in run_on_terminal("check", str(SMALL), "--colour", "never")[1]
    assert "\x1b[1;31m" in run_command("check", str(SMALL), "--colour", "always").stdout


def test_the_words_are_the_same_with_and_without_a_terminal() -> None:
    plain = run_command("check", str(SMALL)).stdout
    shown = run_on_terminal("check", str(SMALL))[1]
    assert re.sub(r"\x1b\[[0-9;]*m", "", shown).replace("\r\n", "\n") == plain


def test_progress_is_for_terminals_and_long_work(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(terminal, "_LONG_S", 0.0)
    assert run(["check", str(SMALL)]) == 1
    assert capsys.readouterr().err == ""
    with terminal.progress("night") as step:
        assert step is None
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    with terminal.progress("night") as step:
        assert step is not None
        for done in range(5):
            step(done, 4)
    assert "night" in capsys.readouterr().err
    monkeypatch.setattr(terminal, "_LONG_S", 1e9)
    with terminal.progress("night") as step:
        assert step is not None
        step(1, 4)
    assert capsys.readouterr().err == ""


def test_names_in_a_show_cannot_act_on_the_terminal(tmp_path: Path) -> None:
    text = CLEAN.replace("Quiet night", "Quiet\\u001b[2J\\u202enight")
    file = write_show(tmp_path, text)
    done = run_command("check", str(file))
    assert done.returncode == 0
    assert "\x1b" not in done.stdout
    assert "\u202e" not in done.stdout
    assert "Quiet\\x1b[2J\\u202enight" in done.stdout


def test_json_fits_its_schema(capsys: pytest.CaptureFixture[str]) -> None:
    for extra in ([], ["--kit", "bench", "--kit", "generic"]):
        run(["check", str(SMALL), "--format", "json", *extra])
        data = json.loads(capsys.readouterr().out)
        jsonschema.Draft202012Validator(SCHEMA).validate(data)
    assert len(data["comparisons"][0]["kit_lists"]) == 3


def test_several_shows_have_a_summary_line_each(tmp_path: Path) -> None:
    clean = write_show(tmp_path, CLEAN, "clean.toml")
    bad = write_show(tmp_path, BAD, "bad.toml")
    done = run_command("check", str(SMALL), "bad.toml", clean.name, cwd=bad.parent)
    assert done.returncode == 2
    assert "Quiet night" in done.stdout
    assert re.search(r"^  \S*small\.toml( +\d+){7}$", done.stdout, re.M)
    assert re.search(r"^  clean\.toml +1 +0 +0 +0 +0( +\d+){2}$", done.stdout, re.M)
    assert re.search(r"^  bad\.toml +not checked, \d+ problems$", done.stdout, re.M)
    assert "1 show could not be read" in done.stdout
    assert re.search(r"^\d+ problems in bad\.toml: it was not checked\.$", done.stderr, re.M)
    assert done.stdout.count("Cautions") == 1


def test_output_goes_to_a_file(tmp_path: Path) -> None:
    file = tmp_path / "report.txt"
    done = run_command("check", str(SMALL), "--output", str(file))
    assert done.returncode == 1
    assert done.stdout == ""
    assert file.read_text(encoding="utf-8") == run_command("check", str(SMALL)).stdout


def test_all_and_verbose_show_more(capsys: pytest.CaptureFixture[str]) -> None:
    texts = []
    for extra in ([], ["-v"], ["-v", "--all"]):
        run(["check", str(SMALL), *extra])
        texts.append(capsys.readouterr().out)
    assert "    opener" not in texts[0]
    assert "    opener" in texts[1]
    assert "--all shows them" not in texts[2]


def test_the_width_that_is_asked_for_decides_on_the_columns(
    capsys: pytest.CaptureFixture[str],
) -> None:
    run(["check", str(SMALL), "--width", "120"])
    assert "most voltage lost in" in capsys.readouterr().out


def rows_of(text: str) -> dict[str, list[str]]:
    """Cells of the first table of a comparison, by the name of the row."""
    rows: dict[str, list[str]] = {}
    for line in text.splitlines():
        rows.setdefault(line[:29].strip(), line[29:].split())
    return rows


OTHER = """format = 1
id = "{id}"
[[contact]]
id = "plug"
contact_ohm = 0.01
[[cable]]
id = "reel"
metal = "copper"
stranding = "stranded"
conductors = 16
area_mm2 = 2.5
"""


def other_kit(folder: Path, name: str, *, whole: bool) -> Path:
    """The bench kit with thick cable, or a kit that has no box."""
    text = OTHER.format(id=name)
    if whole:
        bench = (KITS / "bench.toml").read_text(encoding="utf-8")
        text = bench.replace('id = "bench"', f'id = "{name}"').replace(
            "ohm_per_m = { min = 0.081, typical = 0.0842, max = 0.088 }",
            "ohm_per_m = { min = 0.007, typical = 0.0075, max = 0.008 }",
        )
        text = text.replace("gauge_awg = 24\n", "area_mm2 = 2.5\n")
    file = folder / f"{name}.toml"
    file.write_text(text, encoding="utf-8")
    return file


def test_kit_lists_side_by_side(tmp_path: Path) -> None:
    other_kit(tmp_path, "thick", whole=True)
    other_kit(tmp_path, "poor", whole=False)
    text = SMALL.read_text(encoding="utf-8").replace('"bench:', '"')
    text = text[: text.index('[[cue]]\nid = "riddle"')]
    text = text.replace('[[igniter]]\nid = "riddle"\nat = "jetty-1/3"\nclass = "unmeasured"\n', "")
    file = write_show(tmp_path, text)
    done = run_command("check", str(file), "--kit", "thick", "--kit", "poor", "--kit", "poor+thick")
    rows = rows_of(done.stdout)
    assert "A  as written: bench" in done.stdout
    assert "D  poor + thick" in done.stdout
    assert rows["fires the show"][:2] == ["not", "surely"]
    assert "lacks parts" in done.stdout
    assert rows["igniters sure"][0] != "4"
    assert rows["igniters sure"][1] == "4"
    assert re.search(r"C  poor: lacks parts\n(.*\n)*?.*heron", done.stdout)
    margins = rows["least margin, worst corner"]
    assert float(margins[1]) > float(margins[0])
    assert margins[2] == "-"


def test_a_kit_that_is_not_there_is_said_in_its_column() -> None:
    done = run_command("check", str(SMALL), "--kit", "nowhere", "--kit", "bench")
    assert "there is no kit profile 'nowhere'" in " ".join(done.stdout.split())
    assert "Traceback" not in done.stderr
    assert done.returncode == 1


def test_the_exit_code_asks_whether_any_other_kit_will_do(tmp_path: Path) -> None:
    other_kit(tmp_path, "poor", whole=False)
    file = write_show(tmp_path, CLEAN.replace('"bench:', '"'))
    assert run(["check", str(file), "--kit", "poor"]) == 1
    assert run(["check", str(file), "--kit", "poor", "--kit", "bench"]) == 0


def test_swapping_one_part_for_another(tmp_path: Path) -> None:
    other_kit(tmp_path, "thick", whole=True)
    file = write_show(tmp_path, CLEAN)
    done = run_command("check", str(file), "--swap", "bench:reel=thick:reel", "--verbose")
    assert "B  bench with thick:reel for bench:reel" in done.stdout
    rows = rows_of(done.stdout)
    written, swapped = rows["least margin, worst corner"]
    assert float(swapped) > float(written)
    whole = run_command("check", str(file), "--swap", "bench=thick")
    rows = rows_of(whole.stdout)
    assert rows["least margin, worst corner"] == [written, swapped]
