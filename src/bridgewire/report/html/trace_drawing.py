"""A cue's currents and bridge temperatures as two small drawings."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from attrs import frozen
from markupsafe import Markup

from bridgewire.physics.network import Floats
from bridgewire.report.axis import Axis, make_axis
from bridgewire.report.figures import number, short_time
from bridgewire.report.html.cue_traces import CueCurves, Curve
from bridgewire.report.html.polyline import path_data
from bridgewire.report.html.shelf import Shelf
from bridgewire.report.plain_text import clip_middle, visible
from bridgewire.report.trace_window import until, window

WIDTH, HEIGHT = 320, 178
_LEFT, _RIGHT, _TOP, _BOTTOM = 40, 16, 22, 34
FINE = 4
"""Units of a curve's path in one unit of the drawing."""
MOST = 6
"""Curves drawn; they differ in dash and weight."""


@frozen
class Key:
    """One curve of a drawing and whose it is."""

    style: int
    names: str


@frozen
class Drawing:
    """What the page shows of a cue's traces."""

    current: Markup
    temperature: Markup
    keys: tuple[Key, ...]
    notes: tuple[str, ...]


@frozen(eq=False)
class _Group:
    """Igniters whose curves cannot be told apart."""

    curve: Curve
    names: list[str]


def draw_traces(cue: CueCurves, shelf: Shelf) -> Drawing | None:
    """Draw a cue.

    Parameters
    ----------
    cue : CueCurves
    shelf : Shelf
        Keeps the drawings.

    Returns
    -------
    Drawing or None
        None where no igniter of the cue carries current. Igniters with the same curves are drawn
        once. If all is over long before the pulse ends, the time axis ends soon after.
    """
    live = [c for c in cue.curves if float(c.current_A.max(initial=0.0)) > 1e-9]
    if not live:
        return None
    groups = _groups(live)
    last = max(float(c.time_s[c.current_A > 1e-9].max(initial=0.0)) for c in live)
    whole = cue.pulses_s[-1][1]
    part = window(whole, last, 1.03 * whole)
    scale, unit = part.scale
    x = make_axis(0.0, part.end_s * scale, _LEFT, WIDTH - _RIGHT, most=6, snug=True)
    order = {c.id: n for n, c in enumerate(cue.curves)}
    shown = sorted(groups[:MOST], key=lambda g: order[g.curve.id])
    notes = _notes(cue, groups, part.note)
    in_C = all(g.curve.base_C is not None for g in shown)
    top = max(float(g.curve.current_A.max()) for g in shown)
    y = make_axis(0.0, top * 1.05, HEIGHT - _BOTTOM, _TOP, most=5)
    current = _panel(
        cue, shelf, shown, [g.curve.current_A for g in shown], x, y, scale, unit, "current, A", ()
    )
    values, label, levels, low, high = _heat(shown, in_C)
    y = make_axis(low, high, HEIGHT - _BOTTOM, _TOP, most=5)
    heat = _panel(cue, shelf, shown, values, x, y, scale, unit, label, levels)
    keys = tuple(Key(n, _names(g.names)) for n, g in enumerate(shown))
    return Drawing(current, heat, keys, notes)


def _groups(curves: Sequence[Curve]) -> list[_Group]:
    """Curves that differ by less than a line's width are one; those that light last come first."""
    top = max(float(c.current_A.max()) for c in curves)
    groups: list[_Group] = []
    for curve in curves:
        for group in groups:
            other = group.curve
            if other.time_s.size != curve.time_s.size:
                continue
            if (
                np.allclose(other.time_s, curve.time_s, rtol=0.0, atol=1e-4 * curve.time_s[-1])
                and np.allclose(other.current_A, curve.current_A, rtol=0.0, atol=4e-3 * top)
                and np.allclose(other.rise, curve.rise, rtol=0.0, atol=0.01)
                and (other.base_C, other.rise_K) == (curve.base_C, curve.rise_K)
            ):
                group.names.append(curve.id)
                break
        else:
            groups.append(_Group(curve, [curve.id]))
    never = math.inf
    groups.sort(key=lambda g: -(never if g.curve.light_s is None else g.curve.light_s))
    return groups


def _notes(cue: CueCurves, groups: Sequence[_Group], cut: str) -> tuple[str, ...]:
    notes = [cut] if cut else []
    if cue.pulses_in_all > len(cue.pulses_s):
        notes.append(f"The first {len(cue.pulses_s)} of {cue.pulses_in_all} pulses are drawn.")
    left = sum(len(g.names) for g in groups[MOST:])
    if left:
        notes.append(f"{left} more igniters, which light earlier, are not drawn.")
    return tuple(notes)


def _names(names: Sequence[str]) -> str:
    shown = ", ".join(visible(n) for n in names[:3])
    return f"{shown} and {len(names) - 3} more" if len(names) > 3 else shown


