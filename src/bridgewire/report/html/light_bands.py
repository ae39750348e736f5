"""Light-time bands as small bars over one logarithmic time axis for the whole show."""

from __future__ import annotations

import math
from collections.abc import Iterable

from attrs import frozen
from markupsafe import Markup

from bridgewire.report.figures import short_time, time_unit
from bridgewire.report.html.shelf import Shelf
from bridgewire.timeline.outcomes import CueOutcome, Times
from bridgewire.units import significant

HEIGHT = 14
_PAD = 5.0
_LABEL = 50.0
"""Room for one figure."""


@frozen
class BandAxis:
    """From seconds to drawing units; logarithmic.

    Attributes
    ----------
    low, high : float
        log10 of the ends, s.
    width : float
    """

    low: float
    high: float
    width: float

    def at(self, time_s: float) -> float:
        """Place of a time, kept on the axis."""
        value = math.log10(time_s) if time_s > 0.0 else self.low
        value = min(max(value, self.low), self.high)
        return _PAD + (value - self.low) / (self.high - self.low) * (self.width - 2.0 * _PAD)

    def resized(self, width: float) -> BandAxis:
        """The same axis, drawn wider or narrower."""
        return BandAxis(self.low, self.high, width)

    @property
    def ticks(self) -> tuple[float, ...]:
        """Powers of ten on the axis, as exponents; as many as have room for their figures."""
        whole = range(math.ceil(self.low - 1e-9), math.floor(self.high + 1e-9) + 1)
        step = max(1, math.ceil(len(whole) * _LABEL / self.width))
        return tuple(float(n) for n in whole[::step])


def band_axis(cues: Iterable[CueOutcome], width: float = 120.0) -> BandAxis:
    """An axis on which all light times and pulses of some cues have room."""
    times: list[float] = []
    for cue in cues:
        times += [cue.pulse_s] if cue.pulse_s is not None else []
        for i in cue.meant:
            times += [i.light.earliest, i.light.typical, i.light.latest]
    known = [t for t in times if math.isfinite(t) and t > 0.0]
    low = math.floor(math.log10(min(known, default=1e-3)))
    high = math.ceil(math.log10(max(known, default=1.0)))
    return BandAxis(float(low), float(max(high, low + 1)), width)


def tick_text(exponent: float) -> str:
    """Write a power of ten of a second.

    >>> [tick_text(n) for n in (-5, -3, -1, 0, 1)]
    ['10 µs', '1 ms', '0.1 s', '1 s', '10 s']
    """
    if exponent >= -1:
        return f"{10.0**exponent:g} s"
    return f"{10.0 ** (exponent + 3):g} ms" if exponent >= -3 else f"{10.0 ** (exponent + 6):g} µs"


def axis_svg(axis: BandAxis, shelf: Shelf) -> Markup:
    """The axis with its figures, for the head of a column."""
    out = ['<g class="f">']
    for tick in axis.ticks:
        at = axis.at(10.0**tick)
        side = "" if at < 20.0 else "e" if at > axis.width - 20.0 else "m"
        where = {"": 0.0, "e": axis.width, "m": at}[side]
        anchor = f' class="{side}"' if side else ""
        out.append(f'<text{anchor} x="{where:.0f}" y="9">{tick_text(tick)}</text>')
    ticks = "".join(f"M{_n(axis.at(10.0**t))} 11v3" for t in axis.ticks)
    out.append(f'</g><path class="a" d="{ticks}"/>')
    return shelf.show("".join(out), "b", (axis.width, HEIGHT))


def band_svg(
    light: Times | None,
    axis: BandAxis,
    shelf: Shelf,
    *,
    pulse_s: float | None = None,
    latest_allowed_s: float | None = None,
) -> Markup:
    """One band: a bar from the earliest to the latest light, a tick at the typical one.

    Parameters
    ----------
    light : Times or None
        None draws the axis only. A bar that ends in an arrow has no latest.
    axis : BandAxis
    shelf : Shelf
        Keeps the drawing.
    pulse_s : float, optional
        Shaded, from the switching on.
    latest_allowed_s : float, optional
        A dashed upright.
    """
    out: list[str] = []
    if pulse_s is not None:
        out.append(f'<path class="p" d="M0 0H{axis.at(pulse_s):.0f}V14H0z"/>')
    out.append(f'<path class="g" d="M0 13.5H{axis.width:g}"/>')
    if light is not None and math.isfinite(light.earliest):
        a = axis.at(light.earliest)
        endless = math.isinf(light.latest)
        b = axis.width - 6.0 if endless else max(axis.at(light.latest), a + 1.0)
        kind = "o" if endless else "b"
        tail = f'<path class="b" d="M{_n(b)} 3l5 4-5 4z"/>' if endless else ""
        out.append(f'<path class="{kind}" d="M{_n(a)} 5H{_n(b)}v4H{_n(a)}z"/>{tail}')
        if math.isfinite(light.typical):
            out.append(f'<path class="k" d="M{_n(axis.at(light.typical))} 2v10"/>')
    if latest_allowed_s is not None:
        out.append(f'<path class="l" d="M{axis.at(latest_allowed_s):.0f} 0v14"/>')
    return shelf.show("".join(out), "b", (axis.width, HEIGHT))


def band_words(light: Times) -> str:
    """Write the earliest and the latest light time.

    >>> band_words(Times(1.7e-5, 3.6e-5, 6.3e-5)), band_words(Times(0.13, 0.28, 1.943))
    ('17.0–63.0 µs', '0.130–1.94 s')
    >>> band_words(Times(0.1, math.inf, math.inf)), band_words(Times(math.inf, math.inf, math.inf))
    ('0.100 s–never', 'never')
    """
    low, high = light.earliest, light.latest
    if math.isinf(low):
        return "never"
    if math.isinf(high):
        return f"{short_time(low)}–never"
    a, b = short_time(low), short_time(high)
    if a == b:
        return a
    factor, unit = time_unit(high)
    return f"{significant(low * factor)}–{significant(high * factor)} {unit}"


def _n(value: float) -> str:
    """A place with one decimal at most."""
    return f"{value:.1f}".removesuffix(".0")
