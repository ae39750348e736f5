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
    """Write a time for a narrow column of seconds: milliseconds count, less does not.

    >>> short_seconds(0.00349), short_seconds(1.2462), short_seconds(12.34), short_seconds(0.0001)
    ('0.003', '1.25', '12.3', '0')
    """
    if math.isinf(value):
        return "never"
    decimals = 3 if abs(value) < 0.9995 else 2 if abs(value) < 9.995 else 1
    text = f"{value:.{decimals}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def time_unit(time_s: float) -> tuple[float, str]:
    """Give the unit that a time is shown in, and its factor from seconds.

    >>> time_unit(1.2), time_unit(0.05), time_unit(6.3e-5), time_unit(0.0)
    ((1.0, 's'), (1000.0, 'ms'), (1000000.0, 'µs'), (1000.0, 'ms'))
    """
    if abs(time_s) >= 0.09995:
        return 1.0, "s"
    return (1e6, "µs") if 0.0 < abs(time_s) < 0.99995e-4 else (1e3, "ms")


def short_time(time_s: float) -> str:
    """Write a time with few noughts: microseconds below 0.1 ms.

    >>> short_time(6.48e-6), short_time(0.00349), short_time(1.2462), short_time(float("inf"))
    ('6.48 µs', '3.49 ms', '1.25 s', 'never')
    """
    if math.isinf(time_s):
        return "never"
    factor, unit = time_unit(time_s)
    return f"{significant(time_s * factor)} {unit}"


def light_band(times: Times) -> str:
    """Write earliest and latest light with the unit, at most 12 characters.

    >>> light_band(Times(0.13, 0.28, 1.943)), light_band(Times(0.0035, 0.005, 0.0123))
    ('0.13-1.94 s', '3.5-12.3 ms')
    >>> light_band(Times(1.7e-5, 3.6e-5, 6.3e-5)), light_band(Times(4e-6, 0.001, 0.003))
    ('17-63 µs', '0-3 ms')
    >>> light_band(Times(0.1, math.inf, math.inf)), light_band(Times(math.inf, math.inf, math.inf))
    ('0.1 s-never', 'never')
    """
    low, high = times.earliest, times.latest
    if math.isinf(low):
        return "never"
    if math.isinf(high):
        factor, unit = time_unit(low)
        if unit == "s":
            return f"{_brief(low)} s-never"
        return f"{low * factor:.{0 if low * factor >= 9.95 else 1}f} {unit}-never"
    factor, unit = time_unit(high)
    a, b = _brief(low * factor), _brief(high * factor)
    return f"{a} {unit}" if a == b else f"{a}-{b} {unit}"


def _brief(value: float) -> str:
    """Two decimals below 2, one below 20, else none."""
    decimals = 2 if value < 1.995 else 1 if value < 19.95 else 0
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def band_text(band: Band, unit: str) -> str:
    """Write a band with its unit.

    >>> band_text(Band(-2, 6, 12), "°C"), band_text(Band.exact(2.5), "V")
    ('-2 to 12 °C (typical 6)', '2.5 V')
    """
    if band.min == band.max:
        return f"{number(band.typical)} {unit}".rstrip()
    ends = f"{number(band.min)} to {number(band.max)} {unit}".rstrip()
    return f"{ends} (typical {number(band.typical)})"
