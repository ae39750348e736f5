"""The order in which a show lists its parts means nothing: no rule stops at a harmless one.

Each failing case is written anew with its arrays of tables from last to first, and so are the kit
profiles of these tests. The rule then finds the same, at the same tables. An item that a rule has
no fault with thus stands before the faulty one in one of the two orders.
"""

from __future__ import annotations

import math
import re
import shutil
import tomllib
from collections.abc import Mapping
from itertools import takewhile
from pathlib import Path
from typing import Any, TypeAlias

import pytest
from attrs import evolve, frozen

from bridgewire.diagnostics import DocPath, Finding, format_path
from bridgewire.planner.toml import toml_text
from bridgewire.testing import RuleCase, findings_of_case
from tests.rules.case_files import KITS, all_cases, findings_of

Tables: TypeAlias = dict[str, Any]

ONE_OF_SEVERAL = {
    "DOC010": "the id that stands further down is the one that is there already",
    "DOC012": "a circle of wiring has no first run",
    "DOC013": "of two runs to one inlet the one that stands further down is too many",
    "DOC014": "of the strips of an output the ones that stand further down are too many",
    "DOC015": "of two runs from one outlet the one that stands further down is too many",
    "SAF005": "of cues that are on together the one that stands first has the finding",
    "SAF007": "of the igniters that a test cannot see the place is that of the first",
    "WIR012": "the place is that of the last igniter in series",
    "WIR013": "the place is that of the igniter that overfills the terminal",
    "WIR014": "of the runs of unknown length the place is that of the first",
}
"""Rules that put a finding about several tables at one of them, and which one."""
FIRST_OF_EQUALS = {
    "WIR011": "of igniters of a class that are alike it names the one that comes first",
    "SAF008": "of igniters that are alike on a way it names the one that comes first",
}
"""Rules that also name another igniter, and why."""


def lists_of(data: Mapping[str, Any]) -> dict[str, list[Any]]:
    """The arrays of tables of a document that have an order to turn round."""
    return {
        key: value
        for key, value in data.items()
        if isinstance(value, list) and len(value) > 1 and all(isinstance(v, dict) for v in value)
    }


def turned(data: Mapping[str, Any]) -> Tables:
    """A document with its arrays of tables from last to first, what it ignores among them."""
    new = {**data, **{key: tables[::-1] for key, tables in lists_of(data).items()}}
    if isinstance(data.get("checks"), dict):
        new["checks"] = turned(data["checks"])
    return new


def read(file: Path) -> Tables | None:
    """A document, or None where it is none: cases of files that cannot be read."""
    try:
        return tomllib.loads(file.read_text(encoding="utf-8"))
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, RecursionError):
        return None


def to_be_turned(case: RuleCase) -> bool:
    """Whether a failing case, or the kits that are its matter, have anything to turn round."""
    data = read(case.file) if case.should_fail else None
    return data is not None and (turned(data) != data or case.code.startswith("KIT"))


@frozen
class Said:
    """What a finding says, with the numbers of tables as they are in the file of the case."""

    code: str
    document: str
    path: str
    subjects: tuple[str, ...]
    measured: float | None
    limit: float | None

    def like(self, other: Said) -> bool:
        """Whether another says the same; sums in another order differ in their last digits."""
        pairs = ((self.measured, other.measured), (self.limit, other.limit))
        return evolve(self, measured=None, limit=None) == evolve(
            other, measured=None, limit=None
        ) and all(
            a == b if a is None or b is None else math.isclose(a, b, rel_tol=1e-9) for a, b in pairs
        )


def said(finding: Finding, documents: Mapping[str, Tables], *, back: bool) -> Said:
    """What a finding says; with `back` it is of turned documents."""
    path = finding.path
    if back and finding.document in documents:
        path = as_written(path, documents[finding.document])
    if finding.code in (ONE_OF_SEVERAL | FIRST_OF_EQUALS):
        path = tuple(step for step in path if isinstance(step, str))

    def subject(name: str) -> str:
        match = re.fullmatch(r"(\w+) (\d+)", name)  # what states no id is named by its number
        count = len(lists_of(documents["show"]).get(match[1], [])) if match else 0
        return f"{match[1]} {count + 1 - int(match[2])}" if match and back and count else name

    subjects = tuple(sorted(map(subject, finding.subjects)))
    if finding.code in FIRST_OF_EQUALS:
        subjects = ()
    return Said(
        finding.code,
        finding.document,
        format_path(path),
        subjects,
        finding.measured,
        finding.limit,
    )


def as_written(path: DocPath, data: Mapping[str, Any]) -> DocPath:
    """The path in a document of a path in the turned one."""
    match path:
        case ("checks", *rest):
            return ("checks", *as_written(tuple(rest), data["checks"]))
        case (str(key), int(number), *rest) if key in lists_of(data):
            return (key, len(data[key]) - 1 - number, *rest)
    return path


@pytest.fixture(scope="module")
def turned_kits(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("kits")
    for file in KITS.glob("*.toml"):
        text = toml_text(turned(tomllib.loads(file.read_text(encoding="utf-8"))))
        (folder / file.name).write_text(text, encoding="utf-8")
    return folder


CASES = [c for c in all_cases() if to_be_turned(c)]


@pytest.mark.parametrize("case", CASES, ids=[c.name for c in CASES])
def test_order_of_tables_means_nothing(case: RuleCase, turned_kits: Path, tmp_path: Path) -> None:
    show = read(case.file)
    assert show is not None
    shutil.copytree(case.file.parent, tmp_path, dirs_exist_ok=True)
    file = tmp_path / case.file.name
    lines = takewhile(lambda line: line.startswith("#"), case.file.read_text().splitlines())
    comments = tuple(line.removeprefix("# ") for line in lines)  # they state how odds are drawn
    file.write_text(toml_text(turned(show), comments), encoding="utf-8")
    kits = {f"kit:{f.stem}": tomllib.loads(f.read_text(encoding="utf-8")) for f in KITS.iterdir()}
    documents = {"show": show, **kits}
    before = [said(f, documents, back=False) for f in findings_of(case)]
    other = evolve(case, file=file, kit_dirs=(turned_kits,))
    after = [said(f, documents, back=True) for f in findings_of_case(other)]
    assert before, "a failing case finds something"
    lost = [s for s in before if not any(s.like(t) for t in after)]
    new = [s for s in after if not any(s.like(t) for t in before)]
    told = [*(f"lost: {s}" for s in lost), *(f"new: {s}" for s in new)]
    assert not told, "\n".join(told)
