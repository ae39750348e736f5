"""A reach chart: metres over count of igniters, one line a cable, in plain SVG."""

from __future__ import annotations

from xml.sax.saxutils import escape

from bridgewire.remedies.reach import ReachQuestion
from bridgewire.report.axis import framed, make_axis
from bridgewire.report.plain_text import clip_middle
from bridgewire.report.reach_table import WIRINGS, Answers
from bridgewire.units import seconds

WIDTH, HEIGHT = 760, 460
_LEFT, _RIGHT, _TOP, _FOOT = 70, 250, 66, 60
_DASHES = ("", "9 4", "3 3", "12 3 3 3", "6 2 2 2 2 2")
_MARKS = ("circle", "square", "cross")


def reach_svg(question: ReachQuestion, answers: Answers) -> str:
    """Draw a reach chart that can be read in black and white.

    Parameters
    ----------
    question : ReachQuestion
    answers : mapping
        See `bridgewire.report.reach_table.Answers`.

    Returns
    -------
    str
        A standalone SVG. A line joins the sure lengths of a cable; it ends where no length does.
    """
    counts = [r.count for r in next(iter(answers.values()), ())]
    lengths = [r.sure_m or 0.0 for found in answers.values() for r in found]
    x = make_axis(0, max(counts, default=1) + 0.5, _LEFT, WIDTH - _RIGHT, most=10, snug=True)
    y = make_axis(0.0, max(lengths, default=1.0) or 1.0, HEIGHT - _FOOT, _TOP)
    heading = clip_middle(f"How far {question.igniter_class} can be from {question.box}", 78)
    detail = (
        f"{WIRINGS[question.wiring]}; pulse {seconds(question.pulse_s)}; "
        f"sought up to {question.longest_m:g} m, where a point means that far or farther"
    )
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{HEIGHT}" '
        f'viewBox="0 0 {WIDTH} {HEIGHT}" font-family="DejaVu Sans, Verdana, sans-serif" '
        'font-size="12" role="img">',
        f"<title>{escape(heading)}</title>",
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#ffffff"/>',
        f'<text x="{_LEFT}" y="26" font-size="16" font-weight="bold">{escape(heading)}</text>',
        f'<text x="{_LEFT}" y="46">{escape(clip_middle(detail, 112))}</text>',
        *framed(x, y, "cable up to which all are sure (m)"),
    ]
    foot = y.start + 18
    out += [
        f'<text x="{x.at(t):.2f}" y="{foot}" text-anchor="middle">{t:g}</text>'
        for t in x.ticks
        if t == int(t)
    ]
    middle = 0.5 * (x.start + x.end)
    out.append(f'<text x="{middle}" y="{foot + 22}" text-anchor="middle">igniters</text>')
    for n, (cable, found) in enumerate(answers.items()):
        points = [(x.at(r.count), y.at(r.sure_m)) for r in found if r.sure_m and not r.unknown]
        out += _line(points, n)
        at = _TOP + 12 + 20 * n
        out += _line([(x.end + 14, at), (x.end + 44, at)], n)
        name = escape(clip_middle(cable, 26))
        out.append(f'<text x="{x.end + 52}" y="{at + 4}">{name}</text>')
    out.append("</svg>")
    return "\n".join(out) + "\n"


def _line(points: list[tuple[float, float]], n: int) -> list[str]:
    dash = _DASHES[n % len(_DASHES)]
    style = f' stroke-dasharray="{dash}"' if dash else ""
    path = " ".join(f"{a:.1f},{b:.1f}" for a, b in points)
    out = [f'<polyline points="{path}" fill="none" stroke="#000000" stroke-width="1.5"{style}/>']
    return out + [_mark(a, b, _MARKS[n // len(_DASHES) % len(_MARKS)]) for a, b in points]


def _mark(a: float, b: float, shape: str) -> str:
    if shape == "circle":
        return f'<circle cx="{a:.1f}" cy="{b:.1f}" r="3"/>'
    if shape == "square":
        return f'<rect x="{a - 3:.1f}" y="{b - 3:.1f}" width="6" height="6"/>'
    return f'<path d="M{a - 3:.1f} {b - 3:.1f}l6 6m0-6l-6 6" stroke="#000000"/>'
