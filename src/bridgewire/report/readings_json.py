"""What meter readings tell, as JSON, in the shape of ``schemas/readings-1.json``.

Keys carry their unit; ``null`` is none or not known.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from bridgewire.bench.meter.diagnosis import Diagnosis
from bridgewire.bench.meter.readings import JudgedReading, ReadingsStudy
from bridgewire.diagnostics import Finding
from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.json_values import band, finite
from bridgewire.report.readings_text import METER_CAUTION
from bridgewire.rules.subjects import way_name

FORMAT = 1


def readings_json(
    study: ReadingsStudy,
    findings: Sequence[Finding],
    title: str,
    show_file: str,
    version: str,
) -> str:
    """Write what readings tell as JSON text.

    Parameters
    ----------
    study : ReadingsStudy
    findings : sequence of Finding
    title, show_file : str
        Of the show.
    version : str
        Of bridgewire.

    Returns
    -------
    str
        Ends with a line end. An open circuit has ``"open": true`` and no ohm.
    """
    data: dict[str, Any] = {
        "format": FORMAT,
        "program": {"name": "bridgewire", "version": version},
        "cautions": [METER_CAUTION, *CAUTIONS],
        "title": title,
        "show": show_file,
        "file": study.readings.file,
        "sha256": study.readings.sha256,
        "meter": {"pct": study.meter.pct, "ohm": study.meter.ohm, "leads_ohm": study.leads_ohm},
        "circuits": study.circuits,
        "readings": [_reading(j) for j in study.judged],
        "diagnoses": [_diagnosis(d) for d in study.diagnoses],
        "not_measured": [
            {"circuit": way_name(u.way), "moment": u.moment, "igniters": list(u.igniters)}
            for u in study.unmeasured
        ],
        "findings": [_finding(f) for f in findings],
    }
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _reading(j: JudgedReading) -> dict[str, Any]:
    r = j.reading
    return {
        "circuit": way_name(r.way),
        "place": r.place,
        "moment": r.moment,
        "line": None if r.location is None else r.location.line,
        "status": j.status,
        "reading_ohm": r.ohm,
        "open": r.over_range,
        "lead_ohm": j.lead_ohm,
        "net_ohm": finite(j.net_ohm),
        "meter_limit_ohm": j.limit_ohm,
        "expected_ohm": band(j.expected.band),
        "expected_open": j.expected.reads_open,
        "why_not_judged": j.expected.note
        or [f"{m.key} of {m.item}" for m in j.expected.missing]
        or None,
        "hides": list(j.hides),
        "remark": r.remark,
    }


def _diagnosis(d: Diagnosis) -> dict[str, Any]:
    step = d.next
    return {
        "circuit": way_name(d.way),
        "not_told_apart": d.not_told_apart,
        "note": d.note or None,
        "own_probability": round(d.own, 6),
        "causes": [
            {
                "kind": c.kind,
                "text": c.text,
                "subject": c.subject or None,
                "probability": round(c.share, 6),
                "rank": c.rank,
                "value": c.value or None,
            }
            for c in d.causes
        ],
        "next": None
        if step is None
        else {
            "circuit": None if step.way is None else way_name(step.way),
            "place": step.place or None,
            "first_ohm": finite(step.first_ohm),
            "second_ohm": finite(step.second_ohm),
        },
    }


def _finding(f: Finding) -> dict[str, Any]:
    place = f.location
    return {
        "code": f.code,
        "severity": f.severity.word,
        "message": f.message,
        "remedy": f.remedy,
        "subjects": list(f.subjects),
        "measured": finite(f.measured),
        "limit": finite(f.limit),
        "unit": f.unit,
        "file": None if place is None else place.file,
        "line": None if place is None else place.line,
        "column": None if place is None else place.column,
    }
