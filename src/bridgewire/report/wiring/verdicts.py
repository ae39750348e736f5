"""Verdicts and what is known of a report, for the drawings."""

from __future__ import annotations

from collections.abc import Iterable

from bridgewire.report.contents import Checked
from bridgewire.timeline.outcomes import Assessment, Verdict

_WORST_FIRST = (Verdict.NO, Verdict.UNKNOWN, Verdict.MARGINAL, Verdict.SURE)


def assessed(report: Checked) -> Assessment:
    """The assessment of a report.

    Raises
    ------
    ValueError
        If the report has none: its show could not be resolved, so there is no wiring to draw.
    """
    if report.assessment is None:
        raise ValueError(f"{report.file}: a report without an assessment has no wiring to draw")
    return report.assessment


def worst(verdicts: Iterable[Verdict | None]) -> Verdict | None:
    """The worst of some verdicts; None where there is none.

    >>> worst([Verdict.SURE, None, Verdict.MARGINAL]).value
    'marginal'
    """
    found = set(verdicts)
    return next((v for v in _WORST_FIRST if v in found), None)
