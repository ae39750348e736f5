"""Numbers with units for people: formatting only. Inside the library all is SI."""

from __future__ import annotations

import math
from collections.abc import Callable

_MOST_DIGITS = 6


def told_apart(write: Callable[[float, int], str], *values: float, limit: float) -> tuple[str, ...]:
    """Write values and the limit that they keep to or break, so that they do not read alike.

    Parameters
    ----------
    write : callable
        Of a number and a count of significant digits: `amperes`, `seconds`, `significant` and so
        on.
    *values : float
        What was computed or read, in the unit that `write` takes.
    limit : float
        What each of them is held against, in the same unit.

    Returns
    -------
    tuple of str
        The values in their order, then the limit, all to three digits, or to as many more as it
        takes to tell each value from the limit, at most six. A value that is the limit to six
        digits does not count.

    Examples
    --------
    >>> told_apart(amperes, 20.7, limit=20.0), told_apart(amperes, 20.004, limit=20.0)
    (('20.7 A', '20.0 A'), ('20.004 A', '20.000 A'))
    >>> told_apart(seconds, 0.71, 0.5002, limit=0.5)
    ('0.7100 s', '0.5002 s', '0.5000 s')
    """
    needed = 3
    for value in values:
        enough = (n for n in range(3, _MOST_DIGITS + 1) if write(value, n) != write(limit, n))
        needed = max(needed, next(enough, 3))
    return tuple(write(value, needed) for value in (*values, limit))


def seconds(value: float, digits: int = 3) -> str:
    """Write a time: milliseconds below 0.1 s, else seconds.

    >>> seconds(0.00349), seconds(1.2462), seconds(float("inf"))
    ('3.49 ms', '1.25 s', 'never')
    """
    if math.isinf(value):
        return "never"
    if abs(value) < 0.09995:
        return f"{significant(value * 1e3, digits)} ms"
    return f"{significant(value, digits)} s"


def amperes(value: float, digits: int = 3) -> str:
    """Write a current: milliamperes below 0.1 A.

    >>> amperes(0.036), amperes(2.5)
    ('36.0 mA', '2.50 A')
    """
    if abs(value) < 0.09995:
        return f"{significant(value * 1e3, digits)} mA"
    return f"{significant(value, digits)} A"


def ohms(value: float, digits: int = 3) -> str:
    """Write a resistance in ohms.

    >>> ohms(3.368)
    '3.37 Ω'
    """
    return f"{significant(value, digits)} Ω"


def volts(value: float, digits: int = 3) -> str:
    """Write a voltage.

    >>> volts(20.8)
    '20.8 V'
    """
    return f"{significant(value, digits)} V"


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


def plain(value: float, digits: int = 3) -> str:
    """Write a number as `significant` does, without zeros at the end of its decimals.

    >>> plain(50.0), plain(0.0810), plain(120.0), plain(50.04, 4)
    ('50', '0.081', '120', '50.04')
    """
    text = significant(value, digits)
    return text.rstrip("0").rstrip(".") if "." in text and "e" not in text else text
