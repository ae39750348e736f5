"""The response curve of a go/no-go trial as a drawing, in plain SVG."""

from __future__ import annotations

import math
from xml.sax.saxutils import escape

import numpy as np

from bridgewire.bench.sensitivity.analysis import Analysis
from bridgewire.bench.sensitivity.fit import Fit
from bridgewire.bench.sensitivity.profile import profile_interval
from bridgewire.bench.sensitivity.reading import TrialFile
from bridgewire.bench.sensitivity.trials import from_scale
from bridgewire.report.axis import Axis, framed, make_axis
from bridgewire.report.plain_text import clip_middle, visible
from bridgewire.report.sensitivity_words import percent

WIDTH, HEIGHT = 900, 520
_LEFT, _RIGHT, _TOP, _BOTTOM = 70, 20, 50, 110
_SHARES = (
    *(0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5),
    *(0.6, 0.7, 0.75, 0.8, 0.85, 0.9, 0.95, 0.98, 0.99, 0.995, 0.998),
)
_MARGIN = 0.35
"""Room beside the levels tried, as a share of their range."""


def sensitivity_svg(file: TrialFile, analysis: Analysis) -> str:
    """Draw the share lit at each level, and the curve with its interval where there is one.

    Parameters
    ----------
    file : TrialFile
    analysis : Analysis

    Returns
    -------
    str
        A standalone SVG, 900 by 520 units, that can be read in black and white. The area of a
        circle grows with the shots behind it; the shaded band is the profile-likelihood interval
        of the level at each share; an end that is not bounded runs to the edge.
    """
    low, high = file.trials.range
    room = _MARGIN * (high - low) or 0.5 * abs(high) or 1.0
    first = max(low - room, 0.5 * low) if low > 0.0 else low - room
    x = make_axis(first, high + room, _LEFT, WIDTH - _RIGHT, most=11, snug=True)
    y = Axis(-0.06, 1.06, HEIGHT - _BOTTOM, _TOP, (0.0, 0.2, 0.4, 0.6, 0.8, 1.0))
    name = clip_middle(visible(file.file), 60)
    title = escape(f"Go/no-go trial {name}")
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{HEIGHT}" '
        f'viewBox="0 0 {WIDTH} {HEIGHT}" font-family="DejaVu Sans, Verdana, sans-serif" '
        'font-size="12">',
        f"<title>{title}</title>",
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#ffffff"/>',
        f'<text x="{_LEFT}" y="28" font-size="16" font-weight="bold">{title}</text>',
        f'<clipPath id="panel"><rect x="{_LEFT}" y="{_TOP}" width="{WIDTH - _LEFT - _RIGHT}" '
        f'height="{HEIGHT - _TOP - _BOTTOM}"/></clipPath>',
    ]
    if isinstance(analysis.result, Fit):
        out += ['<g clip-path="url(#panel)">', *_curve(analysis, analysis.result, x, y), "</g>"]
    out += framed(x, y, "share lit")
    out += [
        f'<text x="{x.at(t):.2f}" y="{y.start + 18}" text-anchor="middle">{x.figure(t)}</text>'
        for t in x.ticks
    ]
    middle, foot = 0.5 * (x.start + x.end), y.start + 38
    out.append(
        f'<text x="{middle}" y="{foot}" text-anchor="middle">level '
        f"({escape(file.shown_unit)})</text>"
    )
    out += _dots(analysis, x, y)
    if isinstance(analysis.result, Fit):
        key = (
            f"line: {analysis.link.name} on {analysis.scale} scale; shaded: "
            f"{percent(analysis.confidence)} interval of the level at each share"
        )
    else:
        key = f"no curve: {analysis.result.reason}"
    out.append(
        f'<text x="{_LEFT}" y="{foot + 26}">circles: share lit at a level, larger for more '
        f"shots; {escape(key)}</text>"
    )
    out.append(
        f'<text x="{_LEFT}" y="{foot + 46}">Beyond the levels tried the curve is not checked by '
        "anything. A computed level is no permission to fire.</text>"
    )
    return "\n".join([*out, "</svg>"]) + "\n"


def _curve(a: Analysis, fitted: Fit, x: Axis, y: Axis) -> list[str]:
    left: list[str] = []
    right: list[str] = []
    for p in _SHARES:
        ends = profile_interval(fitted, p, a.confidence)
        height = y.at(p)
        left.append(f"{_clipped(from_scale(ends.low, a.scale), x):.2f},{height:.2f}")
        right.append(f"{_clipped(from_scale(ends.high, a.scale), x):.2f},{height:.2f}")
    band = " ".join([*left, *reversed(right)])
    levels = [v for v in np.linspace(x.low, x.high, 200) if a.scale == "linear" or v > 0.0]
    places = np.array(levels) if a.scale == "linear" else np.log10(levels)
    shares = fitted.link.probability(fitted.b0 + fitted.b1 * places)
    line = " ".join(
        f"{x.at(v):.2f},{y.at(float(p)):.2f}" for v, p in zip(levels, shares, strict=True)
    )
    return [
        f'<polygon points="{band}" fill="#d9e2ef"/>',
        f'<polyline points="{line}" fill="none" stroke="#1f4e9a" stroke-width="1.8"/>',
    ]


def _clipped(level: float, x: Axis) -> float:
    return x.at(min(max(level, x.low), x.high))


def _dots(a: Analysis, x: Axis, y: Axis) -> list[str]:
    most = max(c.tried for c in a.counts)
    return [
        f'<circle cx="{x.at(c.level):.2f}" cy="{y.at(c.lit / c.tried):.2f}" '
        f'r="{3.0 + 7.0 * math.sqrt(c.tried / most):.2f}" fill="#ffffff" fill-opacity="0.6" '
        'stroke="#000000" stroke-width="1.2"/>'
        for c in a.counts
    ]
