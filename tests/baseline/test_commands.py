"""`bridgewire baseline` and `bridgewire check --baseline`, from beginning to end."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import jsonschema
import pytest

import bridgewire
from bridgewire.cli.main import run
from tests.cli.shows import BAD, write_show

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shows = tmp_path / "shows"
    shows.mkdir()
    shutil.copy(EXAMPLES / "boathouse-troubles.toml", shows / "proms.toml")
    shutil.copy(EXAMPLES / "jetty-trial.toml", shows / "trial.toml")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def output(capsys: pytest.CaptureFixture[str]) -> tuple[str, str]:
    said = capsys.readouterr()
    return said.out, said.err


def test_create_check_break_mend_prune(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["check", "shows"]) == 1
    assert run(["baseline", "create", "shows"]) == 0
    said, _ = output(capsys)
    assert "of 2 shows known" in said
    assert "about the safety of people (SAF006, SAF009)" in said
    first = (folder / "baseline.toml").read_text(encoding="utf-8")
    assert 'show = "shows/proms.toml"' in first

    assert run(["check", "shows", "--baseline", "baseline.toml", "--fail-on", "warning"]) == 0
    said, _ = output(capsys)
    assert "besides 41 known" in said
    assert "SAF006: igniter 'fountain 2'" in said
    assert "No show has a new error or warning" not in said  # verdicts are still not sure

    trial = folder / "shows" / "trial.toml"
    text = trial.read_text(encoding="utf-8")
    trial.write_text(text.replace("pulse_s = 2.0", "pulse_s = 0.1"), encoding="utf-8")
    assert run(["check", "shows", "--baseline", "baseline.toml"]) == 1
    output(capsys)
    assert run(["baseline", "prune", "shows", "--dry-run"]) == 1
    assert (folder / "baseline.toml").read_text(encoding="utf-8") == first
    assert "would go: shows/trial.toml" in output(capsys)[0]

    mended = text.replace('"harrowmere", "generic"', '"harrowmere", "generic"')
    trial.write_text(mended, encoding="utf-8")
    assert run(["baseline", "prune", "shows", "--dry-run"]) == 0
    assert "all 47 still there" in output(capsys)[0]

    trial.unlink()
    assert run(["baseline", "prune", "shows"]) == 0
    assert "(the show is not there)" in output(capsys)[0]
    after = (folder / "baseline.toml").read_text(encoding="utf-8")
    assert "trial.toml" not in after
    assert after in first or first.startswith(after[:200])
    assert run(["check", "shows", "--baseline", "baseline.toml", "--fail-on", "warning"]) == 0


def test_a_baseline_is_not_replaced_by_accident(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "baseline.toml").write_text("format = 1\n", encoding="utf-8")
    assert run(["baseline", "create", "shows"]) == 2
    assert (folder / "baseline.toml").read_text(encoding="utf-8") == "format = 1\n"
    assert "--update" in output(capsys)[1]


def test_update_keeps_the_entries_of_other_shows(folder: Path) -> None:
    assert run(["baseline", "create", "shows"]) == 0
    whole = (folder / "baseline.toml").read_text(encoding="utf-8")
    assert run(["baseline", "create", "shows/trial.toml", "--update"]) == 0
    assert (folder / "baseline.toml").read_text(encoding="utf-8") == whole


def test_a_show_may_be_named_in_any_way(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["baseline", "create", "shows"]) == 0
    (folder / "elsewhere").mkdir()
    monkeypatch.chdir(folder / "elsewhere")
    for name in ("../shows/proms.toml", str(folder / "shows" / "proms.toml")):
        assert run(["check", name, "--baseline", "../baseline.toml"]) == 0


def test_a_bad_show_or_baseline_changes_nothing(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["baseline", "create", "shows"]) == 0
    before = (folder / "baseline.toml").read_bytes()
    write_show(folder / "shows", BAD, "bad.toml")
    assert run(["baseline", "prune", "shows"]) == 2
    assert run(["baseline", "create", "shows", "--update"]) == 2
    assert (folder / "baseline.toml").read_bytes() == before
    (folder / "baseline.toml").write_text("format = 1\nknwon = []\n", encoding="utf-8")
    output(capsys)
    for command in (
        ["check", "shows/proms.toml", "--baseline"],
        ["baseline", "prune", "--baseline"],
    ):
        assert run([*command, "baseline.toml", "shows/proms.toml"]) == 2
        said = output(capsys)[1]
        assert "baseline.toml:2:1: DOC004" in said
        assert "known" in said
    assert run(["check", "shows/proms.toml", "--baseline", "none.toml"]) == 2
    assert (
        run(["check", "shows/proms.toml", "--baseline", "baseline.toml", "--kit", "generic"]) == 2
    )


def test_the_baseline_is_never_written_over_by_a_report(folder: Path) -> None:
    (folder / "baseline.toml").write_text("format = 1\n", encoding="utf-8")
    show = "shows/proms.toml"
    assert run(["check", show, "--baseline", "baseline.toml", "--output", "baseline.toml"]) == 2
    assert (folder / "baseline.toml").read_text(encoding="utf-8") == "format = 1\n"
    assert run(["baseline", "create", show, "--baseline", show, "--update"]) == 2


def test_known_findings_stand_in_every_output(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["baseline", "create", "shows"]) == 0
    output(capsys)
    names = ("json", "sarif", "junit", "json-lines", "gitlab-code-quality", "github-annotations")
    writes = [w for n in names for w in ("--write", f"{n}={n}.out")]
    arguments = ["check", "shows/proms.toml", "--baseline", "baseline.toml", *writes]
    assert run(arguments) == 0

    def text(name: str) -> str:
        return (folder / f"{name}.out").read_text(encoding="utf-8")

    data = json.loads(text("json"))
    schema = Path(bridgewire.__file__).parent / "schemas" / "report-1.json"
    jsonschema.Draft202012Validator(json.loads(schema.read_text(encoding="utf-8"))).validate(data)
    known = data["shows"][0]["known"]
    assert len(known) == 41
    assert data["shows"][0]["ignored"] == []
    assert all(f["severity"] == "info" for f in data["shows"][0]["findings"])

    results = json.loads(text("sarif"))["runs"][0]["results"]
    unchanged = [r for r in results if r["baselineState"] == "unchanged"]
    assert len(unchanged) == 41
    assert {s["kind"] for r in unchanged for s in r["suppressions"]} == {"external"}
    others = [r for r in results if r["baselineState"] == "new"]
    assert {r["level"] for r in others} == {"note"}
    assert all(r["suppressions"] == [] for r in others)

    lines = [json.loads(line) for line in text("json-lines").splitlines()]
    reasons = [x["ignored"] for x in lines if x["kind"] == "finding" and x["ignored"]]
    assert reasons == 41 * ["known, in the baseline"]
    assert lines[-1]["fails"] is False

    assert "<failure" not in text("junit")
    assert text("junit").count("known: ") >= 41
    assert {v["severity"] for v in json.loads(text("gitlab-code-quality"))} == {"info"}
    assert "::error" not in text("github-annotations")
