"""When each igniter lights, earliest to latest, cue by cue, as pages of plain SVG."""

from __future__ import annotations

import math
from collections.abc import Sequence
from xml.sax.saxutils import escape

from attrs import frozen

from bridgewire.report.axis import Axis, make_axis
from bridgewire.report.figures import clock
from bridgewire.report.plain_text import clip_middle, visible
from bridgewire.timeline.outcomes import Assessment, CueOutcome, IgniterOutcome, Verdict
from bridgewire.units import seconds, significant

WIDTH = 900
_LEFT, _RIGHT, _TOP, _FOOT = 230, 190, 86, 82
_ROW = 18
ROWS = 56
"""Rows of a page; a cue takes one, and one for each igniter."""
ONE_SIZE = 20.0
"""Times of one cue that are no more than so many times apart are drawn over a plain axis."""
_ENDLESS = 10.0
"""Where a log axis ends if nothing on it has an end, s."""


@frozen
class _Row:
    """A cue's own line, or one igniter of it."""

    cue: CueOutcome
    igniter: IgniterOutcome | None


def bands_svg(assessment: Assessment, cue: int | None = None) -> list[str]:
    """Draw light-time bands.

    Parameters
    ----------
    assessment : Assessment
        Proven bands, where `bridgewire.uncertainty.proof.proven` has been at it.
    cue : int, optional
        Only this cue (by index), over a plain time axis if its times are of one size; all in order
        of time where absent. Otherwise the time axis is logarithmic.

    Returns
    -------
    list of str
        Standalone SVGs of 900 units' width, a page each. A bar reaches from the earliest to the
        latest light time, a tick across it is the typical one; a bar with an arrow has no latest:
        the igniter may stay unlit. Pulses are shaded; a dashed upright is the required latest
        light time. Everything is told without colour.
    """
    cues = list(assessment.by_time()) if cue is None else [assessment.cues[cue]]
    pages = _pages(cues, math.inf if cue is not None else ROWS)
    x, log = _axis(assessment, cues)
    return [_page(assessment, rows, x, log, n, len(pages), cues) for n, rows in enumerate(pages, 1)]


def _pages(cues: Sequence[CueOutcome], most: float) -> list[list[_Row]]:
    """Rows of each page; a cue is split only if it is longer than a page."""
    pages: list[list[_Row]] = [[]]
    for cue in cues:
        igniters = list(cue.meant)
        if len(pages[-1]) + min(1 + len(igniters), most) > most and pages[-1]:
            pages.append([])
        while True:
            page = pages[-1]
            page.append(_Row(cue, None))
            here = igniters[: int(min(most - len(page), len(igniters)))]
            igniters = igniters[len(here) :]
            page += [_Row(cue, i) for i in here]
            if not igniters:
                break
            pages.append([])
    return pages


def _latest_allowed(assessment: Assessment, cue: CueOutcome) -> float | None:
    show = assessment.layout.show
    own = show.cue[cue.cue].latest_light_s
    return show.requirements.latest_light_s if own is None else own


def _pulses(cue: CueOutcome) -> list[tuple[float, float]]:
    """From the switching of the cue, s."""
    found = [
        (p.start_s - cue.switch_s, p.end_s - cue.switch_s)
        for r in cue.results
        for p in r.firing.pulses
        if p.cue == cue.cue
    ]
    if not found and cue.pulse_s is not None:
        return [(0.0, cue.pulse_s)]
    return sorted(found)


def _axis(assessment: Assessment, cues: Sequence[CueOutcome]) -> tuple[Axis, bool]:
    """The time axis, and whether it is logarithmic (then in log10 of seconds)."""
    times: list[float] = []
    ends: list[float] = []
    for cue in cues:
        light = [i.light for i in cue.meant if not i.lit_before]
        times += [t for band in light for t in (band.earliest, band.typical, band.latest)]
        limit = _latest_allowed(assessment, cue)
        times += [] if limit is None else [limit]
        ends += [end for _, end in _pulses(cue)]
    finite = [t for t in times if math.isfinite(t) and t > 0.0]
    right = WIDTH - _RIGHT
    top = max([*finite, *ends], default=1.0)
    if len(cues) == 1 and min(finite, default=top) * ONE_SIZE >= top:
        return make_axis(0.0, top * 1.04, _LEFT, right, most=9, snug=True), False
    low = math.floor(3.0 * math.log10(min(finite, default=1e-3)) - 0.3) / 3.0
    high = math.ceil(3.0 * math.log10(max([*finite, *ends], default=_ENDLESS))) / 3.0
    if high <= low:
        high = low + 1.0
    parts = (1.0, 2.0, 5.0) if high - low < 3.0 else (1.0,)
    ticks = tuple(
        power + math.log10(part)
        for power in range(math.floor(low), math.ceil(high) + 1)
        for part in parts
        if low - 1e-9 <= power + math.log10(part) <= high + 1e-9
    )
    return Axis(low, high, _LEFT, right, ticks), True


