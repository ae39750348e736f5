"""Case files of the rules: whole show documents under ``cases/<CODE>/``.

A ``fail_`` file starts with comments that say which findings it must give; a ``pass_`` file must
load and give none of its code::

    # expect: path=cue[0].pulse_s; text=some words of the message
    # expect: path=cable[1].ohm_per_m; document=kit:bench

Fields: ``path`` (required; empty for the whole document), ``text``, ``document`` (``show`` where
absent) and ``severity``. Each line is one finding that must be there.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from attrs import frozen

from bridgewire.api import LoadedShow, load_show
from bridgewire.diagnostics import DocPath, Finding, format_path
from bridgewire.errors import InputError
from bridgewire.rules.context import Context
from bridgewire.rules.engine import run_rules
from bridgewire.rules.registry import load_rule
from bridgewire.timeline.assess import assess

HERE = Path(__file__).parent
CASES = HERE / "cases"
KITS = HERE / "kits"

_EXPECT = re.compile(r"#\s*expect:\s*(.*)")
_FIELDS = ("path", "text", "document", "severity")


@frozen
class Expected:
    """One finding that a case must give."""

    path: str
    text: str = ""
    document: str = "show"
    severity: str = ""

    def matches(self, finding: Finding) -> bool:
        """Whether a finding is the expected one."""
        return (
            format_path(finding.path) == self.path
            and self.text in finding.message
            and self.document == finding.document
            and self.severity in ("", finding.severity.word)
        )


@frozen
class Case:
    """One case file."""

    code: str
    file: Path

    @property
    def name(self) -> str:
        """``WIR001/fail_no_cue``."""
        return f"{self.code}/{self.file.stem}"

    def expected(self) -> tuple[Expected, ...]:
        """What the comments at the head of the file ask for."""
        found: list[Expected] = []
        # Cases of unreadable files are no UTF-8, but their first lines are plain ASCII.
        text = self.file.read_bytes().decode("utf-8", "replace")
        for line in text.splitlines():
            match = _EXPECT.match(line)
            if match is None:
                if not line.startswith("#"):
                    break
                continue
            fields: dict[str, str] = {}
            for piece in match[1].split(";"):
                key, equals, value = piece.strip().partition("=")
                if not equals or key not in _FIELDS or key in fields:
                    raise ValueError(f"{self.name}: cannot read {piece.strip()!r}")
                fields[key] = value.strip()
            found.append(Expected(**fields))
        return tuple(found)


def cases(prefix: str) -> list[Case]:
    """All cases whose file name starts with ``fail_`` or ``pass_``, in order."""
    return [Case(f.parent.name, f) for f in sorted(CASES.glob(f"*/{prefix}_*.*"))]


def loads(case: Case) -> LoadedShow:
    """Load a case with the kits of the cases."""
    return load_show(case.file, kit_dirs=[KITS])


def findings_of(case: Case) -> tuple[Finding, ...]:
    """Findings of the case's own code, with their places."""
    rule = load_rule(case.code)
    if rule.rule.at_load:
        try:
            loads(case)
        except InputError as error:
            return tuple(f for f in error.findings if f.code == case.code)
        return ()
    loaded = loads(case)
    findings, ignored = run_rules(Context(assess(loaded.layout)), [rule])
    assert not ignored, "a case must not ignore its own code"
    crashed = [f.message for f in findings if f.code != case.code]
    assert not crashed, crashed
    return loaded.located(findings)


def path_exists(path: DocPath, data: Any) -> bool:
    """Whether a document has something at a path."""
    for step in path:
        if isinstance(step, str):
            if not isinstance(data, dict) or step not in data:
                return False
        elif not isinstance(data, list) or not 0 <= step < len(data):
            return False
        data = data[step]
    return True
