"""What to change, as JSON."""

from __future__ import annotations

import json
from typing import Any

from bridgewire.diagnostics import format_path
from bridgewire.remedies.edits import Append, Edit, Set
from bridgewire.remedies.judge import State
from bridgewire.remedies.numbered import Numbered
from bridgewire.remedies.remedy import Remedy
from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.json_report import finding_data


def advice_json(file: str, title: str, advice: Numbered, currency: str, version: str) -> str:
    """Write remedies as JSON text by ``schemas/advice-1.json``; what is not known is null."""
    data = {
        "format": 1,
        "program": {"name": "bridgewire", "version": version},
        "cautions": list(CAUTIONS),
        "file": file,
        "title": title,
        "currency": currency,
        "several": [remedy_data(n, r) for n, r in advice.several],
        "groups": [
            {
                "cues": list(item.cue_ids),
                "state": state_data(item.state),
                "findings": [finding_data(f) for f in item.findings],
                "also_mended_by": list(advice.also(item)),
                "remedies": [remedy_data(n, r) for n, r in remedies],
                "tried": item.tried,
                "harmful": [{"change": w, "breaks": h} for w, h in item.harmful],
            }
            for item, remedies in advice.groups
        ],
    }
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def remedy_data(number: int, remedy: Remedy) -> dict[str, Any]:
    """One remedy as plain data."""
    cost = remedy.cost
    return {
        "number": number,
        "words": remedy.words,
        "changes": [{"kind": c.kind, "words": c.words} for c in remedy.changes],
        "caveats": list(remedy.caveats),
        "edits": [_edit(e) for e in remedy.edits],
        "cost": {
            "total": cost.total,
            "money": cost.money,
            "metres_m": cost.metres,
            "outputs": cost.outputs,
            "rigging_minutes": cost.minutes,
            "shift_s": cost.shift_s,
            "not_stated": list(cost.not_stated),
        },
        "before": state_data(remedy.before),
        "after": state_data(remedy.after),
        "mends": list(remedy.mends),
        "warnings_left": [finding_data(f) for f in remedy.after.findings],
    }


def state_data(state: State) -> dict[str, Any]:
    """How a cue stands as plain data."""
    return {
        "verdict": None if state.verdict is None else state.verdict.value,
        "margin": state.margin,
        "latest_s": state.latest_s,
        "left_out": state.left_out,
    }


def _edit(edit: Edit) -> dict[str, Any]:
    path = format_path(edit.path)
    if isinstance(edit, Set):
        return {"set": path, "value": edit.value}
    if isinstance(edit, Append):
        return {"append": path, "item": dict(edit.item)}
    return {"remove": path}
