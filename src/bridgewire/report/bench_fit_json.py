"""A fitted bench record as JSON."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from bridgewire.bench.calibration.study import FitStudy
from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.json_values import rounded_band


def bench_fit_json(study: FitStudy, version: str, written: Sequence[str] = ()) -> str:
    """Write what was learned from a record as JSON text by ``schemas/bench-fit-1.json``.

    Parameters
    ----------
    study : FitStudy
    version : str
        Of bridgewire.
    written : sequence of str
        Files that were written.

    Returns
    -------
    str
        Bands of typical values are the median and the central 90 %.
    """
    posterior = study.posterior
    model = posterior.model
    found = posterior.diagnostics
    data: dict[str, Any] = {
        "format": 1,
        "program": {"name": "bridgewire", "version": version},
        "cautions": [*study.cautions(), *CAUTIONS],
        "record": {
            "file": model.loaded.file,
            "title": model.record.title,
            "sha256": model.loaded.document.sha256,
            "included": [{"file": f, "sha256": d} for f, d in model.loaded.document.included],
            "kits": [
                {"id": kit, "sha256": loaded.document.sha256}
                for kit, loaded in model.loaded.kits.items()
            ],
        },
        "parameters": [
            {
                "table": v.parameter.table,
                "id": f"{v.parameter.kit}:{v.parameter.id}",
                "key": v.parameter.key,
                "unit": v.parameter.unit,
                "before": rounded_band(v.prior),
                "after": rounded_band(v.posterior),
                "scatter_before_pct": rounded_band(v.prior_scatter_pct),
                "scatter_after_pct": rounded_band(v.scatter_pct),
                "band": rounded_band(v.band),
                "learned": v.learned,
                "narrower": round(v.narrower, 4),
                "shift": round(v.shift, 4),
            }
            for v in study.learned
        ],
        "classes": [
            {
                "id": c.class_id,
                "threshold_A": {
                    "before": rounded_band(c.threshold_before_A),
                    "after": rounded_band(c.threshold_A),
                },
                "tau_s": {"before": rounded_band(c.tau_before_s), "after": rounded_band(c.tau_s)},
            }
            for c in study.classes
        ],
        "trials": [
            {
                "id": a.trial,
                "entries": data.count,
                "p": a.p,
                "p_whole": a.p_whole,
                "p_late": a.p_late,
                "lateness": round(a.lateness, 4),
                "disagrees": a.disagrees,
                "undecided_before": a.undecided,
                "judged": a.judged,
                "advice": a.advice,
            }
            for a, data in zip(study.agreement, posterior.data, strict=True)
        ],
        "diagnostics": {
            "good": found.good,
            "r_hat": round(found.r_hat, 4),
            "r_hat_of": found.r_hat_of,
            "effective": round(found.effective, 1),
            "draws": int(posterior.z.shape[0]),
            "steps": found.steps,
            "evaluations": found.evaluations,
            "seed": posterior.seed,
        },
        "written": list(written),
    }
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
