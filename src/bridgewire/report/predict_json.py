"""A show before and after trials, as JSON."""

from __future__ import annotations

import json
import math
from typing import Any

from bridgewire.bench.kit_changes import ChangedEntry
from bridgewire.bench.prediction import IgniterPrediction, Prediction
from bridgewire.diagnostics import Finding, format_path
from bridgewire.model.band import Band
from bridgewire.timeline.outcomes import IgniterOutcome
from bridgewire.uncertainty.intervals import Estimate


def predict_json(found: Prediction, version: str) -> str:
    """Write what trials change in a show as JSON.

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
        "version": version,
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
            "before": _estimate(
                None if found.odds_before is None else found.odds_before.odds.no_unlit
            ),
            "after": _estimate(
                None if found.odds_after is None else found.odds_after.odds.no_unlit
            ),
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
        "before": {**_outcome(one.before), "lights": _estimate(one.lights_before)},
        "after": {**_outcome(one.after), "lights": _estimate(one.lights_after)},
        "about": "margin" if one.worst else "margin_typical",
        "reasons": [
            {
                "table": r.entry.table,
                "id": r.entry.id,
                "keys": list(r.entry.keys),
                "share": _round(r.share),
                "margin_alone": _round(r.alone),
                "margin_without": _round(r.without),
            }
            for r in one.reasons
        ],
        "unlit_reasons": [
            {
                "table": r.entry.table,
                "id": r.entry.id,
                "keys": list(r.entry.keys),
                "share": _round(r.share),
                "unlit_alone": _round(r.alone),
                "unlit_without": _round(r.without),
            }
            for r in one.dark_reasons
        ],
    }


def _outcome(outcome: IgniterOutcome) -> dict[str, Any]:
    light = outcome.light
    return {
        "verdict": outcome.verdict.value,
        "margin": _round(outcome.margin),
        "margin_typical": _round(outcome.margin_typical),
        "lit_before": outcome.lit_before,
        "light_s": {
            "earliest": _round(light.earliest),
            "typical": _round(light.typical),
            "latest": _round(light.latest),
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
    if isinstance(value, Band):
        return {k: _round(getattr(value, k)) for k in ("min", "typical", "max")}
    return _round(value)


def _finding(f: Finding) -> dict[str, Any]:
    return {
        "code": f.code,
        "severity": f.severity.word,
        "message": f.message,
        "path": format_path(f.path),
        "subjects": list(f.subjects),
    }


def _estimate(e: Estimate | None) -> dict[str, float] | None:
    return None if e is None else {"value": e.value, "low": e.low, "high": e.high}


def _round(value: float | None) -> float | None:
    if value is None or not math.isfinite(value):
        return None
    return float(f"{value:.6g}")
