"""Drawings that a page holds once and shows many times.

In a large show many cues have the same curves and the same light-time bands to the width of a
line. Each such drawing is kept once and shown by reference, which makes the page much smaller.
"""

from __future__ import annotations

from markupsafe import Markup, escape

from bridgewire.report.html.anchors import Anchors
from bridgewire.report.plain_text import visible


class Shelf:
    """Collects the drawings of one show.

    Examples
    --------
    >>> shelf = Shelf(Anchors())
    >>> stroke = '<path d="M0 0h9"/>'
    >>> str(shelf.show(stroke, "b", (9, 9)))
    '<svg class="b" viewBox="0 0 9 9" aria-hidden="true"><use href="#d-1"/></svg>'
    >>> shelf.show(stroke, "b", (9, 9)) == shelf.show(stroke, "b", (9, 9))
    True
    >>> str(shelf.definitions())
    '<g class="d" id="d-1"><path d="M0 0h9"/></g>'
    """

    def __init__(self, anchors: Anchors) -> None:
        self._anchors = anchors
        self._kept: dict[str, str] = {}

    def show(
        self, content: str, look: str, size: tuple[float, float], label: str = "", over: str = ""
    ) -> Markup:
        """A drawing by reference.

        Parameters
        ----------
        content : str
            Inside of an SVG; already escaped.
        look : str
            Class of the element.
        size : tuple of float
            Width and height of what is seen, in drawing units.
        label : str
            What it shows, for those who do not see it; without, it is hidden from them.
        over : str
            A second drawing on top, kept apart: what differs where much is alike.
        """
        parts = "".join(f'<use href="#{self._put(c)}"/>' for c in (content, over) if c)
        said = (
            f'role="img" aria-label="{escape(visible(label))}"' if label else 'aria-hidden="true"'
        )
        return Markup(
            f'<svg class="{look}" viewBox="0 0 {size[0]:g} {size[1]:g}" {said}>{parts}</svg>'
        )

    def _put(self, content: str) -> str:
        """The id of a drawing, put on the shelf if it is not there."""
        anchor = self._kept.get(content)
        if anchor is None:
            anchor = self._anchors.give("d", len(self._kept), str(len(self._kept) + 1))
            self._kept[content] = anchor
        return anchor

    def definitions(self) -> Markup:
        """All that was put on the shelf, for the inside of ``defs``."""
        return Markup("").join(
            Markup(f'<g class="d" id="{anchor}">{content}</g>')
            for content, anchor in self._kept.items()
        )
