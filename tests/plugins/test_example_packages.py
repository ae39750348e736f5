"""The example packages, a broken one and one for an older API, installed by pip and exercised."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from bridgewire.testing import small_show

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = ROOT / "examples" / "packages"
PACKAGES = (
    EXAMPLES / "harrowmere-kit",
    EXAMPLES / "harrowmere-plugin",
    *(ROOT / "tests" / "plugins" / "packages" / f"harrowmere-{n}" for n in ("broken", "older")),
)
SHEET = EXAMPLES / "harrowmere-plugin" / "tests" / "cues.txt"
BOTH_BANKS = EXAMPLES / "harrowmere-plugin" / "tests" / "cases" / "XHA001" / "fail_both_banks.toml"
MIDWINTER = ROOT / "examples" / "midwinter-small.toml"


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the four packages installed; nothing is fetched."""
    folder = tmp_path_factory.mktemp("installed") / "site"
    command = [sys.executable, "-m", "pip", "install", "--quiet", "--no-index", "--no-deps"]
    command += ["--no-build-isolation", "--disable-pip-version-check", "--target", str(folder)]
    done = subprocess.run(
        [*command, *map(str, PACKAGES)], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    return folder


def run(
    site: Path, *words: str, plugins: str = "harrowmere", cwd: Path | None = None
) -> tuple[int, str, str]:
    """Exit code, output and errors of a Python program with the packages installed."""
    environment = {
        **{k: v for k, v in os.environ.items() if not k.startswith(("BRIDGEWIRE", "PYTEST"))},
        "PYTHONPATH": str(site),
        "BRIDGEWIRE_PLUGINS": plugins,
        "XDG_CONFIG_HOME": str(site / "no-config"),
        "COLUMNS": "100",
    }
    done = subprocess.run(
        [sys.executable, *words],
        capture_output=True,
        text=True,
        check=False,
        cwd=site if cwd is None else cwd,
        env=environment,
    )
    return done.returncode, done.stdout, done.stderr


def checked(site: Path, *files: Path, plugins: str = "harrowmere") -> Any:
    """What ``bridgewire check`` reports, as data."""
    words = ["-m", "bridgewire", "check", "--format", "json", *map(str, files)]
    code, out, err = run(site, *words, plugins=plugins)
    assert code in (0, 1), err
    return json.loads(out)


def codes(show: Any) -> set[str]:
    return {finding["code"] for finding in show["findings"]}


def test_all_are_listed(site: Path) -> None:
    code, out, _ = run(site, "-m", "bridgewire", "plugins", plugins="all")
    assert code == 1
    assert re.search(r"^harrowmere +loaded$", out, re.M)
    for words in ("rule XHA001", "igniter model damp-head", "cue importer mere-sheet",
                  "report writer call-sheet", "harrowmere-plugin 0.3"):  # fmt: skip
        assert words in out
    for name, version in (("broken", "0.7"), ("older", "0.1")):
        assert re.search(rf"^harrowmere-{name} +broken$", out, re.M)
        assert f"harrowmere-{name} {version}" in out
    assert re.search(r"package +harrowmere-kit ", out)
    code, out, _ = run(site, "-m", "bridgewire", "kits", "list", plugins="all")
    assert code == 0
    assert "harrowmere-shed 2026-06-14" in out
    assert "harrowmere-damp" in out, "a profile that a plugin's hook brings"


def test_the_kit_is_found_without_an_import(site: Path) -> None:
    code = (
        "import sys\n"
        "from bridgewire.kits.discovery import find_kits, kit_folders\n"
        "print(find_kits(['harrowmere-shed'], kit_folders(None))['harrowmere-shed'].kit.title)\n"
        "print([m for m in sys.modules if m.startswith('harrowmere')])\n"
    )
    _, out, err = run(site, "-c", code, plugins="all")
    assert out.splitlines() == ["Harrowmere shed kit, measured", "[]"], err


def test_the_rule_fires_and_has_its_page(site: Path) -> None:
    (show,) = checked(site, BOTH_BANKS)["shows"]
    (found,) = [f for f in show["findings"] if f["code"] == "XHA001"]
    assert (found["severity"], found["measured"], found["limit"]) == ("warning", 60.0, 25.0)
    assert show["plugins"], "the report names the plugins that it rests on"
    (show,) = checked(site, BOTH_BANKS, plugins="none")["shows"]
    assert "XHA001" not in codes(show)
    code, out, _ = run(site, "-m", "bridgewire", "explain", "XHA001")
    assert code == 0
    assert "one spotter" in out


def test_the_model_changes_light_times(site: Path, tmp_path: Path) -> None:
    files = [
        small_show(
            tmp_path,
            name=f"{igniter.partition(':')[2]}.toml",
            kits=("harrowmere-damp", "harrowmere", "generic"),
            igniter=igniter,
            length_m=50.0,
            pulse_s=1.0,
        )
        for igniter in ("harrowmere:lantern-match", "harrowmere-damp:damp-match")
    ]
    dry, damp = checked(site, *files)["shows"]
    cues = [show["cues"][0]["igniters"][0] for show in (dry, damp)]
    assert [c["verdict"] for c in cues] == ["sure", "sure"]
    times = [c["light_s"]["typical"] for c in cues]
    # At first four fifths of the heat go into drying, at 0.9 of the rise nothing.
    assert times[0] * 1.3 < times[1] < times[0] * 5.0


def test_the_importer_reads_a_cue_sheet(site: Path, tmp_path: Path) -> None:
    text = MIDWINTER.read_text(encoding="utf-8").partition("[[cue]]")[0]
    text += '[cue_list]\nfile = "cues.txt"\nimporter = "mere-sheet"\n'
    show = tmp_path / "show.toml"
    show.write_text(text + "options = { offset_s = 5 }\n", encoding="utf-8")
    sheet = tmp_path / "cues.txt"
    sheet.write_text(SHEET.read_text(encoding="utf-8"), encoding="utf-8")
    (report,) = checked(site, show)["shows"]
    assert [(c["id"], c["switch_s"]) for c in report["cues"]] == [
        ("twin comets", 15.0), ("lances", 31.5), ("crackle", 50.0)
    ]  # fmt: skip
    sheet.write_text("box heron-1\n0:10  1/1  a\n0:99  1/1  b\n", encoding="utf-8")
    code, _, err = run(site, "-m", "bridgewire", "check", str(show))
    assert code == 2
    assert "cues.txt:3:1: DOC016 '0:99' is no time" in err


def test_the_report_writer_writes(site: Path) -> None:
    words = ["-m", "bridgewire", "check", "--format", "call-sheet", str(MIDWINTER)]
    code, out, err = run(site, *words)
    assert code == 0, err
    assert out.splitlines()[:2] == [
        "CALL SHEET: Midwinter on the Mere", "0:10.0  twin comets  [sure]"
    ]  # fmt: skip


def test_broken_and_older_ones_are_findings_that_name_them(site: Path) -> None:
    (show,) = checked(site, MIDWINTER, plugins="all")["shows"]
    told = {f["subjects"][0]: f for f in show["findings"] if f["code"].startswith("PLG")}
    assert {(f["code"], f["severity"]) for f in told.values()} == {("PLG001", "error")}
    broken = told["harrowmere-broken"]["message"]
    assert "plugin 'harrowmere-broken' (harrowmere-broken 0.7)" in broken
    assert "FileNotFoundError" in broken
    assert "left-out.csv" in broken
    older = told["harrowmere-older"]["message"]
    assert "plugin 'harrowmere-older' (harrowmere-older 0.1)" in older
    assert "API version 0" in older
    assert [c["verdict"] for c in show["cues"]] == ["sure"] * 3


def test_broken_ones_can_be_allowed(site: Path) -> None:
    words = ["-m", "bridgewire", "check", str(MIDWINTER)]
    assert run(site, *words, plugins="all")[0] == 1
    code, out, _ = run(site, *words, "--allow-broken-plugins", plugins="all")
    assert code == 0
    assert "PLG001" in out


def test_none_is_loaded_where_none_is_wanted(site: Path) -> None:
    (show,) = checked(site, MIDWINTER, plugins="none")["shows"]
    assert not {c for c in codes(show) if c[:3] in ("PLG", "XHA")}
    code = (
        "import sys, bridgewire\n"
        f"bridgewire.check({str(MIDWINTER)!r})\n"
        "print([m for m in sys.modules if m.startswith('harrowmere')])\n"
    )
    _, out, err = run(site, "-c", code, plugins="none")
    assert out == "[]\n", err
    code_of_list, out, _ = run(site, "-m", "bridgewire", "plugins", plugins="none")
    assert code_of_list == 0
    assert out.count(" off\n") == 3


@pytest.mark.parametrize("package", PACKAGES[:2], ids=lambda p: p.name)
def test_the_examples_own_tests_pass(site: Path, package: Path, tmp_path: Path) -> None:
    shutil.copytree(package, tmp_path / "copy")
    words = ["-m", "pytest", "-q", "-p", "no:cacheprovider", "-W", "error"]
    code, out, err = run(site, *words, cwd=tmp_path / "copy")
    assert code == 0, out + err
    assert re.search(r"^\d+ passed", out, re.M)
