"""Answers from a file: the interview without a terminal."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from bridgewire.authoring.draft import AnswerProblem, Draft, DraftError, Sheet, draft
from bridgewire.authoring.question import UNKNOWN, Section, as_typed
from bridgewire.authoring.questions import SECTIONS
from bridgewire.authoring.toml_text import profile_text
from bridgewire.diagnostics import DocPath
from bridgewire.documents.loader import load_document
from bridgewire.documents.problems import (
    CONTRADICTION,
    MISSING_KEY,
    OUT_OF_RANGE,
    UNKNOWN_KEY,
    WRONG_TYPE,
    Problem,
    as_findings,
    closest,
    one_of,
    shown,
)
from bridgewire.documents.source import Document
from bridgewire.documents.toml_values import toml_value
from bridgewire.errors import InputError

_MOST_LISTED = 20


def read_answers(path: Path, *, partial: bool = False) -> tuple[Sheet, Document]:
    """Read an answers file.

    Each section of questions is a table (``[kit]``, ``[meter]``) or, where it may be answered
    several times, an array of tables (``[[cable]]``), with the keys of the questions. A key that
    is left out, or ``"-"``, means: not known. Readings stand in quotes, so that their last noughts
    count.

    Parameters
    ----------
    path : Path
        A TOML, YAML or JSON file.
    partial : bool
        Whether the rest is still to be asked: a key that is left out is then left out of the sheet.

    Returns
    -------
    tuple of Sheet and Document

    Raises
    ------
    InputError
        With every problem, each with its place.
    """
    document = load_document(path)
    problems: list[Problem] = []
    sheet: Sheet = {}
    names = [s.key for s in SECTIONS]
    problems += [_unknown((key,), key, names) for key in document.data if key not in names]
    for section in SECTIONS:
        raw = document.data.get(section.key)
        sheet[section.key] = _section(section, raw, problems, partial)
    if problems:
        raise InputError(as_findings(problems, document.spans, "answers"))
    return sheet, document


def profile_of_answers(path: Path) -> tuple[Draft, str]:
    """Make a profile from an answers file.

    Returns
    -------
    tuple of Draft and str
        The draft, for its remarks, and the text of the profile.

    Raises
    ------
    InputError
        With every problem of the answers, also where they contradict one another.
    """
    sheet, document = read_answers(path)
    try:
        made = draft(sheet)
        return made, profile_text(made)
    except DraftError as error:
        problems = [_as_problem(p) for p in error.problems]
        raise InputError(as_findings(problems, document.spans, "answers")) from None


def answers_text(sheet: Sheet) -> str:
    """Write answers as a file that `read_answers` reads.

    >>> print(answers_text({"kit": [{"id": "club"}], "contact": [{"id": "plug", "pairs": "-"}]}))
    # Answers to "bridgewire kits new"; "-" means: do not know.
    <BLANKLINE>
    [kit]
    id = "club"
    <BLANKLINE>
    [[contact]]
    id = "plug"
    pairs = "-"
    <BLANKLINE>
    """
    lines = ['# Answers to "bridgewire kits new"; "-" means: do not know.']
    for section in SECTIONS:
        for answers in sheet.get(section.key, []):
            if answers:
                lines += ["", f"[[{section.key}]]" if section.many else f"[{section.key}]"]
                lines += [f"{key} = {toml_value(text)}" for key, text in answers.items()]
    return "\n".join(lines) + "\n"


def _as_problem(problem: AnswerProblem) -> Problem:
    key = (problem.key,) if problem.key else ()
    return Problem(OUT_OF_RANGE, problem.message, path=(problem.section, problem.index, *key))


def _unknown(path: DocPath, key: str, names: list[str]) -> Problem:
    return Problem(
        UNKNOWN_KEY,
        f"nothing of the name {key!r} is asked here",
        path=path,
        expected=one_of(names) if len(names) <= _MOST_LISTED else "the key of a question",
        got=repr(key),
        suggestion=closest(key, names),
        at_key=True,
    )


def _section(
    section: Section, raw: Any, problems: list[Problem], partial: bool
) -> list[dict[str, str]]:
    if section.many:
        if raw is None:
            return []
        if not isinstance(raw, list):
            problems.append(_shape(raw, (section.key,), f"[[{section.key}]]"))
            return []
        return [
            _entry(section, one, (section.key, i), problems, partial) for i, one in enumerate(raw)
        ]
    return [_entry(section, {} if raw is None else raw, (section.key,), problems, partial)]


def _shape(raw: Any, path: DocPath, expected: str) -> Problem:
    message = f"this is {shown(raw)}, not {expected}"
    return Problem(WRONG_TYPE, message, path=path, expected=expected, got=shown(raw))


def _entry(
    section: Section, raw: Any, path: DocPath, problems: list[Problem], partial: bool
) -> dict[str, str]:
    if not isinstance(raw, Mapping):
        problems.append(_shape(raw, path, "a table"))
        return {}
    names = [q.key for q in section.questions]
    problems += [_unknown((*path, key), key, names) for key in raw if key not in names]
    answers: dict[str, str] = {}
    for question in section.questions:
        here = (*path, question.key)
        if not question.applies(answers):
            if question.key in raw and raw[question.key] != UNKNOWN:
                other = question.known if question.only_if is None else question.only_if[0]
                message = f"this is not asked here: see {other!r}"
                problems.append(Problem(CONTRADICTION, message, path=here, at_key=True))
            continue
        if question.key not in raw:
            if partial:
                continue
            if question.required:
                message = f'the answer "{question.key}" is missing'
                problems.append(Problem(MISSING_KEY, message, path=path, expected=question.asked()))
            answers[question.key] = UNKNOWN
            continue
        try:
            answers[question.key] = question.checked(as_typed(raw[question.key]))
        except ValueError as error:
            got = shown(raw[question.key])
            problems.append(
                Problem(OUT_OF_RANGE, str(error), path=here, expected=question.asked(), got=got)
            )
            answers[question.key] = UNKNOWN
    return answers
