"""The commands whatif and reach, from outside."""

from __future__ import annotations

import csv
import io
import json
import xml.etree.ElementTree as ET
from itertools import pairwise
from pathlib import Path

import pytest

from bridgewire.cli import reach
from bridgewire.documents.ranges import VOLTAGE_V, WEATHER_C
from bridgewire.report.plain_text import columns
from tests.cli.running import run_command
from tests.cli.shows import CLEAN, write_show
from tests.remedies import shows

JETTY = str(Path(__file__).parents[2] / "examples" / "jetty-trial.toml")
REACH = [
    "reach",
    "harrowmere",
    "generic",
    "--box",
    "heron",
    "--class",
    "clip-on-short",
    "--cable",
    "shore-cable",
    "--count",
    "1",
    "--count",
    "2",
    "--longest-m",
    "100",
]


@pytest.mark.parametrize("width", [80, 130])
def test_a_sweep_keeps_the_width(width: int) -> None:
    done = run_command(
        "whatif", JETTY, "--set", "run[chain-1].length_m=5,20", "--width", str(width)
    )
    assert done.returncode == 0, done.stderr
    assert all(columns(line) <= width for line in done.stdout.splitlines())


@pytest.mark.parametrize(("cue", "ends"), [("empty", "-        -"), ("again", "-        -")])
def test_a_cue_that_lights_nothing_is_not_said_to_be_late(
    tmp_path: Path, cue: str, ends: str
) -> None:
    more = "".join(
        f'[[cue]]\nid = "{name}"\nfire = "heron-1/1/{way}"\ntime_s = {at}\npulse_s = 0.1\n'
        for name, way, at in (("empty", 2, 20), ("again", 1, 30))
    )
    show = str(write_show(tmp_path, CLEAN + more))
    setting = ("--set", "site.ambient_C=10")
    done = run_command("whatif", show, *setting, "--cue", cue)
    assert done.returncode == 0, done.stderr
    (row,) = (line for line in done.stdout.splitlines() if line.strip().startswith("10 "))
    assert row.rstrip().endswith(ends), row
    # Beside others it takes nothing from their figures.
    both = run_command("whatif", show, *setting, "--cue", cue, "--cue", "opening")
    alone = run_command("whatif", show, *setting, "--cue", "opening")
    figures = [
        next(x for x in done.stdout.splitlines() if x.strip().startswith("10 ")).split()[-2:]
        for done in (both, alone)
    ]
    assert figures[0] == figures[1]
    assert "?" not in figures[1]


@pytest.mark.parametrize("number", [1, 2, 3, 4, 6])
def test_several_settings_keep_the_width(number: int) -> None:
    places = [
        "run[chain-1].length_m",
        "cue[chain].pulse_s",
        "site.ambient_C",
        "requirements.margin",
    ]
    places += ["requirements.spread_s", "requirements.latest_light_s"]
    settings = [a for place in places[:number] for a in ("--set", f"{place}=2")]
    done = run_command("whatif", JETTY, *settings, "--width", "80")
    assert done.returncode == 0, done.stderr
    assert all(columns(line) <= 80 for line in done.stdout.splitlines())
    assert "2" in done.stdout.split("not sure")[1]


def test_a_sweep_as_csv_and_json_says_the_same() -> None:
    arguments = ["whatif", JETTY, "--set", "site.ambient_C=-10,25", "--cue", "splitter"]
    rows = list(csv.DictReader(io.StringIO(run_command(*arguments, "--format", "csv").stdout)))
    data = json.loads(run_command(*arguments, "--format", "json").stdout)
    assert [float(r["site.ambient_C"]) for r in rows] == [-10, 25]
    for row, other in zip(rows, data["rows"], strict=True):
        assert float(row["margin"]) == pytest.approx(other["margin"], rel=1e-5)
        assert int(row["sure_cues"]) == other["cues"]["sure"]
    # Copper conducts better in the cold, but the battery does worse.
    assert rows[0]["margin"] != rows[1]["margin"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("run[chian-1].length_m=3", "did you mean 'chain-1'?"),
        ("run[chain-1].length_m", "expected PLACE=VALUES"),
        ("box[heron-1].supply_V=1..2/0", "expected LOW..HIGH/STEP"),
        ("title[x].y=1", "is no list of the show"),
    ],
)
def test_settings_that_cannot_be_read_are_exit_code_2(text: str, words: str) -> None:
    done = run_command("whatif", JETTY, "--set", text)
    assert done.returncode == 2
    assert words in done.stderr
    assert "Traceback" not in done.stderr


