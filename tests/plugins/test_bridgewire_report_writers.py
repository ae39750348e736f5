"""The hook `bridgewire_report_writers`: reports in formats of plugins, written by us."""

from __future__ import annotations

from pathlib import Path

import pytest

from bridgewire.plugins import load_plugins
from tests.cli.running import run_command
from tests.plugins.distributions import install
from tests.plugins.shows import KIT_DIRS, write_show

PLUGIN = """
@hookimpl
def bridgewire_report_writers(context):
    return [ReportWriter("tally", write, title="one line for each cue")]


def write(context):
    assert len(context.cautions) == 3
    lines = [
        f"{report.title}: {cue.id} {cue.verdict.value}"
        for report in context.reports
        for cue in report.cues
    ]
    return "\\n".join(lines) + "\\n"
"""
KIT_DIR = str(KIT_DIRS[0])
FINDINGS = 1
"""The show has an error: the supply's reading is not what the kit says."""


def check(site: Path, *arguments: str) -> tuple[int, str, str]:
    done = run_command(
        "check", "--kit-dir", KIT_DIR, *arguments,
        env={"PYTHONPATH": str(site), "BRIDGEWIRE_PLUGINS": "lakeside"},
    )  # fmt: skip
    return done.returncode, done.stdout, done.stderr


def test_a_report_in_a_plugin_s_format(site: Path, tmp_path: Path) -> None:
    install(site, PLUGIN)
    shows = []
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        shows.append(str(write_show(tmp_path / name)))
    code, out, err = check(site, *shows, "--format", "tally")
    assert (code, out, err) == (FINDINGS, "Case: go sure\n" * 2, "")


def plugin_that_writes(body: str) -> str:
    return PLUGIN[: PLUGIN.index("def write")] + f"def write(context):\n    {body}\n"


def test_bytes_are_written_as_they_are(site: Path, tmp_path: Path) -> None:
    install(site, plugin_that_writes("return b'\\xff\\x00'"))
    output = tmp_path / "tally.bin"
    show = str(write_show(tmp_path))
    assert check(site, show, "--format", "tally", "--output", str(output)) == (FINDINGS, "", "")
    assert output.read_bytes() == b"\xff\x00"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["show.toml", "site", "tally.bin"]


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ("raise KeyError('sluice')", "failed in report writer 'tally'"),
        ("return 5", "an object of type int"),
        ("return '\\ud800'", "failed in report writer 'tally'"),
    ],
)
def test_a_writer_that_goes_wrong_leaves_the_file_as_it_was(
    site: Path, tmp_path: Path, body: str, words: str
) -> None:
    install(site, plugin_that_writes(body))
    output = tmp_path / "tally.txt"
    output.write_text("before", encoding="utf-8")
    show = str(write_show(tmp_path))
    code, out, err = check(site, show, "--format", "tally", "--output", str(output))
    assert (code, out) == (2, "")
    assert "PLG002" in err
    assert words in " ".join(err.split())
    assert output.read_text(encoding="utf-8") == "before"


def test_a_format_that_nobody_writes(site: Path, tmp_path: Path) -> None:
    install(site, PLUGIN)
    code, _, err = check(site, str(write_show(tmp_path)), "--format", "sums")
    assert code == 2
    said = " ".join(err.split())
    assert "there is no format 'sums'; there are: text, json," in said
    assert said.endswith(", tally")


def test_a_comparison_has_no_plugin_s_format(site: Path, tmp_path: Path) -> None:
    install(site, PLUGIN)
    code, _, err = check(site, str(write_show(tmp_path)), "--format", "tally", "--kit", "generic")
    assert code == 2
    assert "a comparison (--kit, --swap) is text or json" in " ".join(err.split())


@pytest.mark.parametrize("name", ["text", "json"])
def test_our_own_names_are_taken(site: Path, name: str) -> None:
    install(site, PLUGIN.replace("tally", name))
    (finding,) = load_plugins().findings
    assert finding.code == "PLG002"
    assert f"the name {name!r} is bridgewire's own" in finding.message
