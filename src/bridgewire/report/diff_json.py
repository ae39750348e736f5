"""What changed between two revisions of shows, as JSON.

Keys carry their unit. A time that never comes and a number that is not known are ``null``.
"""

from __future__ import annotations

import json
from typing import Any, TypeAlias

from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.contents import Checked, UsedKit
from bridgewire.report.diff_changes import CueMove, FigureChange, KitChange, ShowDiff, VerdictChange
from bridgewire.report.diff_run import RunDiff
from bridgewire.report.json_report import finding_data
from bridgewire.report.json_values import finite
from bridgewire.report.show_diff import LIGHT_TOLERANCE, LIGHT_TOLERANCE_S, MARGIN_TOLERANCE
from bridgewire.timeline.outcomes import CueOutcome, IgniterOutcome, Verdict

FORMAT = 1
Data: TypeAlias = dict[str, Any]


def diff_json(run: RunDiff, version: str) -> str:
    """Write a difference as JSON text.

    Parameters
    ----------
    run : RunDiff
    version : str
        Of bridgewire.
    """
    data: Data = {
        "format": FORMAT,
        "program": {"name": "bridgewire", "version": version},
        "cautions": list(CAUTIONS),
        "headline": run.headline(),
        "got_worse": run.got_worse,
        "tolerances": {
            "margin_part": MARGIN_TOLERANCE,
            "light_part": LIGHT_TOLERANCE,
            "light_s": LIGHT_TOLERANCE_S,
        },
        "shows": [_show(s) for s in run.shows],
        "new_shows": [_side(r) for r in run.new_shows],
        "gone_shows": list(run.gone_shows),
    }
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _side(report: Checked) -> Data:
    return {
        "file": report.file,
        "title": report.title,
        "revision": report.revision,
        "sha256": report.sha256,
        "verdict_counts": {v.value: n for v, n in report.verdict_counts().items()},
    }


def _show(show: ShowDiff) -> Data:
    return {
        "old": _side(show.old),
        "new": _side(show.new),
        "got_worse": show.got_worse,
        "verdicts": [_verdict(v) for v in show.verdicts],
        "figures": [_figure(f) for f in show.figures],
        "cues_added": [_cue(c) for c in show.added],
        "cues_removed": [_cue(c) for c in show.removed],
        "cues_moved": [_move(m) for m in show.moves],
        "findings_new": [finding_data(f) for f in show.found],
        "findings_worse": [finding_data(f) for f in show.worse_findings],
        "findings_silenced": [finding_data(f) for f in show.silenced],
        "findings_cleared": [finding_data(f) for f in show.cleared],
        "kits": [_kit(k) for k in show.kits],
    }


def _verdict(change: VerdictChange) -> Data:
    return {
        "cue": change.cue,
        "igniter": change.igniter,
        "turn": change.turn.value,
        "before": _word(change.before),
        "after": _word(change.after),
        "margin": {"before": _margin(change.old), "after": _margin(change.new)},
        "light_s": {"before": _light(change.old), "after": _light(change.new)},
    }


def _figure(change: FigureChange) -> Data:
    return {
        "cue": change.cue,
        "igniter": change.igniter,
        "quantity": change.quantity,
        "unit": change.unit,
        "turn": change.turn.value,
        "before": finite(change.before),
        "after": finite(change.after),
    }


def _cue(cue: CueOutcome) -> Data:
    return {
        "id": cue.id,
        "way": _way(cue.way),
        "switch_s": cue.switch_s,
        "pulse_s": cue.pulse_s,
        "verdict": _word(cue.verdict),
    }


def _move(move: CueMove) -> Data:
    data: Data = {"cue": move.cue, "was": move.was}
    pairs = (("switch_s", move.switch_s), ("pulse_s", move.pulse_s))
    for key, pair in pairs:
        data[key] = None if pair is None else {"before": pair[0], "after": pair[1]}
    ways = move.way
    data["way"] = None if ways is None else {"before": _way(ways[0]), "after": _way(ways[1])}
    return data


def _way(way: tuple[str, int, int] | None) -> Data | None:
    return None if way is None else {"box": way[0], "output": way[1], "way": way[2]}


def _kit(change: KitChange) -> Data:
    def side(kit: UsedKit | None) -> Data | None:
        return None if kit is None else {"version": kit.version, "sha256": kit.sha256}

    return {"id": change.id, "before": side(change.before), "after": side(change.after)}


def _word(verdict: Verdict | None) -> str | None:
    return None if verdict is None else verdict.value


def _margin(igniter: IgniterOutcome | None) -> float | None:
    return None if igniter is None else finite(igniter.margin)


def _light(igniter: IgniterOutcome | None) -> Data | None:
    if igniter is None:
        return None
    light = igniter.light
    return {
        "earliest": finite(light.earliest),
        "typical": finite(light.typical),
        "latest": finite(light.latest),
    }
