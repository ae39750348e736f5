"""``bridgewire check --advise``: remedies beside the findings that they clear."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from bridgewire.cli.main import run
from tests.cli.running import run_command

ROOT = Path(__file__).parents[2]
JETTY = ROOT / "examples" / "jetty-trial.toml"


def test_remedies_stand_beside_findings_in_every_report(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page, data = tmp_path / "r.html", tmp_path / "r.json"
    code = run(
        ["check", str(JETTY), "--advise", "--write", f"html={page}", "--write", f"json={data}"]
    )
    text = capsys.readouterr().out
    assert code == 1
    assert all(len(line) <= 80 for line in text.splitlines())
    report = json.loads(data.read_text(encoding="utf-8"))
    schema = json.loads(run_command("schema", "report").stdout)
    jsonschema.Draft202012Validator(schema).validate(report)
    (show,) = report["shows"]
    first = show["remedies"][0]
    finding = show["findings"][first["finding"]]
    assert finding["subjects"][0] == "chain"
    assert first["before"].startswith("margin 0.26")
    assert float(first["after"].split()[1]) > 1.0
    minded = [r for r in show["remedies"] if "of class" in r["text"]]
    assert minded
    assert all("mind: a" in r["cost"] and "fitted to the article" in r["cost"] for r in minded)
    # An igniter that goes to a new cue counts: the figures are those of the advice.
    advice = json.loads(run_command("advise", str(JETTY), "--format", "json").stdout)
    remedies = [r for group in advice["groups"] for r in group["remedies"]]
    after = {r["number"]: r["after"]["margin"] for r in remedies}
    assert show["remedies"]
    for told in show["remedies"]:
        number = int(told["text"].split("(remedy ")[1].split()[0])
        assert told["after"] == f"margin {after[number]:.2f}"
    # Told whole once, by number afterwards.
    assert text.count("(remedy 1 of bridgewire") + text.count("(remedy 1 of\n") >= 1
    assert "Or: remedies 1, 2 above" in " ".join(text.split())
    assert "margin 0.26 -> " in text
    html = page.read_text(encoding="utf-8")
    assert html.count('class="remedies"') == len({r["finding"] for r in show["remedies"]})
    assert "bridgewire advise SHOW tells what to change" not in text


def test_without_it_nothing_is_worked_out(capsys: pytest.CaptureFixture[str]) -> None:
    run(["check", str(JETTY), "--format", "json"])
    assert json.loads(capsys.readouterr().out)["shows"][0]["remedies"] is None


def test_not_beside_other_kit() -> None:
    done = run_command("check", str(JETTY), "--advise", "--kit", "generic")
    assert done.returncode == 2
    assert "--advise is for shows as written" in done.stderr