def _page(
    assessment: Assessment,
    rows: Sequence[_Row],
    x: Axis,
    log: bool,
    page: int,
    pages: int,
    cues: Sequence[CueOutcome],
) -> str:
    bottom = _TOP + len(rows) * _ROW + 4
    height = bottom + _FOOT
    title = f"{visible(assessment.layout.show.title)}: light times"
    if len(cues) == 1:
        title += f" of cue {visible(cues[0].id)}"
    heading = clip_middle(title, 74) + (f", page {page} of {pages}" if pages > 1 else "")
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{height}" '
        f'viewBox="0 0 {WIDTH} {height}" font-family="DejaVu Sans, Verdana, sans-serif" '
        'font-size="12">',
        f"<title>{escape(heading)}</title>",
        f'<rect width="{WIDTH}" height="{height}" fill="#ffffff"/>',
        f'<text x="20" y="26" font-size="16" font-weight="bold">{escape(heading)}</text>',
        f'<text x="{x.end + 10}" y="{_TOP - 10}" font-size="11">earliest, typical, latest</text>',
        f'<text x="20" y="{_TOP - 10}" font-size="11">cue (m:s of the show), igniter</text>',
    ]
    for n, row in enumerate(rows):
        out += _shade(row, x, log, _TOP + n * _ROW)
    out += _grid(x, log, bottom)
    for n, row in enumerate(rows):
        out += _draw(assessment, row, x, log, _TOP + n * _ROW)
    out += _key(bottom + 62)
    out.append("</svg>")
    return "\n".join(out) + "\n"


def _at(x: Axis, log: bool, time_s: float) -> float:
    """Place of a time, kept on the axis."""
    value = time_s
    if log:
        value = math.log10(time_s) if time_s > 0.0 else -math.inf
    return x.at(min(max(value, x.low), x.high))


def _shade(row: _Row, x: Axis, log: bool, top: float) -> list[str]:
    if row.igniter is None:
        return []
    out: list[str] = []
    for start, end in _pulses(row.cue):
        a, b = _at(x, log, start), _at(x, log, end)
        out.append(
            f'<rect x="{a:.2f}" y="{top}" width="{max(b - a, 0.5):.2f}" height="{_ROW}" '
            'fill="#e6e6e6"/>'
        )
    return out


def _grid(x: Axis, log: bool, bottom: float) -> list[str]:
    out: list[str] = []
    for tick in x.ticks:
        at = x.at(tick)
        value = 10.0**tick if log else tick
        scale, unit = _unit(value) if log else (1.0, "s")
        text = f"{value * scale:.3g} {unit}" if log else x.figure(value)
        out.append(
            f'<path d="M{at:.2f} {_TOP - 4}V{bottom}" stroke="#b0b0b0" stroke-width="0.5"/>'
            f'<text x="{at:.2f}" y="{bottom + 16}" text-anchor="middle">{text}</text>'
        )
    out.append(
        f'<text x="{0.5 * (x.start + x.end)}" y="{bottom + 36}" text-anchor="middle">'
        f"time from the switching of the cue{'' if log else ' (s)'}</text>"
    )
    return out


