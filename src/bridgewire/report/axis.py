"""A numeric axis: round ticks, and the mapping from values to places on the drawing."""

from __future__ import annotations

import math

from attrs import frozen


@frozen
class Axis:
    """From values to drawing units.

    Attributes
    ----------
    low, high : float
        Values at the ends.
    start, end : float
        Places of the ends on the drawing.
    ticks : tuple of float
        Values with a figure, upwards.
    """

    low: float
    high: float
    start: float
    end: float
    ticks: tuple[float, ...]

    def at(self, value: float) -> float:
        """Place of a value."""
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)

    def figure(self, tick: float) -> str:
        """Write a tick with as many decimals as the ticks of this axis need.

        >>> axis = make_axis(2.9, 3.1, 0.0, 100.0, most=5)
        >>> [axis.figure(tick) for tick in axis.ticks]
        ['2.90', '2.95', '3.00', '3.05', '3.10']
        """
        exact = [f"{t:.10g}" for t in self.ticks]
        if any("e" in text for text in exact):
            return f"{tick:g}"
        decimals = max((len(text.partition(".")[2]) for text in exact), default=0)
        return f"{tick:.{decimals}f}"


def make_axis(
    low: float, high: float, start: float, end: float, *, most: int = 7, snug: bool = False
) -> Axis:
    """An axis with round ticks.

    Parameters
    ----------
    low, high : float
        Range of the data.
    start, end : float
        Places on the drawing.
    most : int
        Most ticks.
    snug : bool
        End the axis at the data, not at the next tick. A low end a little below zero is always
        kept as it is.

    Examples
    --------
    >>> make_axis(0.0, 2.9, 0.0, 100.0).ticks
    (0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0)
    """
    if not high > low:
        high = low + 1.0
    raw = (high - low) / (most - 1)
    scale = 10.0 ** math.floor(math.log10(raw))
    step = next(f for f in (1.0, 2.0, 2.5, 5.0, 10.0) if raw <= f * scale * (1 + 1e-9)) * scale
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    if not snug:
        last = math.ceil(high / step - 1e-9)
        high = last * step
        if not -0.5 * step < low < 0.0:
            first = math.floor(low / step + 1e-9)
            low = first * step
    return Axis(
        low, high, start, end, tuple(float(f"{n * step:.10g}") for n in range(first, last + 1))
    )


def framed(x: Axis, y: Axis, label: str) -> list[str]:
    """SVG of a panel's frame: grid lines and figures of y, tick marks of x, the y label.

    Parameters
    ----------
    x, y : Axis
        With their ends where the panel stands.
    label : str
        Already escaped.
    """
    out: list[str] = []
    for tick in y.ticks:
        at = y.at(tick)
        out.append(
            f'<path d="M{x.start} {at:.2f}H{x.end}" stroke="#c4c4c4" stroke-width="0.5"/>'
            f'<text x="{x.start - 8}" y="{at + 4:.2f}" text-anchor="end">{y.figure(tick)}</text>'
        )
    out.extend(f'<path d="M{x.at(t):.2f} {y.start}v-5" stroke="#000000"/>' for t in x.ticks)
    middle = 0.5 * (y.start + y.end)
    out.append(
        f'<rect x="{x.start}" y="{y.end}" width="{x.end - x.start}" '
        f'height="{y.start - y.end}" fill="none" stroke="#000000"/>'
        f'<text transform="translate(18 {middle}) rotate(-90)" text-anchor="middle">{label}</text>'
    )
    return out
