"""Runs of the check for the tests of machine outputs."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

from attrs import evolve

from bridgewire.api import Report, check
from bridgewire.diagnostics import Finding, Location, Severity
from bridgewire.errors import InputError
from bridgewire.report.run import CheckedRun, Unusable
from bridgewire.rules.engine import Ignored
from tests.report.fixtures import small_report

ROOT = Path(__file__).parents[3]
PUBLISHED = Path(__file__).parent / "published"
TROUBLES = "examples/boathouse-troubles.toml"
UNUSABLE = "tests/report/ci_formats/shows/unusable.toml"

HOSTILE = (
    "<script>alert(1)</script>",
    "]]>&amp;<!--",
    "=1+1",
    "::error::caught",
    "::stop-commands::pause",
    "##[error]caught",
    "a\r\n::add-path::/tmp",
    "%0A::warning::q",
    "file=x,line=1",
    "\x1b[31m\x00\x08\ufffe\uffff",
    "lone \ud800 surrogate",
    "a\u2028b\u0085c\u202ed",
    "{0} {{1}}",
    "[here](https://example.org)",
    "灯 🎆 é",
    "x" * 5000,
)
"""Names that somebody could write into a show to play a trick on a reader of reports."""


@contextlib.contextmanager
def at_root() -> Iterator[None]:
    """Work in the root of the project, as a check of a repository does."""
    with contextlib.chdir(ROOT):
        yield


@cache
def troubles() -> Report:
    """A show with findings of many kinds."""
    with at_root():
        return check(TROUBLES)


@cache
def unusable(file: str = UNUSABLE) -> Unusable:
    """A show that cannot be read."""
    with at_root():
        try:
            check(file)
        except InputError as error:
            return Unusable(file, error.findings)
    raise AssertionError(f"{file} can be read")


@cache
def whole_run() -> CheckedRun:
    """Two shows, one of which ignores a finding, and one that cannot be read."""
    first, second = troubles(), small_report()
    hidden = (Ignored(second.findings[0], "known since spring"),)
    second = evolve(second, findings=second.findings[1:], ignored=hidden)
    return CheckedRun((first, second), (unusable(),), "0", root=ROOT)


@cache
def short_run() -> CheckedRun:
    """One finding of each family, two cues, and a show that cannot be read: for texts kept."""
    report = troubles()
    firsts: dict[str, Finding] = {}
    for finding in report.findings:
        if finding.document == "show":
            firsts.setdefault(finding.code[:3], finding)
    # Shipped profiles change more often than outputs should; this one is invented.
    place = Location("/etc/kits/lantern.toml", 7, 1, "[[igniter_class]]", 17)
    firsts["KIT"] = Finding(
        "KIT001",
        "igniter class 'lantern:quick' does not state all_fire_A",
        Severity.WARNING,
        ("igniter_class", 2),
        "kit:lantern",
        remedy="state all_fire_A",
        subjects=("lantern:quick",),
        location=place,
    )
    hidden = tuple(
        Ignored(f, "agreed with the crew") for f in report.findings if f.code == "WIR008"
    )
    kept = evolve(
        report,
        findings=tuple(firsts.values()),
        ignored=hidden,
        cues=report.cues[:2],
        kits=(evolve(report.kits[0], version="0", file="/etc/kits/a.toml", sha256="0" * 64),),
        sha256="0" * 64,
        version="0",
    )
    return CheckedRun((kept,), (unusable(),), "0", root=ROOT)


@cache
def hostile_run() -> CheckedRun:
    """A run in which every text that a show or its file brings is out to play a trick."""
    report = small_report()
    first = report.cues[0]
    cues = tuple(evolve(first, id=name) for name in HOSTILE)
    findings = tuple(
        Finding(
            "WIR001",
            f"of {name}",
            severity=list(Severity)[n % 3],
            path=("cue", n, name),
            subjects=(name, name),
            remedy=name,
            location=Location(f"{name[:200]}.toml", n + 1, 3, f"x={name[:50]}", 4),
        )
        for n, name in enumerate(HOSTILE)
    )
    reports = tuple(
        evolve(report, file=f"{name[:200]}.toml", title=name, cues=cues, findings=(finding,))
        for name, finding in zip(HOSTILE, findings, strict=True)
    )
    bad = Unusable(
        f"{HOSTILE[0]}.toml",
        tuple(
            Finding("DOC004", name, expected=name, got=name, suggestion=name) for name in HOSTILE
        ),
    )
    ignored = evolve(
        reports[0], ignored=tuple(Ignored(f, n) for f, n in zip(findings, HOSTILE, strict=True))
    )
    return CheckedRun((ignored, *reports[1:]), (bad,), "0", root=ROOT)


RUNS: dict[str, Callable[[], CheckedRun]] = {
    "whole": whole_run,
    "short": short_run,
    "hostile": hostile_run,
    "empty": lambda: CheckedRun((), (), "0", root=ROOT),
    "unusable": lambda: CheckedRun((), (unusable(),), "0", root=ROOT),
}
"""By name, made when asked for."""
