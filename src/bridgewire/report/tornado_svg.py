"""What each uncertainty does to a margin, as a tornado plot in plain SVG."""

from __future__ import annotations

from collections.abc import Sequence
from xml.sax.saxutils import escape

from bridgewire.report.axis import Axis, make_axis
from bridgewire.report.figures import number
from bridgewire.report.plain_text import clip_middle, count, visible
from bridgewire.uncertainty.tornado import Bar, Tornado
from bridgewire.units import significant

WIDTH = 900
_LEFT, _RIGHT, _TOP, _ROW = 250, 70, 92, 26
MOST = 16
"""Bars drawn; the rest is told in words."""
AWAY = 4.0
"""The margin 1 is drawn if it is at most so many times the longest bar away from the bars."""


def tornado_svg(tornado: Tornado) -> str:
    """Draw a tornado plot.

    Parameters
    ----------
    tornado : Tornado

    Returns
    -------
    str
        A standalone SVG, 900 units wide, that can be read in black and white: the part of a bar
        that lowers the margin is hatched, the part that raises it white; each bar carries its name
        and the margins at its ends.
    """
    bars = tornado.bars[:MOST]
    rows = max(len(bars), 1)
    bottom = _TOP + rows * _ROW
    height = bottom + 96
    values = [tornado.margin, *(b.worse for b in bars), *(b.better for b in bars)]
    if _shows_one(values):
        values.append(1.0)
    room = 0.05 * (max(values) - min(values)) or 0.1
    x = make_axis(
        max(min(values) - room, 0.0),
        max(values) + room,
        _LEFT + 50,
        WIDTH - _RIGHT,
        most=9,
        snug=True,
    )
    heading = f"{visible(tornado.title)}: cue {visible(tornado.cue)}"
    about = (
        f"igniter {visible(tornado.igniter)} (least margin of the cue); each uncertainty moved "
        f"alone by {number(tornado.sigmas)} standard deviations"
    )
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{height}" '
        f'viewBox="0 0 {WIDTH} {height}" font-family="DejaVu Sans, Verdana, sans-serif" '
        'font-size="12">',
        f"<title>{escape(heading)}: what each uncertainty does to the margin</title>",
        '<defs><pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(45)"><rect width="6" height="6" fill="#ffffff"/>'
        '<path d="M0 0V6" stroke="#000000" stroke-width="3"/></pattern></defs>',
        f'<rect width="{WIDTH}" height="{height}" fill="#ffffff"/>',
        f'<text x="20" y="26" font-size="16" font-weight="bold">'
        f"{escape(clip_middle(heading, 80))}</text>",
        f'<text x="20" y="46">{escape(clip_middle(about, 125))}</text>',
    ]
    out += _grid(x, bottom)
    for n, bar in enumerate(bars):
        out += _bar(bar, tornado.margin, x, _TOP + n * _ROW)
    out += _lines(tornado.margin, x, bottom)
    if not bars:
        out.append(
            f'<text x="{x.start + 10}" y="{_TOP + 17}">no uncertainty changes the margin</text>'
        )
    out += _foot(tornado, x, bottom)
    out.append("</svg>")
    return "\n".join(out) + "\n"


def _shows_one(values: Sequence[float]) -> bool:
    """Whether the margin 1 is near enough to be drawn without making bars too small to read."""
    low, high = min(values), max(values)
    away = max(low - 1.0, 1.0 - high, 0.0)
    return away <= AWAY * (high - low) or high == low


def _grid(x: Axis, bottom: float) -> list[str]:
    out: list[str] = []
    for tick in x.ticks:
        at = x.at(tick)
        out.append(
            f'<path d="M{at:.2f} {_TOP - 4}V{bottom + 4}" stroke="#c4c4c4" stroke-width="0.5"/>'
            f'<text x="{at:.2f}" y="{bottom + 20}" text-anchor="middle">{x.figure(tick)}</text>'
        )
    middle = 0.5 * (x.start + x.end)
    out.append(
        f'<text x="{middle}" y="{bottom + 40}" text-anchor="middle">'
        "margin (delivered over required current)</text>"
    )
    return out


def _bar(bar: Bar, margin: float, x: Axis, top: float) -> list[str]:
    out: list[str] = []
    low, middle, high = x.at(bar.worse), x.at(margin), x.at(bar.better)
    middle_y = top + 0.5 * _ROW + 4.0
    for start, end, fill in (
        (low, middle, "url(#hatch)"),
        (middle, high, "#ffffff"),
    ):
        if end > start:
            out.append(
                f'<rect x="{start:.2f}" y="{top + 4}" width="{end - start:.2f}" '
                f'height="{_ROW - 8}" fill="{fill}" stroke="#000000"/>'
            )
    name = bar.name if bar.causes == 1 else f"{bar.name} ({bar.causes})"
    halo = 'stroke="#ffffff" stroke-width="3" paint-order="stroke"'
    out += [
        f'<text x="{_LEFT - 4}" y="{middle_y}" text-anchor="end">'
        f"{escape(clip_middle(name, 36))}</text>",
        f'<text x="{low - 6:.2f}" y="{middle_y}" text-anchor="end" font-size="11" {halo}>'
        f"{significant(bar.worse)}</text>",
        f'<text x="{high + 6:.2f}" y="{middle_y}" font-size="11" {halo}>'
        f"{significant(bar.better)}</text>",
    ]
    return out


def _lines(margin: float, x: Axis, bottom: float) -> list[str]:
    """Typical values, and where the igniter no longer lights."""
    one, middle = x.at(1.0), x.at(margin)
    near = abs(one - middle) < 190.0
    typical_end = "start" if margin >= 1.0 else "end"
    fails_end = "end" if margin >= 1.0 else "start"
    anchors = (typical_end, fails_end) if near else ("middle", "middle")
    limit = (
        f'<path d="M{one:.2f} {_TOP - 8}V{bottom + 4}" stroke="#000000" stroke-width="1.6" '
        f'stroke-dasharray="7 4"/><text x="{one:.2f}" y="{_TOP - 14}" '
        f'text-anchor="{anchors[1]}">1: does not light below</text>'
    )
    if not x.start <= one <= x.end:
        limit = f'<text x="20" y="{_TOP - 14}">does not light below 1, far from here</text>'
    return [
        f'<path d="M{middle:.2f} {_TOP - 8}V{bottom + 4}" stroke="#000000"/>',
        f'<text x="{middle:.2f}" y="{_TOP - 14}" text-anchor="{anchors[0]}">typical '
        f"{significant(margin)}</text>",
        limit,
    ]


def _foot(tornado: Tornado, x: Axis, bottom: float) -> list[str]:
    y = bottom + 68
    out = [
        f'<rect x="20" y="{y - 11}" width="24" height="14" fill="url(#hatch)" stroke="#000000"/>'
        f'<text x="52" y="{y}">lowers the margin</text>'
        f'<rect x="190" y="{y - 11}" width="24" height="14" fill="#ffffff" stroke="#000000"/>'
        f'<text x="222" y="{y}">raises it</text>'
    ]
    rest = tornado.bars[MOST:]
    if rest:
        what = count(len(rest), "further uncertainty", "further uncertainties")
        text = f"{what} not drawn, each smaller than these"
        out.append(f'<text x="320" y="{y}">{escape(text)}</text>')
    out.append(
        f'<text x="20" y="{y + 18}" font-size="11">Only what kit and show state as tolerance is '
        "drawn; values without a stated tolerance count as exact. (n): so many independent causes, "
        "moved together.</text>"
    )
    return out