def test_ids_from_outside_are_made_harmless_in_a_sweep(tmp_path: Path) -> None:
    name = "=1+1\u202e<b>"
    text = shows.HEAD + shows.strip("west") + shows.run("heron-1/1", "west", 42)
    text += shows.igniter("comet", "west/1") + shows.cue(name, "heron-1/1/1", 10, 0.5)
    file = tmp_path / "show.toml"
    file.write_text(text, encoding="utf-8")
    setting = ["whatif", str(file), "--set", "run[west].length_m=42"]
    assert "\u202e" not in run_command(*setting).stdout
    (row,) = csv.DictReader(io.StringIO(run_command(*setting, "--format", "csv").stdout))
    assert row["first_not_sure"].startswith("'=")


def test_reach_as_text_csv_and_json_says_the_same() -> None:
    text = run_command(*REACH)
    assert text.returncode == 0, text.stderr
    assert all(columns(line) <= 80 for line in text.stdout.splitlines())
    rows = list(csv.DictReader(io.StringIO(run_command(*REACH, "--format", "csv").stdout)))
    data = json.loads(run_command(*REACH, "--format", "json").stdout)
    (cable,) = data["cables"]
    for row, other in zip(rows, cable["reaches"], strict=True):
        assert float(row["sure_m"]) == pytest.approx(other["sure_m"], abs=0.01)
        assert f"{int(float(row['sure_m']))} (" in text.stdout
    assert all(a["sure_m"] > b["sure_m"] > 0 for a, b in pairwise(cable["reaches"]))


def test_reach_charts_are_well_formed(tmp_path: Path) -> None:
    svg = tmp_path / "reach.svg"
    assert run_command(*REACH, "--plot", str(svg)).returncode == 0
    root = ET.fromstring(svg.read_text(encoding="utf-8"))
    assert root.tag.endswith("svg")
    texts = [t.text for t in root.iter("{http://www.w3.org/2000/svg}text")]
    assert "harrowmere:shore-cable" in texts
    pytest.importorskip("resvg_py")
    png = tmp_path / "reach.png"
    assert run_command(*REACH, "--plot", str(png)).returncode == 0
    assert png.read_bytes().startswith(b"\x89PNG\r\n")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--box", "heronn"], "did you mean"),
        (["--plot", "x.gif"], "must end in .svg or .png"),
        (["--ambient-C", "10", "-10"], "10 is more than -10"),
        (["--ambient-C", "0", "inf"], "'inf' is not a number"),
        (["--ambient-C", "-300", "0"], "-300"),
        (["--supply-V", "-5", "5"], "-5"),
        (["--supply-V", "nan", "5"], "'nan' is not a number"),
        (["--cable", "nothing"], "no kit has a cable 'nothing'"),
    ],
)
def test_wrong_usage_of_reach_is_exit_code_2(arguments: list[str], words: str) -> None:
    done = run_command(*REACH, *arguments)
    assert done.returncode == 2
    assert words in done.stderr
    assert "Traceback" not in done.stderr


def test_reach_takes_the_weather_and_voltages_of_a_show() -> None:
    for option, key in ((reach._WEATHER_C, WEATHER_C), (reach._VOLTAGE_V, VOLTAGE_V)):
        assert (option.min, option.max) == (key.low, key.high)


def test_values_of_which_none_can_be_used_are_bad_input() -> None:
    done = run_command("whatif", JETTY, "--set", "run[*].length_m=abc,-5,x2=3")
    assert done.returncode == 2
    assert done.stdout.count("cannot be used") == 3
    assert run_command("whatif", JETTY, "--set", "run[*].length_m=-5,20").returncode == 0


def test_reach_names_what_no_kit_has() -> None:
    done = run_command("reach", "harrowmere", "--box", "heron", "--class", "no such")
    assert done.returncode == 2
    assert "no kit has an igniter class 'no such'" in done.stderr
