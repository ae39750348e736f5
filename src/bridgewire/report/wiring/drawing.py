"""What the wiring drawings are put together from: text, symbols and the SVG around them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from xml.sax.saxutils import escape

from bridgewire.report.plain_text import clip_middle, columns, visible
from bridgewire.report.wiring.symbols import definitions

UNITS_PER_MM = 5.0
"""Drawing units to the millimetre of paper; text of 12 units is 2.4 mm high."""
_POINTS = 96.0 / 25.4 / UNITS_PER_MM
"""Picture points of CSS to the drawing unit, so that a print has the size meant. Sizes are given in
points because not every reader of SVG knows millimetres."""
LETTER = 0.6
"""Width of a letter over its size, for the fonts asked for, a little on the wide side."""
LONGEST = 120
"""Longest name in a drawing's description."""

_USED = re.compile(r'href="#bw-([a-z]+)"')


def figure(value: float) -> str:
    """Write a coordinate, to a tenth.

    >>> figure(12.0), figure(3.14159), figure(-0.01)
    ('12', '3.1', '0')
    """
    text = f"{value:.1f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def plain(text: str, most: int = LONGEST) -> str:
    """Make a text safe for XML, cut in its middle.

    >>> plain("<a>"), plain("jetty-north-comet-12", 12)
    ('&lt;a&gt;', 'jetty-…et-12')
    """
    return escape(clip_middle(visible(text), most))


def text(x: float, y: float, words: str, most: int = LONGEST, attributes: str = "") -> str:
    """A line of text; empty where there are no words."""
    if not words:
        return ""
    more = f" {attributes}" if attributes else ""
    return f'<text x="{figure(x)}" y="{figure(y)}"{more}>{plain(words, most)}</text>'


def width_of(words: str, size: float, most: int = LONGEST) -> float:
    """About how wide a text is, in drawing units.

    >>> width_of("abcd", 10.0)
    24.0
    """
    return LETTER * size * min(columns(visible(words)), most)


def use(name: str, x: float, y: float) -> str:
    """A symbol at a place."""
    return f'<use href="#bw-{name}" x="{figure(x)}" y="{figure(y)}"/>'


def drawing(
    title: str,
    about: str,
    size: tuple[float, float],
    body: Sequence[str],
    *,
    with_symbols: bool,
    font: int = 12,
) -> str:
    """Put an SVG around a drawing.

    Parameters
    ----------
    title, about : str
        For those who hear the page instead of seeing it; not yet escaped.
    size : tuple of float
        Width and height in drawing units.
    body : sequence of str
    with_symbols : bool
        Whether the symbols that it uses go with it.
    font : int
        Size of its text in drawing units.
    """
    inside = "".join(body)
    used = sorted(set(_USED.findall(inside)))
    width, height = size
    across, down = width * _POINTS, height * _POINTS
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="bw" role="img" width="{figure(across)}" '
        f'height="{figure(down)}" viewBox="0 0 {figure(width)} {figure(height)}" '
        f'font-family="DejaVu Sans,Verdana,sans-serif" font-size="{font}" fill="currentColor">'
        f"<title>{escape(visible(title))}</title><desc>{escape(visible(about))}</desc>"
        f"{definitions(used) if with_symbols else ''}{inside}</svg>\n"
    )
