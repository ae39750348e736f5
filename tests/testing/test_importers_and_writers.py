"""Checks of cue importers and report writers: sound ones pass, each sort of fault is found."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from pathlib import Path

import pytest

from bridgewire.plugins import (
    CueImportContext,
    CueImporter,
    ImportedCue,
    ImportProblem,
    ReportContext,
    ReportWriter,
)
from bridgewire.testing import assert_cue_importer, assert_report_writer, import_cues

GOOD = "1 box/1/1\n2 box/1/2\n"


def read(context: CueImportContext) -> Iterator[ImportedCue | ImportProblem]:
    for number, line in enumerate(context.text.splitlines(), 1):
        words = line.split()
        if len(words) == 2:
            yield ImportedCue({"id": words[0], "fire": words[1]}, number)
        else:
            yield ImportProblem(number, "two words are needed")


def trusting(context: CueImportContext) -> Iterator[ImportedCue]:
    """Fails on anything but a good file."""
    for number, line in enumerate(context.text.splitlines(), 1):
        name, way = line.split()
        yield ImportedCue({"id": name, "fire": way}, number)


def far(context: CueImportContext) -> Iterator[ImportedCue]:
    for number, line in enumerate(context.text.splitlines(), 1):
        yield ImportedCue({"id": line, "fire": "a/1/1"}, number + 40)


def test_a_sound_importer_passes(tmp_path: Path) -> None:
    importer = CueImporter("words", read, options=("offset_s",))
    assert_cue_importer(importer, GOOD, cues=2, options={"offset_s": 1.0})
    file = tmp_path / "cues.txt"
    file.write_text(GOOD, encoding="utf-16")
    assert_cue_importer(importer, file, cues=2, encoding="utf-16")
    cues, problems = import_cues(importer, b"1 a/1/1\n?\n")
    assert [c.fields["fire"] for c in cues] == ["a/1/1"]
    assert [(p.line, p.message) for p in problems] == [(2, "two words are needed")]


@pytest.mark.parametrize(
    ("importer", "text", "words"),
    [
        (CueImporter("m", read), "1 2 3", "cannot read the good file"),
        (CueImporter("m", read), GOOD + GOOD, "found 4 cues, not 2"),
        (CueImporter("m", trusting), GOOD, "not enough values to unpack"),
        (CueImporter("m", far), GOOD, "lines that the file does not have"),
        (CueImporter("m", lambda c: [1]), GOOD, "object of type int"),  # type: ignore[list-item]
        (CueImporter("m", lambda c: [ImportedCue({}, 0)]), GOOD, "lines count from 1"),
    ],
)
def test_faults_of_importers_are_found(importer: CueImporter, text: str, words: str) -> None:
    with pytest.raises(AssertionError, match=words):
        assert_cue_importer(importer, text, cues=2)


def test_an_option_that_the_importer_does_not_have_is_an_error() -> None:
    with pytest.raises(AssertionError, match="no option offset_s"):
        import_cues(CueImporter("m", read), GOOD, options={"offset_s": 1})


def titles(context: ReportContext) -> str:
    return "".join(f"{r.title}: {len(r.findings)}\n" for r in context.reports)


_calls = itertools.count()


@pytest.mark.parametrize(
    ("writer", "words"),
    [
        (ReportWriter("m", lambda c: c.reports[0].title), "on no report"),
        (ReportWriter("m", lambda c: 3), "object of type int"),  # type: ignore[return-value, arg-type]
        (ReportWriter("m", lambda c: f"{next(_calls)}"), "two outputs"),
        (ReportWriter("m", titles), "markup or control characters"),
    ],
)
def test_faults_of_report_writers_are_found(writer: ReportWriter, words: str) -> None:
    with pytest.raises(AssertionError, match=words):
        assert_report_writer(writer, escapes=True)


def test_a_sound_writer_passes() -> None:
    assert_report_writer(ReportWriter("titles", titles))
    assert_report_writer(ReportWriter("count", lambda c: str(len(c.reports))), escapes=True)
