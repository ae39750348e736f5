"""Values that the JSON outputs share."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bridgewire.model.band import Band
    from bridgewire.uncertainty.intervals import Estimate


def finite(value: float | None) -> float | None:
    """A number that JSON can hold; None for what is infinite, no number or not known.

    >>> finite(1.5), finite(math.inf), finite(math.nan), finite(None)
    (1.5, None, None, None)
    """
    return value if value is not None and math.isfinite(value) else None


def rounded(value: float | None) -> float | None:
    """A number with six digits; None as `finite` gives it.

    >>> rounded(0.123456789), rounded(math.inf), rounded(None)
    (0.123457, None, None)
    """
    value = finite(value)
    return None if value is None else float(f"{value:.6g}")


def band(value: Band | None) -> dict[str, float] | None:
    """A band; None where it is not known."""
    if value is None:
        return None
    return {"min": value.min, "typical": value.typical, "max": value.max}


def rounded_band(value: Band | None) -> dict[str, float | None] | None:
    """A band of numbers with six digits; None where it is not known."""
    told = band(value)
    return None if told is None else {end: rounded(number) for end, number in told.items()}


def estimate(value: Estimate | None) -> dict[str, float] | None:
    """A probability with its interval; None where it was not computed."""
    if value is None:
        return None
    return {"value": value.value, "low": value.low, "high": value.high}
