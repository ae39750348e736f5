"""Every bad document under ``bad/`` gives all its problems, each at its place.

The expected places were read off the inputs by a person; a new case is checked the same way.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from bridgewire.diagnostics import Finding, format_path
from bridgewire.documents.loader import load_kit, load_show
from bridgewire.errors import InputError

CASES = sorted(p for p in (Path(__file__).parent / "bad").iterdir() if p.is_dir())


def findings_of(file: Path, loads: str) -> tuple[Finding, ...]:
    with pytest.raises(InputError) as caught:
        load_kit(file) if loads == "kit" else load_show(file)
    return caught.value.findings


@pytest.mark.parametrize("case", CASES, ids=lambda p: p.name)
def test_every_problem_is_reported_at_its_place(case: Path) -> None:
    expected = tomllib.loads((case / "expected.toml").read_text(encoding="utf-8"))
    file = next(case.glob("input.*"))
    found = [
        {
            "code": f.code,
            "file": Path(f.location.file).name if f.location else "",
            "line": f.location.line if f.location else 0,
            "column": f.location.column if f.location else 0,
            "path": format_path(f.path),
            "suggestion": f.suggestion,
        }
        for f in findings_of(file, expected["loads"])
    ]
    wanted = [{"file": file.name, "suggestion": "", **f} for f in expected["finding"]]
    assert found == wanted


@pytest.mark.parametrize("case", CASES, ids=lambda p: p.name)
def test_findings_are_fit_to_show(case: Path) -> None:
    expected = tomllib.loads((case / "expected.toml").read_text(encoding="utf-8"))
    file = next(case.glob("input.*"))
    for finding in findings_of(file, expected["loads"]):
        assert finding.message
        assert finding.message.isprintable()
        assert finding.got.isprintable()
        assert finding.document == "show" or finding.document.startswith("kit:")
        assert finding.location is not None
        assert finding.location.snippet.replace("\t", "").isprintable()


def test_each_kind_of_input_has_cases_in_all_formats() -> None:
    names = {p.name for p in CASES}
    for kind in ("duplicate-keys", "wrong-types", "unknown-keys", "missing-keys"):
        assert {f"{f}-{kind}" for f in ("toml", "yaml", "json")} <= names


def test_all_loading_codes_have_a_case() -> None:
    codes = set()
    for case in CASES:
        expected = tomllib.loads((case / "expected.toml").read_text(encoding="utf-8"))
        codes |= {f["code"] for f in expected["finding"]}
    assert codes == {f"DOC{n:03}" for n in (*range(1, 10), 16, 19)}


def test_expected_got_and_suggestion_are_in_words(tmp_path: Path) -> None:
    file = tmp_path / "night.toml"
    file.write_text(
        'format = 1\ntitle = "x"\nkits = []\n[[run]]\nfrom = "a/1"\nto = "b"\ncable = "c"\n'
        'length_m = "20"\nparralel = 2\n',
        encoding="utf-8",
    )
    wrong, unknown = findings_of(file, "show")
    assert wrong.message == 'this is the text "20", not a number'
    assert wrong.expected.startswith("a number, or a band: { typical = …, tol = … }")
    assert wrong.got == 'the text "20"'
    assert wrong.suggestion == "20 (without quotes)"
    assert unknown.message == "the key 'parralel' is not known here"
    assert unknown.suggestion == "parallel"
    assert unknown.location is not None
    assert unknown.location.snippet == "parralel = 2"
    assert unknown.location.width == len("parralel")
    assert str(unknown.location) == f"{file}:9:1"
