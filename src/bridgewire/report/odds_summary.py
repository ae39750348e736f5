"""The odds of a show in a few words, for a report of a check."""

from __future__ import annotations

from typing import Any

from bridgewire.report.json_values import estimate
from bridgewire.report.odds_text import with_interval
from bridgewire.report.plain_text import wrap
from bridgewire.uncertainty.study import OddsStudy


def odds_lines(study: OddsStudy, width: int) -> list[str]:
    """A line or two of text.

    Parameters
    ----------
    study : OddsStudy
    width : int

    Returns
    -------
    list of str
    """
    odds = study.odds
    text = (
        f"in {odds.draws} draws {odds.unlit.value:.3g} of {odds.igniters} igniters unlit on "
        f"average; none unlit: {with_interval(odds.no_unlit)}"
    )
    if odds.unknown:
        text += f"; {len(odds.unknown)} not computed, and not in this"
    return wrap(text, width, "Odds       ", "           ")


def odds_data(study: OddsStudy) -> dict[str, Any]:
    """The same as plain data, in the shape of ``Odds`` in ``schemas/report-1.json``."""
    odds = study.odds
    return {
        "draws": odds.draws,
        "seed": odds.seed,
        "required": study.required,
        "igniters": odds.igniters,
        "not_computed": list(odds.unknown),
        "expected_unlit": {
            "value": odds.unlit.value,
            "low": odds.unlit.low,
            "high": odds.unlit.high,
        },
        "no_igniter_unlit": estimate(odds.no_unlit),
        "every_cue": estimate(odds.every_cue),
    }
