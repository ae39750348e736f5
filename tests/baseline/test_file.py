"""Baseline files: read back as written, the same for the same entries, bad ones refused in full."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bridgewire.diagnostics import format_path
from bridgewire.errors import InputError
from bridgewire.report.baseline import Baseline, KnownFinding
from bridgewire.report.baseline_file import baseline_text, read_baseline, show_key
from tests.report.ci_formats.runs import HOSTILE

entries = st.builds(
    KnownFinding,
    show=st.text(min_size=1),
    code=st.sampled_from(["FIR001", "SAF003"]),
    severity=st.sampled_from(["info", "warning", "error"]),
    fingerprint=st.text("0123456789abcdef", min_size=8, max_size=8),
    message=st.text(),
    measured=st.none() | st.floats(-1e9, 1e9).map(lambda x: float(f"{x:.4g}")),
    count=st.integers(1, 1000),
)


def through(baseline: Baseline, folder: Path) -> Baseline:
    file = folder / "baseline.toml"
    file.write_text(baseline_text(baseline), encoding="utf-8")
    return read_baseline(file)


@settings(max_examples=60, deadline=None)
@given(st.lists(entries, max_size=4, unique_by=lambda e: (e.show, e.code, e.fingerprint)))
def test_it_reads_back_as_written(
    tmp_path_factory: pytest.TempPathFactory, known: list[KnownFinding]
) -> None:
    ordered = sorted(known, key=lambda k: (k.show, k.code, k.fingerprint))
    again = through(Baseline(tuple(known)), tmp_path_factory.mktemp("file"))
    assert again.known == tuple(ordered)


@pytest.mark.parametrize("name", HOSTILE, ids=range(len(HOSTILE)))
def test_hostile_names_stay_one_line(name: str, tmp_path: Path) -> None:
    entry = KnownFinding("a.toml", "FIR001", "error", "0" * 32, name)
    text = baseline_text(Baseline((entry,)))
    assert len(text.splitlines()) == 10
    assert all(line.isprintable() for line in text.splitlines())
    assert through(Baseline((entry,)), tmp_path).known[0].message == name.replace("\ud800", "�")


def test_the_order_of_entries_does_not_matter() -> None:
    a = KnownFinding("a.toml", "FIR001", "error", "1" * 32)
    b = KnownFinding("a.toml", "FIR001", "error", "0" * 32)
    assert baseline_text(Baseline((a, b))) == baseline_text(Baseline((b, a)))


BAD = """format = 2
extra = 1

[[known]]
show = "a.toml"
code = "DOC017"
severity = "warning"
fingerprint = "00"

[[known]]
show = "a.toml"
code = "FIR001"
severity = "bad"
fingerprint = "01"
count = 0

[[known]]
show = "a.toml"
code = "FIR001"
severity = "error"
fingerprint = "02"
count = 0

[[known]]
show = "a.toml"
code = "FIR001"
severity = "error"
fingerprint = "02"
mesage = "x"

[[known]]
show = "a.toml"
code = "FIR001"
severity = "error"
fingerprint = "02"
measured = nan
"""


def test_every_problem_of_a_bad_file_is_told_with_its_place(tmp_path: Path) -> None:
    file = tmp_path / "baseline.toml"
    file.write_text(BAD, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_baseline(file)
    found = [
        (f.code, f.location.line if f.location else 0, format_path(f.path))
        for f in caught.value.findings
    ]
    assert found == [
        ("DOC008", 1, "format"),
        ("DOC004", 2, "extra"),
        ("DOC007", 6, "known[0].code"),
        ("DOC007", 13, "known[1].severity"),
        ("DOC007", 22, "known[2].count"),
        ("DOC004", 29, "known[3].mesage"),
        ("DOC007", 36, "known[4].measured"),
    ]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "DOC001"),
        ("format = 1\nknown = 3\n", "DOC006"),
        ("format = 1\n[known]\n", "DOC006"),
        ("known = []\n", "DOC005"),
        ("format = true\n", "DOC008"),
        ("format = 1\nknown = [1]\n", "DOC006"),
        ("format = \n", "DOC002"),
    ],
)
def test_other_bad_files(text: str, code: str, tmp_path: Path) -> None:
    file = tmp_path / "baseline.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_baseline(file)
    assert code in {f.code for f in caught.value.findings}


def test_the_same_finding_twice(tmp_path: Path) -> None:
    entry = '[[known]]\nshow = "a.toml"\ncode = "FIR001"\nseverity = "error"\nfingerprint = "02"\n'
    file = tmp_path / "baseline.toml"
    file.write_text("format = 1\n" + 2 * entry, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_baseline(file)
    assert [(f.code, format_path(f.path)) for f in caught.value.findings] == [
        ("DOC003", "known[1].fingerprint")
    ]


def test_a_show_is_named_from_the_folder_of_the_baseline(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "club").mkdir()
    assert show_key("shows/a.toml", Path("baseline.toml")) == "shows/a.toml"
    assert show_key("shows/a.toml", Path("club/baseline.toml")) == "../shows/a.toml"
    assert show_key(str(tmp_path / "shows" / "a.toml"), Path("baseline.toml")) == "shows/a.toml"
