"""Voltage per cue through the show as a drawing, one panel per box, in plain SVG."""

from __future__ import annotations

from collections.abc import Sequence
from xml.sax.saxutils import escape

from bridgewire.report.axis import Axis, framed, make_axis
from bridgewire.report.figures import number
from bridgewire.report.plain_text import clip_middle, count, visible
from bridgewire.timeline.supply_log import SupplyEntry, SupplyLog

WIDTH = 900
_LEFT, _RIGHT, _TOP, _PANEL, _GAP, _FOOT = 70, 20, 60, 120, 34, 84


def supply_svg(title: str, logs: Sequence[SupplyLog]) -> str:
    """Draw the voltage of every box over the time of the show.

    Parameters
    ----------
    title : str
        Of the show.
    logs : sequence of SupplyLog

    Returns
    -------
    str
        A standalone SVG, 900 units wide, that can be read in black and white. In each panel a line
        (dots for a capacitor) for the voltage at rest at the worst corner, and for each cue an
        upright down to the lowest voltage at the terminals; a tick across it is the typical lowest.
    """
    times = [e.switch_s for log in logs for e in log.entries]
    low, high = min(times, default=0.0), max(times, default=1.0)
    scale, unit = (1.0 / 60.0, "m:s") if high - low >= 180.0 else (1.0, "s")
    room = 0.02 * (high - low) or 1.0
    x = make_axis(
        (low - room) * scale, (high + room) * scale, _LEFT, WIDTH - _RIGHT, most=11, snug=True
    )
    bottom = _TOP + len(logs) * (_PANEL + _GAP)
    height = bottom + _FOOT
    heading = clip_middle(f"{visible(title)}: supply voltage at every cue", 80)
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{height}" '
        f'viewBox="0 0 {WIDTH} {height}" font-family="DejaVu Sans, Verdana, sans-serif" '
        'font-size="12">',
        f"<title>{escape(heading)}</title>",
        f'<rect width="{WIDTH}" height="{height}" fill="#ffffff"/>',
        f'<text x="{_LEFT}" y="26" font-size="16" font-weight="bold">{escape(heading)}</text>',
    ]
    for n, log in enumerate(logs):
        out += _panel(log, x, _TOP + n * (_PANEL + _GAP), scale)
    out += _time_axis(x, bottom - _GAP, unit)
    out += _key(bottom + 44)
    out.append("</svg>")
    return "\n".join(out) + "\n"


def _panel(log: SupplyLog, x: Axis, top: float, scale: float) -> list[str]:
    known = [e for e in log.entries if e.open_V is not None and e.lowest_V is not None]
    y = _volts_axis(log, known, top)
    out = framed(x, y, "voltage (V)")
    name = f"{clip_middle(visible(log.box), 40)}, {log.supply} supply"
    missing = len(log.entries) - len(known)
    if missing:
        name += f"; {count(missing, 'cue')} not known, not drawn"
    out.append(f'<text x="{x.start}" y="{y.end - 6}" font-weight="bold">{escape(name)}</text>')
    if log.min_supply_V is not None:
        at = y.at(log.min_supply_V)
        out.append(
            f'<path d="M{x.start} {at:.2f}H{x.end}" stroke="#000000" stroke-dasharray="8 4"/>'
        )
        when = "before each cue" if log.supply == "capacitor" else "to work"
        text = f"needs {number(log.min_supply_V)} V {when}"
        out.append(
            f'<text x="{x.end - 6}" y="{y.end - 6}" text-anchor="end">dashed: {escape(text)}</text>'
        )
    at_rest = [(x.at(e.switch_s * scale), y.at(e.open_V or 0.0)) for e in known]
    if log.supply == "capacitor":  # between cues it is charged again: no line
        out += [f'<circle cx="{a:.2f}" cy="{b:.2f}" r="2.4"/>' for a, b in at_rest]
    elif at_rest:
        points = " ".join(f"{a:.2f},{b:.2f}" for a, b in at_rest)
        out.append(f'<polyline points="{points}" fill="none" stroke="#000000" stroke-width="1.6"/>')
    for e in known:
        out += _upright(e, x.at(e.switch_s * scale), y)
    return out


def _volts_axis(log: SupplyLog, known: Sequence[SupplyEntry], top: float) -> Axis:
    volts = [v for e in known for v in (e.open_V, e.lowest_V, e.lowest_typical_V) if v is not None]
    if log.min_supply_V is not None:
        volts.append(log.min_supply_V)
    low, high = min(volts, default=0.0), max(volts, default=1.0)
    room = 0.06 * (high - low) or 0.5
    return make_axis(max(low - room, 0.0), high + room, top + _PANEL, top, most=5)


def _upright(e: SupplyEntry, x: float, y: Axis) -> list[str]:
    low = y.at(e.lowest_V or 0.0)
    out = [
        f'<path d="M{x:.2f} {y.at(e.open_V or 0.0):.2f}V{low:.2f}" stroke="#1f4e9a" '
        'stroke-width="1.1"/>',
    ]
    if e.lowest_typical_V is not None:
        at = y.at(e.lowest_typical_V)
        out.append(f'<path d="M{x - 3:.2f} {at:.2f}h6" stroke="#000000" stroke-width="1.4"/>')
    return out


def _time_axis(x: Axis, bottom: float, unit: str) -> list[str]:
    out = [
        f'<text x="{x.at(tick):.2f}" y="{bottom + 16}" text-anchor="middle">'
        f"{_minutes(tick) if unit == 'm:s' else x.figure(tick)}</text>"
        for tick in x.ticks
    ]
    middle = 0.5 * (x.start + x.end)
    out.append(
        f'<text x="{middle}" y="{bottom + 36}" text-anchor="middle">time of the show ({unit})'
        "</text>"
    )
    return out


def _minutes(value: float) -> str:
    """Write minutes as m:s, as cues are told.

    >>> _minutes(2.5), _minutes(61.0), _minutes(-0.25)
    ('2:30', '61:00', '-0:15')
    """
    minutes, rest = divmod(round(abs(value) * 60.0), 60)
    return f"{'-' if value < 0.0 else ''}{minutes}:{rest:02d}"


def _key(y: float) -> list[str]:
    """What the lines mean, left to right."""
    entries = (
        (
            f'<path d="M{{0}} {y - 4}h30" stroke="#000000" stroke-width="1.6"/>'
            f'<path d="M{{0}} {y - 4}m15 -2.4a2.4 2.4 0 1 0 0.01 0z"/>',
            "at rest, worst",
        ),
        (
            f'<path d="M{{0}} {y - 12}m15 0v16" stroke="#1f4e9a" stroke-width="1.1"/>',
            "down to the lowest in the cue, worst",
        ),
        (
            f'<path d="M{{0}} {y - 4}m12 0h6" stroke="#000000" stroke-width="1.4"/>',
            "lowest, typical",
        ),
    )
    out: list[str] = []
    for (mark, text), place in zip(entries, (_LEFT, _LEFT + 180, _LEFT + 470), strict=True):
        out.append(mark.format(place) + f'<text x="{place + 38}" y="{y}">{escape(text)}</text>')
    return out
