"""A show before and after trials, as JSON."""

from __future__ import annotations

import json
import math
from typing import Any

from bridgewire.bench.kit_changes import ChangedEntry
from bridgewire.bench.prediction import DarkReason, IgniterPrediction, Prediction, Reason
from bridgewire.diagnostics import Finding, format_path
from bridgewire.model.band import Band
from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.json_values import estimate, rounded, rounded_band
from bridgewire.timeline.outcomes import IgniterOutcome


def predict_json(found: Prediction, version: str) -> str:
    """Write what trials change in a show as JSON text by ``schemas/bench-predict-1.json``.

    Parameters
    ----------
    found : Prediction
    version : str
        Of bridgewire.

    Returns
    -------
    str
        Every igniter under every cue that means it. A time that is never is null, with the key
        ``never`` beside it.
    """
    data: dict[str, Any] = {
        "format": 1,
        "program": {"name": "bridgewire", "version": version},
        "cautions": list(CAUTIONS),
        "show": {"file": found.file, "title": found.title},
        "kit": found.kit,
        "samples": found.samples,
        "got_worse": found.got_worse,
        "falls_short": found.falls_short,
        "igniters": [_igniter(i) for i in found.igniters],
        "entries": [_entry(e) for e in found.entries],
        "new_findings": [_finding(f) for f in found.new],
        "gone_findings": [_finding(f) for f in found.gone],
        "no_unlit": {
            "before": estimate(
                None if found.odds_before is None else found.odds_before.odds.no_unlit
            ),
            "after": estimate(None if found.odds_after is None else found.odds_after.odds.no_unlit),
        },
        "notes": list(found.notes),
    }
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _igniter(one: IgniterPrediction) -> dict[str, Any]:
    return {
        "cue": one.cue,
        "igniter": one.igniter,
        "turned": one.turned,
        "worse": one.worse,
        "before": {**_outcome(one.before), "lights": estimate(one.lights_before)},
        "after": {**_outcome(one.after), "lights": estimate(one.lights_after)},
        "about": "margin" if one.worst else "margin_typical",
        "reasons": [_reason(r, "margin") for r in one.reasons],
        "unlit_reasons": [_reason(r, "unlit") for r in one.dark_reasons],
    }


def _reason(r: Reason | DarkReason, what: str) -> dict[str, Any]:
    return {
        "table": r.entry.table,
        "id": r.entry.id,
        "keys": list(r.entry.keys),
        "share": rounded(r.share),
        f"{what}_alone": rounded(r.alone),
        f"{what}_without": rounded(r.without),
    }


def _outcome(outcome: IgniterOutcome) -> dict[str, Any]:
    light = outcome.light
    return {
        "verdict": outcome.verdict.value,
        "margin": rounded(outcome.margin),
        "margin_typical": rounded(outcome.margin_typical),
        "lit_before": outcome.lit_before,
        "light_s": {
            "earliest": rounded(light.earliest),
            "typical": rounded(light.typical),
            "latest": rounded(light.latest),
            "never": math.isinf(light.latest),
        },
    }


def _entry(entry: ChangedEntry) -> dict[str, Any]:
    return {
        "table": entry.table,
        "id": entry.id,
        "values": [
            {"key": v.key, "before": _value(v.before), "after": _value(v.after)}
            for v in entry.values
        ],
    }


def _value(value: Band | float | None) -> Any:
    return rounded_band(value) if isinstance(value, Band) else rounded(value)


def _finding(f: Finding) -> dict[str, Any]:
    return {
        "code": f.code,
        "severity": f.severity.word,
        "message": f.message,
        "path": format_path(f.path),
        "subjects": list(f.subjects),
    }
