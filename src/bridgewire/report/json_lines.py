"""A run of the check as JSON lines: one object on each line, in the shape of
``schemas/report-lines-1.json``.

Shows can be read line by line, filtered with line tools and appended to a log. The objects of cues
and findings are those of the JSON report with a few keys more.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from bridgewire.diagnostics import Severity
from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.contents import Checked
from bridgewire.report.json_report import problem_data, report_data
from bridgewire.report.run import CheckedRun, Entry
from bridgewire.timeline.outcomes import Verdict

FORMAT = 1
_OF_SHOW = (
    "file",
    "title",
    "sha256",
    "kits",
    "plugins",
    "site",
    "verdict_counts",
    "finding_counts",
)


def json_lines_text(run: CheckedRun) -> str:
    """Write a run as JSON lines.

    Parameters
    ----------
    run : CheckedRun

    Returns
    -------
    str
        A ``run`` line; an ``unusable`` line for each show that could not be read and a ``show``
        line for each other, followed by its cues; every ``finding``; a ``summary`` at the end, by
        which a reader knows that nothing was cut off.
    """
    return "".join(
        json.dumps(data, ensure_ascii=False, allow_nan=False) + "\n" for data in _objects(run)
    )


def _objects(run: CheckedRun) -> Iterator[dict[str, Any]]:
    yield {
        "kind": "run",
        "format": FORMAT,
        "program": {"name": "bridgewire", "version": run.version},
        "cautions": list(CAUTIONS),
    }
    for file, findings in run.unusable:
        yield {"kind": "unusable", "file": file, "problems": len(findings)}
    for report in run.reports:
        yield from _show(report)
    entries = list(run.entries(ignored=True, by_show=True))
    yield from (_finding(e) for e in entries)
    yield _summary(run, entries)


def _show(report: Checked) -> Iterator[dict[str, Any]]:
    data = report_data(report)
    yield {
        "kind": "show",
        **{key: data[key] for key in _OF_SHOW},
        "revision": report.revision,
    }
    yield from ({"kind": "cue", "show": report.file, **cue} for cue in data["cues"])


def _finding(entry: Entry) -> dict[str, Any]:
    return {
        "kind": "finding",
        "show": entry.file,
        "checked": entry.usable,
        "fingerprint": entry.fingerprint,
        "ignored": entry.ignored,
        "known": entry.baseline,
        **problem_data(entry.finding),
    }


def _summary(run: CheckedRun, entries: list[Entry]) -> dict[str, Any]:
    heard = [e.finding.severity for e in entries if e.ignored is None and e.usable]
    verdicts = dict.fromkeys(Verdict, 0)
    for report in run.reports:
        for verdict, number in report.verdict_counts().items():
            verdicts[verdict] += number
    return {
        "kind": "summary",
        "shows": len(run.reports),
        "unusable": len(run.unusable),
        "cues": sum(len(r.cues) for r in run.reports),
        "verdict_counts": {verdict.value: number for verdict, number in verdicts.items()},
        "finding_counts": {s.word: heard.count(s) for s in sorted(Severity, reverse=True)},
        "fail_on": run.fail_on.word,
        "fails": bool(run.unusable) or any(s >= run.fail_on for s in heard),
    }