def _draw(assessment: Assessment, row: _Row, x: Axis, log: bool, top: float) -> list[str]:
    base = top + 13
    if row.igniter is None:
        name = clip_middle(f"{visible(row.cue.id)} ({clock(row.cue.switch_s)})", 34)
        out = [f'<text x="20" y="{base}" font-weight="bold">{escape(name)}</text>']
        if not row.cue.meant:
            out.append(f'<text x="{x.start + 4}" y="{base}">lights nothing</text>')
        return out
    igniter = row.igniter
    out = [f'<text x="34" y="{base}">{escape(clip_middle(visible(igniter.id), 30))}</text>']
    out += _band(igniter, x, log, top)
    limit = _latest_allowed(assessment, row.cue)
    if limit is not None:
        at = _at(x, log, limit)
        out.append(
            f'<path d="M{at:.2f} {top}V{top + _ROW}" stroke="#000000" stroke-width="1.6" '
            'stroke-dasharray="4 2"/>'
        )
    out.append(
        f'<text x="{x.end + 10}" y="{base}" font-size="11">{escape(_words(igniter, limit))}</text>'
    )
    return out


def _band(igniter: IgniterOutcome, x: Axis, log: bool, top: float) -> list[str]:
    if igniter.lit_before or igniter.verdict is Verdict.UNKNOWN:
        return []
    light, middle = igniter.light, top + 0.5 * _ROW
    if not math.isfinite(light.earliest):
        return []
    a = _at(x, log, light.earliest)
    endless = not math.isfinite(light.latest)
    b = x.end if endless else _at(x, log, light.latest)
    fill = "#ffffff" if endless else "#606060"
    out = [
        f'<rect x="{a:.2f}" y="{middle - 4}" width="{max(b - a, 1.5):.2f}" height="8" '
        f'fill="{fill}" stroke="#000000" stroke-width="0.8"/>'
    ]
    if endless:
        out.append(f'<path d="M{b:.2f} {middle - 7}l7 7l-7 7z" fill="#000000"/>')
    if math.isfinite(light.typical):
        at = _at(x, log, light.typical)
        out.append(
            f'<path d="M{at:.2f} {middle - 7}v14" stroke="#ffffff" stroke-width="4"/>'
            f'<path d="M{at:.2f} {middle - 7}v14" stroke="#000000" stroke-width="2"/>'
        )
    return out


def _unit(time_s: float) -> tuple[float, str]:
    """Factor and unit in which a time is written without many noughts."""
    if time_s >= 0.999:
        return 1.0, "s"
    return (1e3, "ms") if time_s >= 0.999e-3 else (1e6, "µs")


def _words(igniter: IgniterOutcome, limit: float | None) -> str:
    if igniter.verdict is Verdict.UNKNOWN:
        return "not known"
    if igniter.lit_before:
        return "lit before"
    light = igniter.light
    if not math.isfinite(light.earliest):
        return "does not light"
    if not math.isfinite(light.typical):
        return f"{seconds(light.earliest)} at best, or never"
    if not math.isfinite(light.latest):
        return f"{seconds(light.typical)} typical, or never"
    scale, unit = _unit(light.latest)
    text = ", ".join(significant(t * scale) for t in (light.earliest, light.typical, light.latest))
    late = limit is not None and light.latest > limit + 1e-9
    return f"{text} {unit}{', late' if late else ''}"


def _key(y: float) -> list[str]:
    """What the marks mean, left to right."""
    entries = (
        (
            f'<rect x="20" y="{y - 8}" width="34" height="8" fill="#606060" stroke="#000000"/>'
            f'<path d="M34 {y - 11}v14" stroke="#ffffff" stroke-width="4"/>'
            f'<path d="M34 {y - 11}v14" stroke="#000000" stroke-width="2"/>',
            64,
            "earliest to latest, typical",
        ),
        (
            f'<rect x="250" y="{y - 8}" width="34" height="8" fill="#ffffff" stroke="#000000"/>'
            f'<path d="M284 {y - 11}l7 7l-7 7z"/>',
            298,
            "may stay unlit",
        ),
        (
            f'<rect x="410" y="{y - 12}" width="30" height="15" fill="#e6e6e6" stroke="#999999" '
            'stroke-width="0.5"/>',
            448,
            "pulse",
        ),
        (
            f'<path d="M520 {y - 13}v17" stroke="#000000" stroke-width="1.6" '
            'stroke-dasharray="4 2"/>',
            530,
            "required latest light",
        ),
    )
    return [f'{mark}<text x="{x}" y="{y}">{text}</text>' for mark, x, text in entries]
