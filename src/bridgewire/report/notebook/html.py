"""Safe pieces of HTML without colours, classes or scripts, so that any notebook can show them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from bridgewire.report.plain_text import clip, clip_middle, visible

_LEFT = ' style="text-align:left"'
_RIGHT = ' style="text-align:right"'


def text(words: str, longest: int = 300) -> str:
    """A text, escaped; what is longer is cut and ends in ``…``.

    >>> text("<b>"), text("abc", 2)
    ('&lt;b&gt;', 'a…')
    """
    return escape(clip(visible(words), longest))


def name(words: str, longest: int = 40) -> str:
    """An id, escaped; what is longer is cut in its middle."""
    return escape(clip_middle(visible(words), longest))


def table(
    head: Sequence[str], rows: Iterable[Sequence[str]], right: Iterable[int] = (), caption: str = ""
) -> str:
    """A table.

    Parameters
    ----------
    head : sequence of str
        Headings, safe HTML.
    rows : iterable of sequence of str
        Cells, safe HTML.
    right : iterable of int
        Columns of figures, which stand at the right.
    caption : str
        Safe HTML.
    """
    figures = frozenset(right)

    def line(tag: str, cells: Sequence[str]) -> str:
        return "".join(
            f"<{tag}{_RIGHT if n in figures else _LEFT}>{cell}</{tag}>"
            for n, cell in enumerate(cells)
        )

    body = "".join(f"<tr>{line('td', row)}</tr>" for row in rows)
    above = f"<caption{_LEFT}><b>{caption}</b></caption>" if caption else ""
    return f"<table>{above}<thead><tr>{line('th', head)}</tr></thead><tbody>{body}</tbody></table>"
