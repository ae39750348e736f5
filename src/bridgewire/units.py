"""Numbers with units for people: formatting only. Inside the library all is SI."""

from __future__ import annotations

import math

ZERO_CELSIUS_K = 273.15


def seconds(value: float) -> str:
    """Write a time: milliseconds below 0.1 s, else seconds, three significant digits.

    >>> seconds(0.00349), seconds(1.2462), seconds(float("inf"))
    ('3.49 ms', '1.25 s', 'never')
    """
    if math.isinf(value):
        return "never"
    if abs(value) < 0.09995:
        return f"{significant(value * 1e3)} ms"
    return f"{significant(value)} s"


def amperes(value: float) -> str:
    """Write a current: milliamperes below 0.1 A.

    >>> amperes(0.036), amperes(2.5)
    ('36.0 mA', '2.50 A')
    """
    if abs(value) < 0.09995:
        return f"{significant(value * 1e3)} mA"
    return f"{significant(value)} A"


def ohms(value: float) -> str:
    """Write a resistance in ohms.

    >>> ohms(3.368)
    '3.37 Ω'
    """
    return f"{significant(value)} Ω"


def volts(value: float) -> str:
    """Write a voltage.

    >>> volts(20.8)
    '20.8 V'
    """
    return f"{significant(value)} V"


def significant(value: float, digits: int = 3) -> str:
    """Write a number with a fixed count of significant digits and no exponent where sensible.

    >>> significant(0.08421), significant(1234.5), significant(0.0)
    ('0.0842', '1234', '0')
    """
    if value == 0:
        return "0"
    if not math.isfinite(value):
        return str(value)
    magnitude = math.floor(math.log10(abs(float(f"{value:.{digits - 1}e}"))))
    if magnitude < -4:
        return f"{value:.{digits - 1}e}"
    decimals = max(0, digits - 1 - magnitude)
    return f"{value:.{decimals}f}"
