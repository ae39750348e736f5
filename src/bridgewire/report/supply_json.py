"""A report about supplies as JSON, in the shape of ``schemas/supply-1.json``.

Keys carry their unit; ``null`` is none or not known.
"""

from __future__ import annotations

import json
from typing import Any, TypeAlias

from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.json_values import finite
from bridgewire.report.supply_contents import SupplyReport
from bridgewire.timeline.supply_log import SupplyEntry, SupplyLog, sags
from bridgewire.uncertainty.cold import ColdBox, ColdFailure, ColdStep
from bridgewire.uncertainty.standby import Lateness

FORMAT = 1

Data: TypeAlias = dict[str, Any]


def supply_json(report: SupplyReport, version: str) -> str:
    """Write a report as JSON text.

    Parameters
    ----------
    report : SupplyReport
    version : str
        Of bridgewire.

    Returns
    -------
    str
        Ends with a line end.
    """
    ambient, sweep = report.ambient_C, report.sweep
    minutes, unknown = report.minutes_late
    wanted = set(report.boxes)
    data: Data = {
        "format": FORMAT,
        "program": {"name": "bridgewire", "version": version},
        "cautions": list(CAUTIONS),
        "file": report.file,
        "title": report.title,
        "sha256": report.sha256,
        "ambient_C": {"min": ambient.min, "typical": ambient.typical, "max": ambient.max},
        "ambient_stated": report.ambient_stated,
        "boxes": [_log(log) for log in report.logs],
        "sweep": {
            "start_C": sweep.start_C,
            "failing_at_start": list(sweep.failing_at_start),
            "first_failure_colder": _failure(sweep.colder),
            "first_failure_warmer": _failure(sweep.warmer),
            "steps": [_step(s, wanted) for s in sweep.steps],
        },
        "late": {
            "least_minutes": minutes,
            "not_known": list(unknown),
            "boxes": [_late(x) for x in report.late],
        },
    }
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _log(log: SupplyLog) -> Data:
    charge = log.charge_pct
    return {
        "box": log.box,
        "kind": log.kind,
        "supply": log.supply,
        "min_supply_V": log.min_supply_V,
        "capacity_Ah": log.capacity_Ah,
        "charge_pct": None
        if charge is None
        else {"min": charge.min, "typical": charge.typical, "max": charge.max},
        "used_C": finite(log.used_C),
        "left_pct": finite(log.left_pct),
        "notes": list(log.notes),
        "cues": [_entry(log, e) for e in log.entries],
    }


def _entry(log: SupplyLog, entry: SupplyEntry) -> Data:
    return {
        "id": entry.id,
        "switch_s": entry.switch_s,
        "open_V": _pair(entry.open_V, entry.open_typical_V),
        "lowest_V": _pair(entry.lowest_V, entry.lowest_typical_V),
        "used_before_C": finite(entry.used_before_C),
        "used_before_Ah": finite(entry.used_before_Ah),
        "left_pct": _pair(entry.left_pct, entry.left_typical_pct),
        "below_min_supply": sags(log, entry),
    }


def _pair(worst: float | None, typical: float | None) -> Data:
    return {"worst": finite(worst), "typical": finite(typical)}


def _step(step: ColdStep, wanted: set[str]) -> Data:
    return {
        "at_C": step.at_C,
        "verdict_counts": {v.value: n for v, n in step.verdicts.items()},
        "margin": {
            "worst": finite(step.margin),
            "cue": step.margin_cue,
            "igniter": step.margin_igniter,
        },
        "boxes": [_cold_box(b) for b in step.boxes if b.box in wanted],
    }


def _cold_box(box: ColdBox) -> Data:
    return {
        "box": box.box,
        "lowest_V": _pair(box.lowest_V, box.lowest_typical_V),
        "lowest_cue": box.lowest_cue,
        "below_min_supply": box.below_minimum,
        "capacity_Ah": finite(box.capacity_Ah),
        "left_Ah": finite(box.left_Ah),
        "left_pct": finite(box.left_pct),
        "unknown": box.unknown,
        "note": box.note,
    }


def _failure(failure: ColdFailure | None) -> Data | None:
    if failure is None:
        return None
    return {
        "at_C": failure.at_C,
        "still_well_C": failure.still_well_C,
        "cues": [
            {"id": cue, "verdict": None if verdict is None else verdict.value, "fails": what}
            for cue, verdict, what in failure.cues
        ],
    }


def _late(late: Lateness) -> Data:
    return {
        "box": late.box,
        "minutes": late.minutes,
        "limit": late.limit,
        "reason": late.reason,
        "standby_A": late.standby_A,
        "standby_s": late.standby_s,
        "holds_C": finite(late.holds_C),
        "pulses_C": finite(late.pulses_C),
        "waiting_C": finite(late.waiting_C),
        "cues": list(late.cues),
        "notes": list(late.notes),
    }
