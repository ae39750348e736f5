"""Meter readings with their uncertainty, and functions of them.

Uncertainties are intervals, not standard deviations: an instrument stated as ±(percent of reading
+ digits) promises that the true value lies within. A function of readings is evaluated at every
combination of ends (`worst_case`), which is exact where it rises or falls in each reading
throughout. Errors that several readings of one meter share partly cancel; that is not counted on,
so the result is never too narrow.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Sequence
from decimal import Decimal, InvalidOperation

from attrs import frozen

from bridgewire.model.band import Band

_ACCURACY = re.compile(
    r"\s*(?:±|\+-|\+/-)?\s*(?P<percent>\d+(?:\.\d+)?)\s*%?\s*"
    r"(?:\+\s*(?P<digits>\d+)\s*(?:digits?|counts?|d)?)?\s*",
    re.IGNORECASE,
)
_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_TOLERANCE = re.compile(rf"\s*({_NUMBER})\s*(?:±|\+-|\+/-)\s*({_NUMBER})\s*(%?)\s*")
_RANGE = re.compile(rf"\s*({_NUMBER})\s*(?:to|\.\.)\s*({_NUMBER})\s*")


@frozen
class Accuracy:
    """What an instrument promises: percent of the reading plus so many of the last digit.

    >>> str(Accuracy(0.5, 2))
    '±0.5 % + 2 digits'
    """

    percent: float
    digits: int = 0

    def __str__(self) -> str:
        if self.digits == 0:
            return f"±{self.percent:g} %"
        return f"±{self.percent:g} % + {self.digits} digit{'s' if self.digits != 1 else ''}"

    @classmethod
    def parse(cls, text: str) -> Accuracy:
        """Read ``0.5 % + 2 digits`` and shorter forms of it.

        Raises
        ------
        ValueError
            For any other text.

        >>> Accuracy.parse("0.8+3")
        Accuracy(percent=0.8, digits=3)
        """
        found = _ACCURACY.fullmatch(text)
        if found is None or float(found["percent"]) >= 100.0:
            raise ValueError("write percent and digits, as in 0.5 % + 2")
        return cls(float(found["percent"]), int(found["digits"] or 0))


def resolution(text: str) -> float:
    """Return the worth of the last digit of a reading as written.

    >>> resolution("12.30"), resolution("470")
    (0.01, 1.0)
    """
    try:
        exponent = Decimal(text.strip()).as_tuple().exponent
    except InvalidOperation:
        raise ValueError(f"{text!r} is not a number{_what_is_amiss(text)}") from None
    if not isinstance(exponent, int):
        raise ValueError(f"{text!r} is not a finite number")
    return float(Decimal(1).scaleb(min(exponent, 0)))


def _what_is_amiss(text: str) -> str:
    """Tell of the two slips that are made most: a decimal comma, and the unit after the number."""
    if re.search(r"\d,\d", text) is not None:
        return "; write a decimal point: 0.12"
    if re.fullmatch(rf"\s*{_NUMBER}\s*[^\W\d][\w²/]*\s*", text) is not None:
        return "; write it without its unit"
    return ""


def reading(text: str, accuracy: Accuracy) -> Band:
    """Read a meter reading as it was shown.

    Parameters
    ----------
    text : str
        With every digit that the meter showed: ``12.30`` is not ``12.3``.
    accuracy : Accuracy

    Returns
    -------
    Band
        Same unit as the reading.

    Raises
    ------
    ValueError
        If the text is no number.

    Examples
    --------
    >>> reading("12.30", Accuracy(0.5, 2))
    Band(min=12.2185, typical=12.3, max=12.3815)
    """
    step = resolution(text)
    value = float(text)
    off = abs(value) * accuracy.percent / 100.0 + accuracy.digits * step
    return Band(round(value - off, 12), value, round(value + off, 12))


def quantity(text: str) -> Band:
    """Read a figure of a label or data sheet: ``5``, ``5 ± 0.1``, ``5 ± 2 %`` or ``4.8 to 5.3``.

    Raises
    ------
    ValueError
        For any other text.

    Examples
    --------
    >>> quantity("10 +- 1 %"), quantity("4 to 6")
    (Band(min=9.9, typical=10.0, max=10.1), Band(min=4.0, typical=5.0, max=6.0))
    """
    found = _TOLERANCE.fullmatch(text)
    if found is not None:
        value, tolerance = float(found[1]), float(found[2])
        if tolerance < 0:
            raise ValueError("a tolerance is not below 0")
        if found[3]:
            return Band.with_percent(value, tolerance)
        return Band.with_tolerance(value, tolerance)
    found = _RANGE.fullmatch(text)
    if found is not None:
        low, high = float(found[1]), float(found[2])
        if low > high:
            raise ValueError("the first number is to be the smaller one")
        return Band(low, (low + high) / 2.0, high)
    if re.fullmatch(rf"\s*{_NUMBER}\s*", text) is None:
        form = "write a number, or as in 5 ± 0.1, 5 ± 2 %, 4.8 to 5.3"
        raise ValueError(f"{form}{_what_is_amiss(text)}")
    return Band.exact(float(text))


def worst_case(function: Callable[..., float], *bands: Band) -> Band:
    """Evaluate a function at every combination of ends of its arguments.

    Exact where the function rises or falls in each argument throughout; every use here does,
    save where it says otherwise.

    Examples
    --------
    >>> worst_case(lambda a, b: a / b, Band(9, 10, 11), Band(4, 5, 6))
    Band(min=1.5, typical=2.0, max=2.75)
    """
    values = [function(*ends) for ends in itertools.product(*((b.min, b.max) for b in bands))]
    typical = function(*(b.typical for b in bands))
    return Band(min(*values, typical), typical, max(*values, typical))


def hull(bands: Sequence[Band]) -> Band:
    """Join several pieces: from the least to the largest, typical the mean of the typical ones.

    >>> hull([Band(1, 2, 3), Band(2, 4, 6)])
    Band(min=1, typical=3.0, max=6)
    """
    low, high = min(b.min for b in bands), max(b.max for b in bands)
    mean = sum(b.typical for b in bands) / len(bands)
    return Band(low, min(max(mean, low), high), high)


def overlap(a: Band, b: Band) -> bool:
    """Tell whether two bands have a value in common.

    >>> overlap(Band(1, 2, 3), Band(3, 4, 5)), overlap(Band(1, 2, 3), Band(4, 5, 6))
    (True, False)
    """
    return a.min <= b.max and b.min <= a.max


def not_below_zero(band: Band) -> Band:
    """Cut a band at 0, where the quantity cannot be less."""
    return Band(max(band.min, 0.0), max(band.typical, 0.0), max(band.max, 0.0))
