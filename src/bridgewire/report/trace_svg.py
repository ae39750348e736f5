"""A trace as a drawing: currents above, bridge temperatures below, in plain SVG."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from xml.sax.saxutils import escape

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from bridgewire.report.axis import Axis, framed, make_axis
from bridgewire.report.curve_labels import Curve, place_labels
from bridgewire.report.figures import number
from bridgewire.report.plain_text import clip_middle, visible
from bridgewire.report.trace_window import Window, until, window
from bridgewire.timeline.trace import CueTrace, IgniterTrace

Floats = NDArray[np.float64]

WIDTH, HEIGHT = 900, 660
_LEFT, _RIGHT, _TOP, _PANEL, _GAP = 70, 20, 64, 240, 34
_PER_ROW, _ROW = 4, 20
_DASHES = ("", "9 4", "2 3", "12 3 2 3", "6 2", "14 4 2 4 2 4", "1 2", "4 4")
_INKS = ("#000000", "#1f4e9a", "#a03a00", "#2e6b34", "#7a2a7a", "#6b5a00", "#444444", "#00666e")
_CORNERS = {
    "typical": "typical values",
    "slow": "tolerance corner in which {} lights latest",
    "fast": "tolerance corner in which {} lights earliest",
}


@frozen(eq=False)
class _Panel:
    """What one panel shows."""

    title: str
    unit: str
    before: Callable[[IgniterTrace], Floats]
    after: Callable[[IgniterTrace], Floats]
    y: Axis


def trace_svg(trace: CueTrace) -> str:
    """Draw a trace.

    Parameters
    ----------
    trace : CueTrace

    Returns
    -------
    str
        A standalone SVG, 900 units wide and 660 high, more with a key of curves. Curves differ
        in dash pattern and carry their igniter's id, so that a black and white print can be read.
        Where all current ends within a small part of the pulse, only that part is drawn, which
        the drawing says.
    """
    height = HEIGHT + _ROW * _key_rows(trace)
    shown = _window(trace)
    scale, unit = shown.scale
    x = make_axis(
        trace.time_s[0] * scale, shown.end_s * scale, _LEFT, WIDTH - _RIGHT, most=11, snug=True
    )
    names = ", ".join(i.id for i in trace.igniters)
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{height}" '
        f'viewBox="0 0 {WIDTH} {height}" font-family="DejaVu Sans, Verdana, sans-serif" '
        'font-size="12">',
        f"<title>{_text(f'Cue {trace.cue}: currents and bridge temperatures')}</title>",
        f"<desc>{_text(f'Igniters {names} on way {trace.way}')}</desc>",
        f'<rect width="{WIDTH}" height="{height}" fill="#ffffff"/>',
        *_heading(trace),
    ]
    for panel in _panels(trace):
        out += _draw(trace, panel, x, scale)
    bottom = _TOP + 2 * _PANEL + _GAP
    out += _time_axis(x, bottom, unit)
    out += _key(trace, bottom + 62, shown.note)
    out += _curve_key(trace, bottom + 62 + _ROW)
    out.append("</svg>")
    return "\n".join(out) + "\n"


def _window(trace: CueTrace) -> Window:
    last = 0.0
    for igniter in trace.igniters:
        carrying = (igniter.current_A > 1e-9) | (igniter.before_A > 1e-9)
        last = max(last, float(trace.time_s[carrying].max(initial=0.0)))
    ends = [end for _, end in trace.pulses_s]
    return window(max(ends, default=0.0), last, float(trace.time_s[-1]))


def _text(text: str) -> str:
    return escape(visible(text))


def _heading(trace: CueTrace) -> list[str]:
    corner = _CORNERS[trace.corner].format(visible(trace.target))
    first = clip_middle(f"{visible(trace.show)}: cue {visible(trace.cue)}", 70)
    second = clip_middle(f"way {visible(trace.way)}, {corner}", 110)
    return [
        f'<text x="{_LEFT}" y="26" font-size="16" font-weight="bold">{escape(first)}</text>',
        f'<text x="{_LEFT}" y="46">{escape(second)}</text>',
    ]


def _panels(trace: CueTrace) -> tuple[_Panel, _Panel]:
    highest = max(
        (float(max(i.current_A.max(), i.before_A.max())) for i in trace.igniters), default=0.0
    )
    current = _Panel(
        "current",
        "A",
        lambda i: i.before_A,
        lambda i: i.current_A,
        make_axis(0.0, max(highest, 1e-3) * 1.06, _TOP + _PANEL, _TOP, most=7),
    )
    top = _TOP + _PANEL + _GAP
    known = [i.temperature_C for i in trace.igniters if i.temperature_C is not None]
    if len(known) == len(trace.igniters):
        levels = [i.lights_at_C for i in trace.igniters if i.lights_at_C is not None]
        low = min(0.0, *(float(t.min()) for t in known))
        high = max(*levels, *(float(t.max()) for t in known)) * 1.06
        axis = make_axis(low, high, top + _PANEL, top, most=7)
        return current, _Panel("bridge temperature", "°C", _temperature, _temperature, axis)
    high = max(1.0, *(float(i.rise.max()) for i in trace.igniters)) * 1.06
    axis = make_axis(0.0, high, top + _PANEL, top, most=7)
    title = "bridge temperature rise"
    return current, _Panel(title, "1 = lights", lambda i: i.rise, lambda i: i.rise, axis)


def _temperature(igniter: IgniterTrace) -> Floats:
    assert igniter.temperature_C is not None
    return igniter.temperature_C


def _draw(trace: CueTrace, panel: _Panel, x: Axis, scale: float) -> list[str]:
    y = panel.y
    out: list[str] = []
    for start, end in trace.pulses_s:
        if start * scale >= x.high:
            continue
        a, b = x.at(start * scale), x.at(min(end * scale, x.high))
        out.append(
            f'<rect x="{a:.2f}" y="{y.end}" width="{b - a:.2f}" height="{y.start - y.end}" '
            'fill="#e6e6e6"/>'
        )
    out.extend(framed(x, y, f"{panel.title} ({panel.unit})"))
    levels = _levels(trace, panel, x)
    out += [
        f'<path d="M{x.start} {level.y[0]:.2f}H{x.end}" stroke="#000000" stroke-dasharray="1 4"/>'
        for level in levels
    ]
    curves = [_curve(trace, panel, igniter, x, scale) for igniter in trace.igniters]
    for n, (igniter, curve) in enumerate(zip(trace.igniters, curves, strict=True)):
        out += _line(curve, n)
        out += _marks(trace, panel, igniter, x, scale, n)
    named = [*curves, *levels]
    for label in place_labels(named, (x.start, x.end), (y.end, y.start)):
        if label.room < 0.0 and _key_rows(trace):
            continue  # the key has to do
        names = clip_middle(", ".join(visible(named[k].name) for k in label.curves), 34)
        ink = _INKS[label.curves[0] % len(_INKS)] if label.curves[0] < len(curves) else "#000000"
        out.append(
            f'<text x="{label.x:.1f}" y="{label.y:.1f}" text-anchor="middle" '
            f'fill="{ink}" stroke="#ffffff" stroke-width="3" paint-order="stroke" '
            f'stroke-linejoin="round">{escape(names)}</text>'
        )
    return out


def _curve(trace: CueTrace, panel: _Panel, igniter: IgniterTrace, x: Axis, scale: float) -> Curve:
    """Every time twice: just before and just after it, so that jumps are upright."""
    times = np.repeat(trace.time_s * scale, 2)
    values = np.stack([panel.before(igniter), panel.after(igniter)], axis=1).ravel()
    times, values = until(times, values, x.high)
    xs = x.start + (times - x.low) / (x.high - x.low) * (x.end - x.start)
    y = panel.y
    ys = y.start + (values - y.low) / (y.high - y.low) * (y.end - y.start)
    return Curve(igniter.id, xs, ys, y.at(0.0) if panel.title == "current" else math.nan)


def _line(curve: Curve, n: int) -> list[str]:
    keep = np.ones(curve.x.size, dtype=bool)
    same = (np.abs(np.diff(curve.x)) < 0.005) & (np.abs(np.diff(curve.y)) < 0.005)
    keep[1:] &= ~same
    points = " ".join(f"{a:.2f},{b:.2f}" for a, b in zip(curve.x[keep], curve.y[keep], strict=True))
    dash = _DASHES[n % len(_DASHES)]
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return [
        f'<polyline points="{points}" fill="none" stroke="{_INKS[n % len(_INKS)]}" '
        f'stroke-width="1.8" stroke-linejoin="round"{dashed}/>'
    ]


def _levels(trace: CueTrace, panel: _Panel, x: Axis) -> list[Curve]:
    """Lines at the temperatures that light."""
    if panel.title == "current":
        return []
    levels = {1.0: "lights"}
    if panel.unit == "°C":
        known = [i.lights_at_C for i in trace.igniters if i.lights_at_C is not None]
        levels = {level: f"lights at {number(level)} °C" for level in known}
    ends = np.linspace(x.start, x.end, 50)
    return [
        Curve(name, ends, np.full(ends.size, panel.y.at(level)))
        for level, name in sorted(levels.items())
    ]


def _marks(
    trace: CueTrace, panel: _Panel, igniter: IgniterTrace, x: Axis, scale: float, n: int
) -> list[str]:
    ink = _INKS[n % len(_INKS)]
    out: list[str] = []
    for time, draw in ((igniter.light_s, _ring), (igniter.part_s, _cross)):
        if time is None or not x.low <= time * scale <= x.high:
            continue
        k = int(np.argmin(np.abs(trace.time_s - time)))
        out.append(draw(x.at(time * scale), panel.y.at(float(panel.before(igniter)[k])), ink))
    return out


def _ring(x: float, y: float, ink: str) -> str:
    return (
        f'<circle cx="{x:.2f}" cy="{y:.2f}" r="4.5" fill="#ffffff" stroke="{ink}" '
        'stroke-width="1.8"/>'
    )


def _cross(x: float, y: float, ink: str) -> str:
    return (
        f'<path d="M{x - 5:.2f} {y - 5:.2f}l10 10m0 -10l-10 10" stroke="{ink}" '
        'stroke-width="2.2" fill="none"/>'
    )


def _time_axis(x: Axis, bottom: float, unit: str) -> list[str]:
    out = [
        f'<text x="{x.at(tick):.2f}" y="{bottom + 16}" text-anchor="middle">{x.figure(tick)}</text>'
        for tick in x.ticks
    ]
    middle = 0.5 * (x.start + x.end)
    out.append(
        f'<text x="{middle}" y="{bottom + 36}" text-anchor="middle">'
        f"time from the switching of the cue ({unit})</text>"
    )
    return out


def _key(trace: CueTrace, y: float, note: str) -> list[str]:
    """What the marks mean, left to right, and what is not drawn."""
    entries: Sequence[tuple[str, str]] = (
        (_ring(_LEFT + 6, y - 4, "#000000"), "lights"),
        (_cross(_LEFT + 126, y - 4, "#000000"), "burns open"),
        (
            f'<rect x="{_LEFT + 240}" y="{y - 11}" width="18" height="13" fill="#e6e6e6" '
            'stroke="#999999" stroke-width="0.5"/>',
            "pulse" if len(trace.pulses_s) == 1 else f"pulses ({len(trace.pulses_s)})",
        ),
    )
    places = (18, 138, 266)
    out = [
        f'{mark}<text x="{_LEFT + place}" y="{y}">{escape(text)}</text>'
        for (mark, text), place in zip(entries, places, strict=True)
    ]
    if note:
        out.append(f'<text x="{WIDTH - _RIGHT}" y="{y}" text-anchor="end">{escape(note)}</text>')
    return out


def _key_rows(trace: CueTrace) -> int:
    """Rows of the key of curves; a few curves carry their names and need none."""
    return -(-len(trace.igniters) // _PER_ROW) if len(trace.igniters) > 3 else 0


def _curve_key(trace: CueTrace, y: float) -> list[str]:
    """A piece of each curve with its igniter's id."""
    if not _key_rows(trace):
        return []
    out: list[str] = []
    step = (WIDTH - _LEFT - _RIGHT) / _PER_ROW
    for n, igniter in enumerate(trace.igniters):
        left, at = _LEFT + (n % _PER_ROW) * step, y + (n // _PER_ROW) * _ROW
        ends = np.array([left, left + 44.0])
        out += _line(Curve(igniter.id, ends, np.full(2, at - 4.0)), n)
        name = clip_middle(visible(igniter.id), 22)
        out.append(f'<text x="{left + 52:.1f}" y="{at}">{escape(name)}</text>')
    return out
