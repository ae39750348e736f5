"""What to try next as JSON."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from bridgewire.bench.design.rank import Ranked
from bridgewire.bench.design.study import NextStudy
from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.next_trial_record import trial_data
from bridgewire.report.next_trial_text import BENCH_CAUTIONS


def next_trial_json(study: NextStudy, version: str, written: Sequence[str] = ()) -> str:
    """Write what to try next as JSON text by ``schemas/bench-next-1.json``.

    Parameters
    ----------
    study : NextStudy
    version : str
        Of bridgewire.
    written : sequence of str
        Files that were written.

    Returns
    -------
    str
    """
    ranking = study.ranking
    loaded = study.loaded
    data: dict[str, Any] = {
        "format": 1,
        "program": {"name": "bridgewire", "version": version},
        "cautions": [*study.cautions(), *BENCH_CAUTIONS, *CAUTIONS],
        "record": {
            "file": loaded.file,
            "title": loaded.record.title,
            "sha256": loaded.document.sha256,
        },
        "question": {
            "text": ranking.question.text,
            "required": ranking.answer.required,
            "certainty": study.certainty,
            "probability_of_yes": _round(ranking.probability),
            "open_bits": _round(ranking.open_bits),
            "lights": _round(ranking.answer.lights(ranking.belief.weight)),
            "settled": study.settled,
        },
        "looked_at": ranking.looked_at,
        "draws": ranking.belief.rows,
        "trusted": study.trusted,
        "trials": [_trial(r) for r in ranking.ranked],
        "missing": [{"code": f.code, "message": f.message} for f in ranking.missing],
        "untried": list(study.untried),
        "written": list(written),
    }
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _trial(r: Ranked) -> dict[str, Any]:
    return {
        "layout": r.candidate.layout,
        "igniters": r.candidate.igniters,
        "cable_m": _round(r.candidate.cable_m),
        "bits": _round(r.gain.bits),
        "bits_se": _round(r.gain.se),
        "bits_per_igniter": _round(r.per_igniter),
        "bits_per_igniter_se": _round(r.per_igniter_se),
        "tied_with_first": r.tied,
        "all_light": _round(r.all_light),
        "none_light": _round(r.none_light),
        "informs": [
            {
                "unknown": reason.key,
                "variance_share": _round(reason.share),
                "correlation": _round(reason.bearing),
            }
            for reason in r.reasons
        ],
        "trial": trial_data(r.candidate.trial),
    }


def _round(value: float) -> float:
    return float(f"{value:.5g}")
