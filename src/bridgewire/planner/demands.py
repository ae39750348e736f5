"""Which findings a plan must not have: errors, and broken requirements."""

from __future__ import annotations

from bridgewire.diagnostics import Finding, Severity
from bridgewire.model.show import Requirements

OF_THE_SITE = frozenset({"FIR002", "FIR005", "TIM006", "TIM007", "TIM008", "TIM009", "SUP002"})
"""Warnings that say that a verdict is not sure, that a requirement is not met, or that a box may
stop working."""
WHERE_STATED = {"FIR006": "all_fire_factor"}
"""Warnings that count where the site states the requirement, and rest on a default elsewhere."""


def breaks_demand(finding: Finding, requirements: Requirements) -> bool:
    """Whether a plan with this finding is not good enough.

    Parameters
    ----------
    finding : Finding
        Of a check.
    requirements : Requirements
        Of the site.

    Examples
    --------
    >>> breaks_demand(Finding("WIR003", "thin", Severity.WARNING), Requirements())
    False
    >>> breaks_demand(Finding("FIR005", "low margin", Severity.WARNING), Requirements())
    True
    """
    if finding.severity is Severity.ERROR or finding.code in OF_THE_SITE:
        return True
    key = WHERE_STATED.get(finding.code)
    return key is not None and getattr(requirements, key) is not None
