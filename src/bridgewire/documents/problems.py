"""Problems met while reading, before they are tied to a place in a file."""

from __future__ import annotations

import datetime
import difflib
import json
import re
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from attrs import evolve, frozen

from bridgewire.diagnostics import DocPath, Finding, format_path
from bridgewire.documents.limits import MAX_FINDINGS
from bridgewire.documents.source import SourceMap, Span

UNREADABLE = "DOC001"
SYNTAX = "DOC002"
DUPLICATE_KEY = "DOC003"
UNKNOWN_KEY = "DOC004"
MISSING_KEY = "DOC005"
WRONG_TYPE = "DOC006"
OUT_OF_RANGE = "DOC007"
FORMAT_NUMBER = "DOC008"
TOO_LARGE = "DOC009"
DUPLICATE_ID = "DOC010"
DANGLING = "DOC011"
FED_TWICE = "DOC013"
CUE_LIST = "DOC016"
CONTRADICTION = "DOC019"


@frozen
class Problem:
    """One thing wrong with a document."""

    code: str
    message: str
    path: DocPath = ()
    expected: str = ""
    got: str = ""
    suggestion: str = ""
    remedy: str = ""
    at_key: bool = False
    """Whether the key, not the value, is what to point at."""
    span: Span | None = None
    """Characters in the text, where the path alone does not tell the place."""


def as_findings(
    problems: Iterable[Problem], spans: SourceMap, document: str
) -> tuple[Finding, ...]:
    """Tie problems to places, in reading order, at most `MAX_FINDINGS` of them."""
    kept = list(dict.fromkeys(problems))
    left_out = len(kept) - MAX_FINDINGS
    found = [_finding(p, spans, document) for p in kept[:MAX_FINDINGS]]
    found.sort(key=_reading_order)
    if left_out > 0:
        found.append(
            Finding(
                TOO_LARGE,
                f"at least {left_out} more problems in this file are not shown"
                if left_out > 1
                else "at least 1 more problem in this file is not shown",
                document=document,
                location=found[-1].location,
            )
        )
    return tuple(found)


def _finding(problem: Problem, spans: SourceMap, document: str) -> Finding:
    if problem.span is not None:
        location = spans.locate_span(problem.span)
    elif problem.at_key:
        location = spans.locate_key(problem.path)
    else:
        location = spans.locate(problem.path)
    return Finding(
        problem.code,
        _told_by_line(problem.code, problem.message, spans, location.file),
        path=problem.path,
        document=document,
        expected=problem.expected,
        got=problem.got,
        suggestion=problem.suggestion,
        remedy=problem.remedy,
        location=location,
    )


_OTHER_ENTRY = re.compile(r"\b(at|by|of) ([a-z_]+)\[(\d+)\]$")


def placed(finding: Finding, spans: SourceMap) -> Finding:
    """A finding with its place in the file.

    A message that ends with the document path of another entry (``is already at cue[0]``) tells
    the line of that entry instead.
    """
    location = spans.locate(finding.path)
    message = _told_by_line(finding.code, finding.message, spans, location.file)
    return evolve(finding, location=location, message=message)


def _told_by_line(code: str, message: str, spans: SourceMap, file: str) -> str:
    match = _OTHER_ENTRY.search(message) if code in (DUPLICATE_ID, FED_TWICE) else None
    if match is None:
        return message
    word, table, index = match.groups()
    other = spans.locate((table, int(index), "id"))
    line = f"line {other.line}" + ("" if other.file == file else f" of {other.file}")
    noun = "" if word == "at" else f"the {table.replace('_', ' ')} at "
    return f"{message[: match.start()]}{word} {noun}{line}"


def _reading_order(finding: Finding) -> tuple[str, int, int, str]:
    place = finding.location
    if place is None:
        return "", 0, 0, format_path(finding.path)
    return place.file, place.line, place.column, format_path(finding.path)


def closest(word: str, choices: Sequence[str]) -> str:
    """Return the choice most like `word`, or an empty text.

    >>> closest("lenght_m", ["length_m", "cable"])
    'length_m'
    """
    # difflib compares every pair of letters, so very long words are cut.
    lowered = {c.lower(): c for c in reversed(choices)}
    match = difflib.get_close_matches(word[:80].lower(), list(lowered), n=1, cutoff=0.6)
    return lowered[match[0]] if match else ""


def name_meant(word: str, names: Sequence[str]) -> str:
    """Return the name most like `word` as a suggestion, or an empty text.

    A suggestion without blanks is taken for the name itself, so a name with blanks is put into a
    question.

    >>> name_meant("jety", ["jetty", "lawn"]), name_meant("east jety", ["east jetty"])
    ('jetty', 'did you mean "east jetty"?')
    """
    name = closest(word, names)
    return f"did you mean {quoted(name, len(name))}?" if " " in name else name


def same_ids(table: str, ids: Sequence[str]) -> Iterator[Problem]:
    """Yield a problem for every entry of a list that has the id of one before it.

    >>> [p.message for p in same_ids("cable", ["drum", "flex", "drum"])]
    ["cable 'drum' is already at cable[0]"]
    """
    seen: dict[str, int] = {}
    for index, name in enumerate(ids):
        if name in seen:
            yield Problem(
                DUPLICATE_ID,
                f"{table.replace('_', ' ')} {name!r} is already at {table}[{seen[name]}]",
                path=(table, index, "id"),
                expected="each id once",
                got=f"{name!r}",
                remedy="Rename one of the two, or remove it.",
            )
        seen.setdefault(name, index)


def one_of(choices: Sequence[str]) -> str:
    """List choices for a person.

    >>> one_of(["pair", "matrix"])
    '"pair" or "matrix"'
    """
    quoted = [f'"{c}"' for c in choices]
    if len(quoted) < 2:
        return "".join(quoted)
    return f"{', '.join(quoted[:-1])} or {quoted[-1]}"


def all_of(choices: Sequence[str]) -> str:
    """List for a person what is wanted together.

    >>> all_of(["id", "fire", "time_s"])
    '"id", "fire" and "time_s"'
    """
    return " and ".join(one_of(choices).rsplit(" or ", 1))


def quoted(text: str, longest: int = 60) -> str:
    """Quote a text, with control characters escaped and a long text cut.

    >>> quoted("a\\tb")
    '"a\\\\tb"'
    """
    cut = text if len(text) <= longest else text[: longest - 1] + "…"
    plain = json.dumps(cut, ensure_ascii=False)
    return "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in plain)


def shown(value: Any) -> str:
    """Describe plain data for a person, in the words of the documentation.

    >>> shown(2.5), shown("x"), shown([1]), shown(None)
    ('the number 2.5', 'the text "x"', 'a list of 1', 'nothing')
    """
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return f"the whole number {value}" if abs(value) < 10**20 else "a very large whole number"
    if isinstance(value, float):
        return f"the number {value!r}"
    if isinstance(value, str):
        return f"the text {quoted(value)}"
    if isinstance(value, dict):
        return "a table" if value else "an empty table"
    if isinstance(value, list):
        return f"a list of {len(value)}" if value else "an empty list"
    if isinstance(value, datetime.datetime):
        return f"the date and time {value.isoformat(' ')}"
    if isinstance(value, (datetime.date, datetime.time)):
        return f"the {'date' if isinstance(value, datetime.date) else 'time'} {value.isoformat()}"
    return type(value).__name__
