"""``pytest --bridgewire``: shows and kit profiles as tests, and the fixtures."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from bridgewire.documents.document_kind import document_kind
from bridgewire.kits.discovery import shipped_profiles_dir
from bridgewire.testing import (
    show_items,  # noqa: F401  (pytester forgets what its runs import; numpy must be kept)
    small_show,
)

pytest_plugins = ["pytester"]

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
KIT = 'format = 1\nid = "club"\n'


@pytest.fixture
def group(pytester: pytest.Pytester) -> Path:
    """A group's folder: a show that passes, one that does not, a kit and other files."""
    folder = pytester.path
    small_show(folder, name="good.toml", igniters=2)
    small_show(folder, name="bad.toml", igniter="generic:clip-on-long", length_m=60.0, pulse_s=0.05)
    (folder / "kits").mkdir()
    (folder / "kits" / "club.toml").write_text(KIT, encoding="utf-8")
    (folder / "other.toml").write_text('[tool]\nname = "else"\n', encoding="utf-8")
    (folder / "data.json").write_text('{"id": 1}', encoding="utf-8")
    return folder


def test_nothing_is_collected_unless_asked_for(group: Path, pytester: pytest.Pytester) -> None:
    result = pytester.runpytest_inprocess()
    result.assert_outcomes()
    assert result.ret is pytest.ExitCode.NO_TESTS_COLLECTED


def test_shows_and_kits_are_tests(group: Path, pytester: pytest.Pytester) -> None:
    result = pytester.runpytest_inprocess("--bridgewire", "-v")
    result.assert_outcomes(passed=7, failed=1)
    result.stdout.fnmatch_lines(
        [
            "bridgewire: *, fails on error",
            "bad.toml::loads PASSED*",
            "bad.toml::cue cue 1 FAILED*",
            "bad.toml::wiring and kit PASSED*",
            "good.toml::loads PASSED*",
            "good.toml::cue cue 1 PASSED*",
            "good.toml::cue cue 2 PASSED*",
            "good.toml::wiring and kit PASSED*",
            "kits/club.toml::conforms PASSED*",
            "*_ bad.toml: cue cue 1 _*",
            "cue cue 1 on way box/1/1 at 20 s: no; FIR001, FIR007",
            "Errors (2)",
            "  bad.toml:*: FIR001",
            "    Do: *",
        ]
    )
    said = result.stdout.str()
    assert "Traceback" not in said
    assert "show_items.py" not in said


def test_a_single_cue_can_be_chosen(group: Path, pytester: pytest.Pytester) -> None:
    result = pytester.runpytest_inprocess("--bridgewire", "good.toml::cue cue 2")
    result.assert_outcomes(passed=1)


def test_warnings_fail_where_asked_for(group: Path, pytester: pytest.Pytester) -> None:
    result = pytester.runpytest_inprocess(
        "--bridgewire", "--bridgewire-fail-on", "warning", "good.toml", "-v"
    )
    result.assert_outcomes(passed=2, failed=2)
    result.stdout.fnmatch_lines(["good.toml::cue cue 1 FAILED*", "Warnings (3)"])
    pytester.makeini("[pytest]\nbridgewire_fail_on = warning\n")
    result = pytester.runpytest_inprocess("--bridgewire", "good.toml")
    result.assert_outcomes(passed=2, failed=2)
    result = pytester.runpytest_inprocess(
        "--bridgewire", "--bridgewire-fail-on", "error", "good.toml"
    )
    result.assert_outcomes(passed=4)


@pytest.mark.parametrize("how", ["option", "ini"])
def test_known_findings_fail_nothing(group: Path, pytester: pytest.Pytester, how: str) -> None:
    (group / "known").mkdir()
    made = subprocess.run(
        [
            *(sys.executable, "-m", "bridgewire", "baseline", "create", "bad.toml"),
            *("--baseline", "known/baseline.toml"),
        ],
        cwd=group,
        capture_output=True,
        text=True,
        check=False,
    )
    assert made.returncode == 0, made.stderr
    options: tuple[str, ...] = ("--bridgewire",)
    if how == "option":
        options += ("--bridgewire-baseline", "known/baseline.toml")
    else:
        pytester.makeini("[pytest]\nbridgewire_baseline = known/baseline.toml\n")
    pytester.runpytest_inprocess(*options, "bad.toml").assert_outcomes(passed=3)


def test_a_baseline_that_cannot_be_used_is_told_before_any_test(
    group: Path, pytester: pytest.Pytester
) -> None:
    (group / "b.toml").write_text("format = 1\nknwon = 1\n", encoding="utf-8")
    result = pytester.runpytest_inprocess("--bridgewire", "--bridgewire-baseline", "b.toml")
    assert result.ret is pytest.ExitCode.USAGE_ERROR
    result.stderr.fnmatch_lines(["ERROR: *b.toml:2:1: DOC004*"])


def test_each_finding_fails_one_test(pytester: pytest.Pytester) -> None:
    """A show with many faults: as many findings in the failures as in the check."""
    from bridgewire import check

    file = EXAMPLES / "boathouse-troubles.toml"
    text = file.read_text(encoding="utf-8")
    (pytester.path / "show.toml").write_text(text, encoding="utf-8")
    # -rN: without the short summary, which repeats whole failures where CI is set.
    result = pytester.runpytest_inprocess("--bridgewire", "--bridgewire-fail-on", "info", "-rN")
    lines = [line for line in result.outlines if re.fullmatch(r"  \S+:\d+:\d+: [A-Z]{3}\d+", line)]
    assert len(lines) == len(check(file).findings)


