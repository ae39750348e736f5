"""Reports as JSON, in the shape of ``schemas/report-1.json``.

Keys carry their unit. A time that never comes and a number that is not known are ``null``.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, TypeAlias

from bridgewire.diagnostics import Finding, format_path
from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.comparison import Column
from bridgewire.report.contents import Checked, severity_counts
from bridgewire.report.json_values import band, finite
from bridgewire.report.remedy_notes import Remedies
from bridgewire.timeline.outcomes import CueOutcome, IgniterOutcome, Stray, Times

FORMAT = 1

Data: TypeAlias = dict[str, Any]


def reports_json(
    reports: Iterable[Checked],
    version: str,
    comparisons: Sequence[Mapping[str, Any]] = (),
    unusable: Iterable[tuple[str, Iterable[Finding]]] = (),
    remedies: Remedies | None = None,
) -> str:
    """Write a run of the check as JSON text.

    Parameters
    ----------
    reports : iterable of Checked
        One for each show that could be read.
    version : str
        Of bridgewire.
    comparisons : sequence of dict
        See `comparison_data`.
    unusable : iterable of (str, iterable of Finding)
        Each show file that could not be read, with its problems.
    remedies : callable, optional
        Gives the remedies that were worked out for a finding.

    Returns
    -------
    str
        Ends with a line end.
    """
    data: Data = {
        "format": FORMAT,
        "program": {"name": "bridgewire", "version": version},
        "cautions": list(CAUTIONS),
        "shows": [report_data(r, remedies) for r in reports],
        "unusable": [
            {"file": file, "problems": [problem_data(f) for f in found]} for file, found in unusable
        ],
        "comparisons": list(comparisons),
    }
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def report_data(report: Checked, remedies: Remedies | None = None) -> Data:
    """The report of one show as plain data."""
    verdicts = report.verdict_counts()
    site = None if report.assessment is None else report.assessment.layout.show.site.ambient_C
    used = None if report.assessment is None else report.assessment.simulation.ambient_C
    return {
        "file": report.file,
        "title": report.title,
        "sha256": report.sha256,
        "kits": [
            {"id": k.id, "version": k.version, "file": k.file, "sha256": k.sha256}
            for k in report.kits
        ],
        "plugins": [
            {
                "name": p.name,
                "distribution": p.distribution,
                "version": p.version,
                "api_version": p.api_version,
            }
            for p in report.plugins
        ],
        "site": {
            "ambient_C": band(used),
            "ambient_stated": site is not None,
        },
        "verdict_counts": {verdict.value: n for verdict, n in verdicts.items()},
        "finding_counts": {s.word: n for s, n in severity_counts(report).items()},
        "findings": [finding_data(f) for f in report.findings],
        "ignored": [
            {
                "finding": finding_data(i.finding),
                "reason": i.reason,
                "until": None if i.until is None else i.until.isoformat(),
            }
            for i in report.ignored
            if not i.baseline
        ],
        "known": [finding_data(i.finding) for i in report.known],
        "cues": [_cue(c) for c in report.cues],
        "odds": _odds(report),
        "remedies": None if remedies is None else _remedies(report, remedies),
    }


def _remedies(report: Checked, remedies: Remedies) -> list[Data]:
    return [
        {"finding": n, "text": r.text, "before": r.before, "after": r.after, "cost": r.cost}
        for n, finding in enumerate(report.findings)
        for r in remedies(report, finding)
    ]


def _odds(report: Checked) -> Data | None:
    if report.odds is None:
        return None
    from bridgewire.report.odds_summary import odds_data

    return odds_data(report.odds)


def finding_data(finding: Finding) -> Data:
    """One finding as plain data."""
    place = finding.location
    return {
        "code": finding.code,
        "severity": finding.severity.word,
        "message": finding.message,
        "document": finding.document,
        "path": format_path(finding.path),
        "location": None
        if place is None
        else {"file": place.file, "line": place.line, "column": place.column},
        "measured": finite(finding.measured),
        "limit": finite(finding.limit),
        "unit": finding.unit,
        "remedy": finding.remedy,
        "subjects": list(finding.subjects),
    }


def problem_data(finding: Finding) -> Data:
    """One finding as plain data, with what a reader of documents adds."""
    return {
        **finding_data(finding),
        "expected": finding.expected,
        "got": finding.got,
        "suggestion": finding.suggestion,
    }


def comparison_data(file: str, title: str, columns: Iterable[Column]) -> Data:
    """A show against several kit lists as plain data."""
    return {
        "file": file,
        "title": title,
        "kit_lists": [
            {
                "name": c.name,
                "fires_the_show": c.answer,
                "missing": [finding_data(f) for f in c.problems],
                "report": None if c.report is None else report_data(c.report),
            }
            for c in columns
        ],
    }


def _cue(cue: CueOutcome) -> Data:
    return {
        "id": cue.id,
        "way": None
        if cue.way is None
        else {"box": cue.way[0], "output": cue.way[1], "way": cue.way[2]},
        "switch_s": cue.switch_s,
        "pulse_s": cue.pulse_s,
        "verdict": None if cue.verdict is None else cue.verdict.value,
        "spread_typical_s": finite(cue.spread_typical_s),
        "spread_worst_s": finite(cue.spread_worst_s),
        "needed_pulse_s": finite(cue.needed_pulse_s),
        "supply_before_V": None
        if cue.start_V is None
        else {
            "worst": cue.start_V.worst,
            "typical": cue.start_V.typical,
            "best": cue.start_V.best,
        },
        "supply_lowest_V": {"worst": cue.lowest_V, "typical": cue.lowest_typical_V},
        "supply_peak_A": cue.peak_A,
        "current_limit_reached": {"typical": cue.limited, "any_corner": cue.limited_ever},
        "charge_C": cue.charge_C,
        "missing": [
            {"document": m.document, "item": m.item, "key": m.key, "prevents": m.prevents}
            for m in cue.missing
        ],
        "igniters": [_igniter(i) for i in cue.igniters],
        "strays": [_stray(s) for s in cue.strays],
    }


def _igniter(igniter: IgniterOutcome) -> Data:
    return {
        "id": igniter.id,
        "meant": igniter.intended,
        "verdict": igniter.verdict.value,
        "proof": None if igniter.proof is None else igniter.proof.value,
        "lit_before": igniter.lit_before,
        "light_s": _times(igniter.light),
        "effect_s": None if igniter.effect is None else _times(igniter.effect),
        "margin": {
            "worst": finite(igniter.margin),
            "typical": finite(igniter.margin_typical),
        },
        "end_state": {
            "worst": igniter.worst_end_state.value,
            "typical": igniter.end_state.value,
        },
        "terminal_A": finite(igniter.terminal_A),
        "terminal_V": finite(igniter.terminal_V),
        "worst_A": finite(igniter.worst_A),
        "best_A": finite(igniter.best_A),
        "peak_rise": finite(igniter.peak_rise),
        "peak_C": finite(igniter.peak_C),
        "drops": [
            {"element": d.label, "volts_V": d.volts, "path": format_path(d.path)}
            for d in igniter.drops
        ],
        "waits_for": list(igniter.waits_for),
        "broken_by": list(igniter.broken_by),
        "loaded_by": list(igniter.loaded_by),
    }


def _stray(stray: Stray) -> Data:
    return {
        "id": stray.id,
        "peak_A": finite(stray.peak_A),
        "lights": stray.lights,
        "on_way": stray.on_way,
    }


def _times(times: Times) -> Data:
    return {
        "earliest": finite(times.earliest),
        "typical": finite(times.typical),
        "latest": finite(times.latest),
    }
