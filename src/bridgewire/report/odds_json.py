"""The odds of a show as JSON. Keys carry their unit; what is not known is ``null``."""

from __future__ import annotations

import json
from typing import Any, TypeAlias

from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.json_values import estimate, finite
from bridgewire.report.odds_text import LIMITS
from bridgewire.uncertainty.intervals import CONFIDENCE
from bridgewire.uncertainty.odds_figures import CueOdds
from bridgewire.uncertainty.sensitivity import CauseRanking
from bridgewire.uncertainty.shares import SHARES, SHARES_SOURCE
from bridgewire.uncertainty.study import OddsStudy

FORMAT = 1

Data: TypeAlias = dict[str, Any]


def odds_json(study: OddsStudy, version: str) -> str:
    """Write the odds of a show as JSON text.

    Parameters
    ----------
    study : OddsStudy
    version : str
        Of bridgewire.

    Returns
    -------
    str
        Ends with a line end.
    """
    odds = study.odds
    data: Data = {
        "format": FORMAT,
        "kind": "odds",
        "program": {"name": "bridgewire", "version": version},
        "cautions": [*CAUTIONS, *LIMITS],
        "title": study.title,
        "cue": study.cue,
        "draws": odds.draws,
        "seed": odds.seed,
        "sampling": odds.sampling,
        "confidence": CONFIDENCE,
        "band_sigma": study.band_sigma,
        "shares": {"source": SHARES_SOURCE, "values": dict(SHARES)},
        "required": study.required,
        "below_required": study.below_required,
        "taken_as_exact": list(odds.taken_as_exact),
        "no_igniter_unlit": estimate(odds.no_unlit),
        "every_cue": estimate(odds.every_cue),
        "expected_unlit": {
            "value": odds.unlit.value,
            "low": odds.unlit.low,
            "high": odds.unlit.high,
        },
        "igniters": odds.igniters,
        "never_reached": list(odds.never),
        "not_computed": list(odds.unknown),
        "model_faults": [{"model": f.model, "text": f.text} for f in odds.faults],
        "cues": [_cue(c) for c in odds.cues],
        "closer": [_ranking(r) for r in study.closer],
    }
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _cue(cue: CueOdds) -> Data:
    return {
        "id": cue.id,
        "all_light": estimate(cue.all_light),
        "together": estimate(cue.together),
        "spread_s": cue.spread_s,
        "igniters": [
            {
                "id": i.id,
                "lights": estimate(i.lights),
                "failures": i.failures,
                "log_margin": finite(i.log_margin),
                "log_margin_sd": finite(i.log_margin_sd),
                "variance_shares": {s.group: s.share for s in i.shares},
            }
            for i in cue.igniters
        ],
    }


def _ranking(ranking: CauseRanking) -> Data:
    failure = ranking.failure
    low, high = failure.interval
    return {
        "igniter": ranking.id,
        "cue": ranking.cue,
        "fails": {"value": failure.probability, "low": low, "high": high},
        "relative_error": finite(failure.relative_error),
        "samples": failure.samples,
        "doubts": list(failure.doubts),
        "beta": finite(ranking.beta),
        "first_order": finite(ranking.first_order),
        "ways_to_fail": failure.modes,
        "basis": ranking.basis,
        "causes": [
            {"latent": c.latent, "z": c.z, "importance": c.alpha2} for c in failure.causes[:10]
        ],
        "groups": [
            {
                "group": g.group,
                "share": g.share,
                "fails_if_halved": g.halved,
                "fails_if_known": g.known,
                "measure": g.advice,
            }
            for g in ranking.groups
        ],
    }
