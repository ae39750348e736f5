"""Counts and figures as messages write them."""

from __future__ import annotations

import math

from bridgewire.units import seconds

TIMES_NEEDED = "times the current needed"
"""The unit of a margin."""
_BEYOND_C = 1000.0
"""Copper melts at 1085 °C: a higher figure says no more."""


def count(number: int, noun: str, many: str = "") -> str:
    """Write how many there are; `many` is the plural where an s is not enough.

    >>> count(1, "joint"), count(2, "joint"), count(2, "way is like it", "ways are like it")
    ('1 joint', '2 joints', '2 ways are like it')
    """
    return f"{number} {noun if number == 1 else many or noun + 's'}"


def seconds_up(value: float) -> str:
    """Write a time that is to be kept at least: rounded up, three significant digits.

    >>> seconds_up(4.0000162), seconds_up(0.37), seconds_up(0.01234567), seconds_up(0.0)
    ('4.01 s', '0.370 s', '12.4 ms', '0 ms')
    """
    if value <= 0.0:
        return seconds(0.0)
    scale = 1e3 if value < 0.09995 else 1.0
    step = 10.0 ** min(math.floor(math.log10(value * scale)) - 2, 0)
    return seconds(math.ceil(value * scale / step - 1e-6) * step / scale)


def clock_up(time_s: float) -> str:
    """Write a moment of the show that is to be waited for: rounded up to a millisecond.

    >>> clock_up(13.0), clock_up(13.0004), clock_up(12.99999957)
    ('13.000 s', '13.001 s', '13.000 s')
    """
    return f"{math.ceil(time_s * 1e3 - 1e-3) / 1e3:.3f} s"


def conductor_C(end_C: float, digits: int = 3) -> str:
    """Write how hot a conductor gets; far above what any conductor stands no figure is given.

    Three digits are whole degrees, each further one is a decimal.

    >>> conductor_C(161.3), conductor_C(98.7), conductor_C(98.7, 4), conductor_C(6963.9)
    ('161 °C', '99 °C', '98.7 °C', 'more than 1000 °C')
    >>> conductor_C(-0.3)
    '0 °C'
    """
    beyond = end_C > _BEYOND_C
    return f"more than {_BEYOND_C:.0f} °C" if beyond else f"{end_C:z.{max(digits - 3, 0)}f} °C"
