"""Go/no-go statistics as JSON. What is not known or not bounded is ``null``."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any, TypeAlias

from bridgewire.bench.sensitivity.analysis import Analysis
from bridgewire.bench.sensitivity.extremes import DEFINITION, RELIABILITY, Extreme
from bridgewire.bench.sensitivity.fit import Fit, NoFit
from bridgewire.bench.sensitivity.reading import TrialFile
from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.json_values import finite
from bridgewire.report.sensitivity_words import LIMITS, doubts, why_no_fit

FORMAT = 1
Data: TypeAlias = dict[str, Any]


def sensitivity_json(found: Sequence[tuple[TrialFile, Analysis]], version: str) -> str:
    """Write the analysis of each file as JSON text by ``schemas/bench-sensitivity-1.json``.

    Parameters
    ----------
    found : sequence of (TrialFile, Analysis)
    version : str
        Of bridgewire.

    Returns
    -------
    str
        Ends with a line end. Levels are in the unit that ``unit`` names; ``mu``, ``sigma`` and the
        coefficients are on the scale.
    """
    return frame("fit", [_one(file, a) for file, a in found], version)


def frame(method: str, trials: list[Data], version: str) -> str:
    """The outer part that all methods share."""
    data: Data = {
        "format": FORMAT,
        "kind": "sensitivity",
        "method": method,
        "program": {"name": "bridgewire", "version": version},
        "cautions": [*CAUTIONS, *LIMITS],
        "trials": trials,
    }
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def file_data(file: TrialFile) -> Data:
    """What every method says about a file."""
    t = file.trials
    return {
        "file": file.file,
        "sha256": file.sha256,
        "unit": file.unit,
        "shots": t.shots,
        "lit": t.shots_lit,
        "lowest_level": t.range[0],
        "highest_level": t.range[1],
    }


def _one(file: TrialFile, a: Analysis) -> Data:
    result = a.result
    data: Data = {
        **file_data(file),
        "link": a.link.name,
        "scale": a.scale,
        "confidence": a.confidence,
        "levels": [
            {
                "level": c.level,
                "tried": c.tried,
                "lit": c.lit,
                "by_the_curve": c.expected,
                "shown_reliability": c.shown,
            }
            for c in a.counts
        ],
        "no_fit": None,
        "curve": None,
        "all_fire": None,
        "no_fire": None,
        "other_curves": [
            {
                "link": o.link,
                "scale": o.scale,
                "all_fire": _extreme(o.all_fire),
                "no_fire": _extreme(o.no_fire),
            }
            for o in a.others
        ],
        "definition": DEFINITION,
        "reliability": RELIABILITY,
        "doubts": list(doubts(a)),
    }
    if isinstance(result, NoFit):
        data["no_fit"] = {
            "reason": result.reason,
            "text": why_no_fit(result, file.shown_unit),
            "none_lit_up_to": result.none_lit_up_to,
            "all_lit_from": result.all_lit_from,
        }
    else:
        data["curve"] = _curve(a, result)
        data["all_fire"] = _extreme(a.all_fire)
        data["no_fire"] = _extreme(a.no_fire)
    return data


def _curve(a: Analysis, fitted: Fit) -> Data:
    tests = a.misfit
    return {
        "b0": fitted.b0,
        "b1": fitted.b1,
        "b0_se": fitted.se_coefficients[0],
        "b1_se": fitted.se_coefficients[1],
        "mu": fitted.mu,
        "mu_se": fitted.se_mu,
        "sigma": fitted.sigma,
        "sigma_se": fitted.se_sigma,
        "information": fitted.information,
        "log_likelihood": fitted.log_likelihood,
        "level_matters": a.matters,
        "misfit": None
        if tests is None
        else {
            "pearson": tests.pearson,
            "pearson_p": tests.pearson_p,
            "deviance": tests.deviance,
            "deviance_p": tests.deviance_p,
            "df": tests.df,
            "dependable": tests.dependable,
            "called_out": tests.called_out,
        },
        "shares": [
            {
                "p": m.p,
                "level": finite(m.level),
                "profile_low": m.profile[0],
                "profile_high": m.profile[1],
                "on_scale": m.approximate.value,
                "on_scale_se": m.approximate.se,
                "on_scale_delta": list(m.approximate.delta),
                "on_scale_fieller": None
                if m.approximate.fieller is None
                else list(m.approximate.fieller),
            }
            for m in a.middle
        ],
    }


def _extreme(e: Extreme | None) -> Data | None:
    if e is None:
        return None
    return {
        "p": e.p,
        "estimate": finite(e.estimate),
        "bound": e.bound,
        "sigmas_outside_levels_tried": finite(e.beyond),
    }