def test_an_ini_value_that_is_no_severity_is_refused(pytester: pytest.Pytester) -> None:
    pytester.makeini("[pytest]\nbridgewire_fail_on = never\n")
    result = pytester.runpytest_inprocess()
    assert result.ret is pytest.ExitCode.USAGE_ERROR
    result.stderr.fnmatch_lines(["*'never' is none of: info, warning, error*"])


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("show.toml", 'format = 1\ntitle = "a"\nkits = [\n'),
        ("show.toml", 'format = 1\ntitle = "a"\nkits = ["no-such-kit"]\n'),
        ("show.json", '{"format": 1, "title": "a", "kits": ["generic"],'),
        ("show.json", '{\n  "format": 1,\n  "title": "a",\n  "kits": ["generic"],\n}'),
        ("show.yaml", "format: 1\ntitle: a\nkits: [generic\n"),
        ("show.yml", "title: a\nkits: [generic]\n"),
    ],
)
def test_a_show_that_does_not_load_is_a_test_that_fails(
    name: str, text: str, pytester: pytest.Pytester
) -> None:
    (pytester.path / name).write_text(text, encoding="utf-8")
    result = pytester.runpytest_inprocess("--bridgewire", "-v")
    result.assert_outcomes(failed=1)
    result.stdout.fnmatch_lines([f"{name}::loads FAILED*", f"{name}:*: DOC0*"])


def test_a_kit_that_does_not_conform_fails_in_words(pytester: pytest.Pytester) -> None:
    text = KIT + '[[contact]]\nid = "plug"\ncontact_ohm = 40.0\n'
    (pytester.path / "club.toml").write_text(text, encoding="utf-8")
    result = pytester.runpytest_inprocess("--bridgewire")
    result.assert_outcomes(failed=1)
    result.stdout.fnmatch_lines(
        [
            "club.toml: contact plug: contact_ohm: has no entry under sources [[]source]",
            "club.toml: contact plug: contact_ohm: *outside what is usual* [[]doubt]",
        ]
    )


@pytest.mark.parametrize("how", ["option", "ini"])
def test_kits_of_other_folders(how: str, pytester: pytest.Pytester) -> None:
    store = pytester.path / "store"
    store.mkdir()
    (store / "club.toml").write_text(KIT, encoding="utf-8")
    small_show(pytester.path, kits=("club", "generic"))
    if how == "ini":
        pytester.makeini("[pytest]\nbridgewire_kit_dirs = store\n")
    option = ["--bridgewire-kit-dir", "store"] if how == "option" else []
    result = pytester.runpytest_inprocess("--bridgewire", *option, "show.toml")
    result.assert_outcomes(passed=3)
    pytester.makeini("[pytest]\n")
    pytester.runpytest_inprocess("--bridgewire", "show.toml").assert_outcomes(failed=1)


def test_fixtures(pytester: pytest.Pytester) -> None:
    store = pytester.path / "store"
    store.mkdir()
    (store / "club.toml").write_text(KIT, encoding="utf-8")
    pytester.makepyfile(
        """
        def test_two_lights(bridgewire_check, bridgewire_small_show, tmp_path):
            file = bridgewire_small_show(kits=("club", "generic"), igniters=2)
            assert file.parent == tmp_path
            report = bridgewire_check(file)
            assert [cue.verdict.value for cue in report.cues] == ["sure", "sure"]
        """
    )
    result = pytester.runpytest_inprocess("--bridgewire-kit-dir", "store")
    result.assert_outcomes(passed=1)


def test_every_run_of_pytest_pays_next_to_nothing() -> None:
    """The plugin's module, which pytest always loads, brings in no other part of bridgewire."""
    code = (
        "import sys, pytest, bridgewire\n"
        "before = set(sys.modules)\n"
        "import bridgewire.testing.pytest_plugin\n"
        "print(*sorted(set(sys.modules) - before))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["bridgewire.testing", "bridgewire.testing.pytest_plugin"]


@pytest.mark.parametrize(
    ("name", "text", "kind"),
    [
        ("a.toml", 'format = 1\ntitle = "a"\nkits = []\n', "show"),
        ("a.toml", 'title = "a"\n"kits" = []\n', "show"),
        ("a.toml", '# note\n[project]\nkits = 1\ntitle = "a"\n', None),
        ("a.toml", 'kits = ["a"]\n', None),
        ("a.toml", 'format = 1\nid = "a"\n', "kit"),
        ("a.toml", 'id = "a"\n', None),
        ("a.yaml", "format: 1\nid: a\n", "kit"),
        ("a.yaml", "a:\n  format: 1\n  id: a\n", None),
        ("a.json", '{"format": 1, "id": "a"}', "kit"),
        ("a.json", "[1]", None),
        ("a.json", '{"format": 1, "kits": [}', "show"),
        ("a.json", '{"a": {"format": 1, "id": "a"}}', None),
    ],
)
def test_what_a_file_is(name: str, text: str, kind: str | None, tmp_path: Path) -> None:
    (tmp_path / name).write_text(text, encoding="utf-8")
    assert document_kind(tmp_path / name) == kind


def test_every_document_of_the_project_is_known() -> None:
    assert document_kind(shipped_profiles_dir() / "harrowmere.toml") == "kit"
    for file in [*EXAMPLES.glob("*.toml"), *EXAMPLES.glob("regatta-night/*.toml")]:
        assert document_kind(file) == "show", file
