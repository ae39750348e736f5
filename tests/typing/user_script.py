"""What a user writes against the public names; checked by type checkers, not run."""

from __future__ import annotations

import bridgewire
from bridgewire import (
    Band,
    Finding,
    InputError,
    LoadedShow,
    Report,
    Severity,
    Verdict,
    check,
    load_show,
)
from bridgewire.tables import Record, Table, to_csv


def worst_margin(report: Report) -> float | None:
    margins = [i.margin for cue in report.cues for i in cue.meant if i.margin is not None]
    return min(margins, default=None)


def errors(report: Report) -> list[Finding]:
    return [f for f in report.findings if f.severity >= Severity.ERROR]


def places(findings: list[Finding]) -> list[str]:
    return [str(f.location) for f in findings if f.location is not None]


def export(report: Report, path: str) -> list[str]:
    table: Table = report.table("cues")
    to_csv(table, path)
    records: list[Record] = [r for r in table if r["verdict"] != "sure"]
    return [str(r["cue"]) for r in records] + [c.name for c in table.columns]


def main(path: str) -> int:
    try:
        show: LoadedShow = load_show(path, kit_dirs=["kits"], kits=["bench"])
    except InputError as error:
        for problem in error.findings:
            print(problem.code, problem.message)
        return 2
    report = check(show, progress=lambda done, total: None)
    ambient: Band | None = show.show.site.ambient_C
    sure: int = report.verdict_counts()[Verdict.SURE]
    worst: Severity | None = report.worst
    print(ambient, sure, worst, worst_margin(report), places(errors(report)))
    print(bridgewire.__version__, report.title.upper())
    return 0
