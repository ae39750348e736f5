"""A plan drawn: frames, lines, marks, labels and the scale bar."""

from __future__ import annotations

import math

from bridgewire.report.figures import number
from bridgewire.report.wiring.drawing import figure, plain, text, use
from bridgewire.report.wiring.label_places import Floats
from bridgewire.report.wiring.plan_labels import label, length_words, on_ground
from bridgewire.report.wiring.plan_rows import Laid, Row
from bridgewire.report.wiring.plan_shape import Shape, round_length
from bridgewire.report.wiring.runs import CableStyle
from bridgewire.report.wiring.site import Place, Site


def draw_plan(
    laid: Laid, site: Site, styles: dict[str, CableStyle], width: float
) -> tuple[list[str], float]:
    """The plan without its key, and where it ends."""
    out: list[str] = []
    numbers = {n: k + 1 for k, n in enumerate(laid.numbered)}
    top = 2.0
    for k, row in enumerate(laid.rows):
        down = top - row.top
        tall = row.bottom - row.top
        if laid.shape.rows > 1:
            tall += 14.0
            down += 14.0
            out.append(_stretch_words(laid, site, k, top))
        out.append(
            f'<path class="bw-w bw-f" d="M2 {figure(top)}H{figure(width - 2)}v{figure(tall)}H2z"/>'
        )
        out += _lines(row, site, styles, down)
        out += _marks(row, site, down)
        out += _labels(row, site, numbers, down)
        top += tall + 6.0
    bar, top = _scale_bar(laid.shape, top, width)
    return [*out, bar], top


def _stretch_words(laid: Laid, site: Site, row: int, top: float) -> str:
    west = min(p.at_m[0] for p in site.places)
    step = laid.shape.stretch / laid.shape.scale
    words = (
        f"row {row + 1} of {laid.shape.rows}: x = {number(west + row * step)} to "
        f"{number(west + (row + 1) * step)} m"
    )
    return text(8.0, top + 12.0, words, attributes='font-size="10"')


def _lines(row: Row, site: Site, styles: dict[str, CableStyle], down: float) -> list[str]:
    out: list[str] = []
    for n, points in row.curves:
        bundle = site.bundles[n]
        told = f"{', '.join(bundle.names)}: {bundle.cable}, {length_words(bundle)}"
        kept = points[sorted({*range(0, len(points), _step(points)), len(points) - 1})]
        where = " ".join(f"{figure(x)},{figure(y + down)}" for x, y in kept.tolist())
        out.append(
            f'<polyline class="bw-w" points="{where}" {styles[bundle.cable].attributes}>'
            f"<title>{plain(told, 600)}</title></polyline>"
        )
    return out


def _step(points: Floats) -> int:
    """Every how many points of a line are drawn: only its ends where it is straight."""
    along, half = points[-1] - points[0], points[len(points) // 2] - points[0]
    bend = abs(along[0] * half[1] - along[1] * half[0]) / max(math.hypot(*along), 1e-9)
    return len(points) if bend < 0.3 else max(len(points) // 12, 1)


def _marks(row: Row, site: Site, down: float) -> list[str]:
    return [
        use(_symbol(site.places[n]), row.points[n, 0], row.points[n, 1] + down) for n in row.shown
    ]


def _symbol(place: Place) -> str:
    """The mark of a place: that of the first sort of thing there."""
    nouns = [t.noun for t in place.things]
    return next((n for n in ("box", "splitter", "strip") if n in nouns), "position")


def _labels(row: Row, site: Site, numbers: dict[int, int], down: float) -> list[str]:
    out: list[str] = []
    for tag in row.tags:
        x, y = row.points[tag.place].tolist()
        area = tag.found.area if tag.found else tag.number
        if area is not None and (tag.found is None or tag.found.away > 6.0):
            ax, ay = area.nearest(x, y)
            out.append(
                f'<path class="bw-w bw-f" d="M{figure(x)} {figure(y + down)}'
                f'L{figure(ax)} {figure(ay + down)}"/>'
            )
            out.append(use(_symbol(site.places[tag.place]), x, y + down))
    out.append('<g font-size="10">')
    for n, area in row.lengths:
        if area is not None:
            out += on_ground(area, down, length_words(site.bundles[n]))
    out.append('</g><g font-size="11">')
    for tag in row.tags:
        x, y = row.points[tag.place].tolist()
        if tag.found is not None:
            out += label(site.places[tag.place], tag.found.area, down)
        elif tag.number is not None:
            out += on_ground(tag.number, down, f"[{numbers[tag.place]}]")
        else:
            out.append(text(x + 6.0, y + down - 4.0, f"[{numbers[tag.place]}]"))
    out.append("</g>")
    return out


def _scale_bar(shape: Shape, top: float, width: float) -> tuple[str, float]:
    metres = round_length(0.3 * width / shape.scale)
    long = metres * shape.scale
    y = top + 10.0
    return (
        f'<path class="bw-w" d="M10 {figure(y - 4)}v8M10 {figure(y)}h{figure(long)}v-4v8'
        f'M{figure(10 + long / 2)} {figure(y - 2)}v4"/>'
        + text(10.0, y + 16.0, "0", attributes='text-anchor="middle"')
        + text(10.0 + long, y + 16.0, f"{number(metres)} m", attributes='text-anchor="middle"')
    ), y + 20.0
