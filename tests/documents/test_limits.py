"""Files that are too large, too deep, too many, or no files at all."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from bridgewire.documents.loader import load_document, load_kit, load_show
from bridgewire.errors import InputError

LOADERS: tuple[Callable[[Path], object], ...] = (load_document, load_kit, load_show)


def refused(file: Path, load: Callable[[Path], object] = load_document) -> list[str]:
    """Load, expect a refusal, and return codes; every place must lie in the file."""
    with pytest.raises(InputError) as caught:
        load(file)
    for finding in caught.value.findings:
        assert finding.location is not None
        assert finding.location.file == str(file)
    return [f.code for f in caught.value.findings]


@pytest.mark.parametrize("ending", ["toml", "yaml", "json"])
@pytest.mark.parametrize("load", LOADERS)
def test_50_megabytes_are_refused_before_parsing(
    tmp_path: Path, ending: str, load: Callable[[Path], object]
) -> None:
    file = tmp_path / f"large.{ending}"
    with file.open("wb") as stream:
        stream.truncate(50_000_000)  # a sparse file of zero bytes
    started = time.process_time()
    assert refused(file, load) == ["DOC001"]
    assert time.process_time() - started < 1.0


@pytest.mark.parametrize(
    ("ending", "text"),
    [
        ("toml", "a = " + "[" * 65 + "]" * 65),
        ("toml", "a = " + "[" * 100_000 + "]" * 100_000),
        ("toml", "a = " + "[" * 100_000),
        ("toml", "a = " + "{a=" * 100_000),
        ("toml", ".".join(["a"] * 66) + " = 1"),
        ("toml", ".".join(["a"] * 200_000) + " = 1"),
        ("toml", "[" + " . ".join(['"a"'] * 200_000) + "]"),
        ("toml", "x = {" + ".".join(["a"] * 200_000) + " = 1}"),
        ("yaml", "a: " + "[" * 65 + "]" * 65),
        ("yaml", "a: " + "[" * 100_000),
        ("yaml", "a: " + "{a: " * 100_000),
        ("yaml", "\n".join(" " * i + "a:" for i in range(100))),
        ("yaml", "- " * 100_000),
        ("json", '{"a": ' + "[" * 65 + "]" * 65 + "}"),
        ("json", '{"a": ' + "[" * 100_000 + "]" * 100_000 + "}"),
        ("json", '{"a":' * 100_000),
    ],
    ids=lambda v: v[:12].replace("\n", " "),
)
def test_deep_nesting_is_refused(tmp_path: Path, ending: str, text: str) -> None:
    file = tmp_path / f"deep.{ending}"
    file.write_text(text, encoding="utf-8")
    assert refused(file) == ["DOC009"]


@pytest.mark.parametrize(
    ("ending", "text"),
    [
        ("toml", "a = " + "[" * 60 + "]" * 60),
        ("yaml", "a: " + "[" * 60 + "]" * 60),
        ("json", '{"a": ' + "[" * 60 + "]" * 60 + "}"),
    ],
)
def test_nesting_below_the_limit_is_read(tmp_path: Path, ending: str, text: str) -> None:
    file = tmp_path / f"deep.{ending}"
    file.write_text(text, encoding="utf-8")
    assert list(load_document(file).data) == ["a"]


@pytest.mark.parametrize(
    ("ending", "text"),
    [
        ("toml", "a = [" + "1," * 200_001 + "]"),
        ("yaml", "a: [" + "1," * 200_001 + "]"),
        ("json", '{"a": [' + "1," * 200_001 + "1]}"),
        ("json", '{"a": [' + "[]," * 1_100_000 + "1]}"),
    ],
)
def test_too_many_values_are_refused(tmp_path: Path, ending: str, text: str) -> None:
    file = tmp_path / f"many.{ending}"
    file.write_text(text, encoding="utf-8")
    assert refused(file) == ["DOC009"]


def test_aliases_within_the_limit_are_read(tmp_path: Path) -> None:
    file = tmp_path / "aliases.yaml"
    file.write_text("a: &a [1, 2]\nb: *a\nc: &k key\n? *k\n: 3\n", encoding="utf-8")
    assert load_document(file).data == {"a": [1, 2], "b": [1, 2], "c": "key", "key": 3}


def test_depth_through_aliases_counts(tmp_path: Path) -> None:
    file = tmp_path / "aliases.yaml"
    deep = "[" * 40 + "1" + "]" * 40
    file.write_text(f"a: &a {deep}\nb: {'[' * 40}*a{']' * 40}\n", encoding="utf-8")
    assert refused(file) == ["DOC009"]


@pytest.mark.parametrize("ending", ["toml", "yaml", "json"])
def test_numbers_with_thousands_of_digits(tmp_path: Path, ending: str) -> None:
    start, end = {"toml": ("a = ", ""), "yaml": ("a: ", ""), "json": ('{"a": ', "}")}[ending]
    file = tmp_path / f"digits.{ending}"
    file.write_text(f"{start}{'9' * 5000}{end}\n", encoding="utf-8")
    assert refused(file) == ["DOC002"]
    file.write_text(f"{start}{'9' * 400}{end}\n", encoding="utf-8")
    assert load_document(file).data == {"a": int("9" * 400)}


def test_a_number_too_large_for_a_float(tmp_path: Path) -> None:
    file = tmp_path / "night.toml"
    file.write_text(
        f'format = 1\ntitle = "x"\nkits = []\nsite.ambient_C = {"9" * 400}\n', encoding="utf-8"
    )
    assert refused(file, load_show) == ["DOC007"]


@pytest.mark.parametrize("load", LOADERS)
def test_missing_file(tmp_path: Path, load: Callable[[Path], object]) -> None:
    assert refused(tmp_path / "none.toml", load) == ["DOC001"]


@pytest.mark.parametrize("load", LOADERS)
def test_folder(tmp_path: Path, load: Callable[[Path], object]) -> None:
    folder = tmp_path / "folder.toml"
    folder.mkdir()
    assert refused(folder, load) == ["DOC001"]


def test_pipe_is_not_waited_for(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.toml"
    os.mkfifo(pipe)
    assert refused(pipe) == ["DOC001"]


def test_link_to_itself(tmp_path: Path) -> None:
    link = tmp_path / "link.toml"
    link.symlink_to(link)
    assert refused(link) == ["DOC001"]


def test_name_too_long() -> None:
    assert refused(Path("a" * 5000 + ".toml")) == ["DOC001"]


def test_permission_denied(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "night.toml"
    file.write_text("format = 1\n", encoding="utf-8")

    def denied(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", denied)  # root may read everything
    assert refused(file) == ["DOC001"]


def test_very_many_problems_are_cut(tmp_path: Path) -> None:
    file = tmp_path / "night.toml"
    file.write_text('format = 1\ntitle = "x"\nkits = [' + "1," * 3000 + "]\n", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_show(file)
    findings = caught.value.findings
    assert len(findings) == 501
    assert findings[-1].message == "at least 2500 more problems in this file are not shown"


def test_one_problem_too_many_is_counted_as_one(tmp_path: Path) -> None:
    file = tmp_path / "night.toml"
    file.write_text('format = 1\ntitle = "x"\nkits = [' + "1," * 501 + "]\n", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_show(file)
    assert caught.value.findings[-1].message == "at least 1 more problem in this file is not shown"


def test_snippets_of_endless_lines_are_bounded(tmp_path: Path) -> None:
    file = tmp_path / "night.json"
    file.write_text('{"format": 1, "kits": [' + "1," * 3000 + "1]}", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_show(file)
    assert all(len(f.location.snippet) <= 400 for f in caught.value.findings if f.location)
