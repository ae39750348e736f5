"""Numbers as the reports show them."""

from __future__ import annotations

import math

from bridgewire.model.band import Band
from bridgewire.timeline.outcomes import Times
from bridgewire.units import significant


def clock(time_s: float) -> str:
    """Write a moment of the show as minutes and seconds.

    >>> clock(61.5), clock(0.0), clock(3725.125), clock(-2.0)
    ('1:01.50', '0:00.00', '1:02:05.13', '-0:02.00')
    """
    hundredths = math.floor(abs(time_s) * 100.0 + 0.5)
    minutes, rest = divmod(hundredths, 6000)
    hours, minutes = divmod(minutes, 60)
    sign = "-" if time_s < 0 and hundredths else ""
    seconds = f"{rest // 100:02d}.{rest % 100:02d}"
    return f"{sign}{hours}:{minutes:02d}:{seconds}" if hours else f"{sign}{minutes}:{seconds}"


def number(value: float) -> str:
    """Write a number with three significant digits at most, no padding noughts.

    >>> number(2.0), number(0.25), number(0.0123), number(1234.5)
    ('2', '0.25', '0.0123', '1234')
    """
    text = significant(value)
    return text.rstrip("0").rstrip(".") if "." in text and "e" not in text else text


def short_seconds(value: float) -> str:
    """Write a time in s for a table: two or three digits, ``never`` for infinity.

    >>> short_seconds(0.00349), short_seconds(1.2462), short_seconds(math.inf)
    ('.0035', '1.25', 'never')
    """
    if math.isinf(value):
        return "never"
    if value == 0.0:
        return "0"
    if abs(value) >= 0.995:
        return significant(value)
    digits = 2 if abs(value) < 0.0995 else 3
    decimals = max(0, digits - 1 - math.floor(math.log10(abs(value)))) - (digits == 3)
    return f"{value:.{decimals}f}".removeprefix("0")


def light_band(times: Times) -> str:
    """Write earliest and latest light for a table, s.

    >>> light_band(Times(0.13, 0.28, 1.943)), light_band(Times(math.inf, math.inf, math.inf))
    ('.13-1.94', 'never')
    """
    low, high = short_seconds(times.earliest), short_seconds(times.latest)
    return low if low == high else f"{low}-{high}"


def band_text(band: Band, unit: str) -> str:
    """Write a band with its unit.

    >>> band_text(Band(-2, 6, 12), "°C"), band_text(Band.exact(2.5), "V")
    ('-2 to 12 °C (typical 6)', '2.5 V')
    """
    if band.min == band.max:
        return f"{number(band.typical)} {unit}".rstrip()
    ends = f"{number(band.min)} to {number(band.max)} {unit}".rstrip()
    return f"{ends} (typical {number(band.typical)})"