def _heat(
    groups: Sequence[_Group], in_C: bool
) -> tuple[list[Floats], str, tuple[float, ...], float, float]:
    """Values of the lower panel, its label, the levels that light, and its range."""
    if not in_C:
        values = [g.curve.rise for g in groups]
        high = max(1.0, *(float(v.max()) for v in values)) * 1.06
        return values, "bridge temperature rise, 1 = lights", (1.0,), 0.0, high
    values, levels, lows = [], set(), []
    for g in groups:
        base, rise = g.curve.base_C or 0.0, g.curve.rise_K or 0.0
        values.append(base + rise * g.curve.rise)
        levels.add(base + rise)
        lows.append(base)
    high = max(*levels, *(float(v.max()) for v in values)) * 1.06
    return values, "bridge temperature, °C", tuple(sorted(levels)), min(0.0, *lows), high


def _panel(
    cue: CueCurves,
    shelf: Shelf,
    groups: Sequence[_Group],
    values: Sequence[Floats],
    x: Axis,
    y: Axis,
    scale: float,
    unit: str,
    label: str,
    levels: tuple[float, ...],
) -> Markup:
    said = f"{label}, over time in {unit}: {_summary(groups, values, label)}"
    out: list[str] = []
    bottom, right = HEIGHT - _BOTTOM, WIDTH - _RIGHT
    for start, stop in cue.pulses_s:
        a = x.at(min(start * scale, x.high))
        b = x.at(min(stop * scale, x.high))
        out.append(f'<path class="p" d="M{a:.0f} {_TOP}H{b:.0f}V{bottom}H{a:.0f}z"/>')
    grid = "".join(f"M{_LEFT} {y.at(t):.0f}H{right}" for t in y.ticks)
    ticks = "".join(f"M{x.at(t):.0f} {bottom}v4" for t in x.ticks)
    out.append(
        f'<path class="g" d="{grid}"/><path class="a" d="M{_LEFT} {bottom}H{right}{ticks}"/>'
    )
    for level in levels:
        at = y.at(level)
        text = "lights" if level == 1.0 else f"lights at {number(level)} °C"
        out.append(
            f'<path class="l" d="M{_LEFT} {at:.0f}H{right}"/>'
            f'<text class="e h" x="{right - 2}" y="{at - 3:.0f}">{text}</text>'
        )
    curves = [f'<g transform="scale({1 / FINE:g})">']
    marks: list[str] = []
    for n, (group, value) in enumerate(zip(groups, values, strict=True)):
        curve = group.curve
        t, v = until(curve.time_s * scale, value, x.high)
        px = FINE * (x.start + (t - x.low) / (x.high - x.low) * (x.end - x.start))
        py = FINE * (y.start + (v - y.low) / (y.high - y.low) * (y.end - y.start))
        curves.append(f'<path class="c c{n}" d="{path_data(px, py)}"/>')
        marks += _marks(curve, t / scale, v, x, y, scale)
    curves += ["</g>", *marks]
    figures = "".join(f'<text x="36" y="{y.at(t) + 4:.0f}">{y.figure(t)}</text>' for t in y.ticks)
    out.append(
        f'<g class="e">{figures}<text x="{right}" y="{HEIGHT - 4}">'
        f'time from switching, {unit}</text></g><g class="m">'
    )
    out += [f'<text x="{x.at(t):.0f}" y="{bottom + 15}">{x.figure(t)}</text>' for t in x.ticks]
    out.append(f'</g><text x="{_LEFT}" y="14">{label}</text>')
    return shelf.show("".join(out), "t", (WIDTH, HEIGHT), said, "".join(curves))


def _summary(groups: Sequence[_Group], values: Sequence[Floats], label: str) -> str:
    parts: list[str] = []
    for group, value in list(zip(groups, values, strict=True))[:3]:
        light = group.curve.light_s
        when = "does not light" if light is None else f"lights after {short_time(light)}"
        name = clip_middle(visible(group.names[0]), 30)
        parts.append(f"{name} reaches {number(float(value.max()))}, {when}")
    return "; ".join(parts)


def _marks(curve: Curve, t: Floats, v: Floats, x: Axis, y: Axis, scale: float) -> list[str]:
    """A ring where it lights and a cross where its bridge parts."""
    out: list[str] = []
    for time, ring in ((curve.light_s, True), (curve.part_s, False)):
        if time is None or time * scale > x.high:
            continue
        # The first of two rows at one time is the value just before it.
        k = int(np.argmin(np.abs(t - time)))
        at_x, at_y = x.at(time * scale), y.at(float(v[k]))
        out.append(
            f'<circle class="r" cx="{at_x:.0f}" cy="{at_y:.0f}" r="3"/>'
            if ring
            else f'<path class="x" d="M{at_x - 3:.0f} {at_y - 3:.0f}l6 6m0-6l-6 6"/>'
        )
    return out
