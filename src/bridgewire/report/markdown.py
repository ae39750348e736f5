"""Safe Markdown of bounded size, for comments on services that show it.

Names in a show come from others: they must not become links, mentions, HTML or table borders.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from bridgewire.report.plain_text import clip, count, visible

COMMENT_LIMIT = 65_536
"""Characters that the strictest common service takes for one comment."""
_JOINER = "&#8288;"
"""WORD JOINER, which shows nothing and keeps a mark from being read together with what follows."""
_REFERENCES = frozenset("@#!$%&~^")
"""What services read as a mention or a reference when a word follows."""
_PLAIN = frozenset(" -,;()'\"/%=+?")
_BEFORE_LETTERS = frozenset(".:")
"""What makes a link of an address; left as it is after a word and in a figure."""


def text(words: str, longest: int = 300) -> str:
    """Write a text so that it stays what it is.

    Parameters
    ----------
    words : str
    longest : int
        Columns; what is longer is cut and ends in ``…``.

    Returns
    -------
    str
        On one line, with every mark that Markdown or HTML could act on as a character reference.

    Examples
    --------
    >>> text("a|b *c* @crew")
    'a&#124;b &#42;c&#42; &#64;&#8288;crew'
    """
    cut = clip(visible(words), longest)
    out = []
    for here, after in zip(cut, f"{cut} "[1:], strict=True):
        safe = here.isalnum() or here in _PLAIN or not here.isascii()
        safe = safe or (here in _BEFORE_LETTERS and (after == " " or after.isdigit()))
        out.append(here if safe else f"&#{ord(here)};")
        if here in _REFERENCES and after.isalnum():
            out.append(_JOINER)
    return "".join(out)


def code(name: str, longest: int = 60) -> str:
    """Write a name in the type of code; `text` has the rest.

    >>> code("mine `2`")
    '<code>mine &#96;2&#96;</code>'
    """
    return f"<code>{text(name, longest)}</code>"


class Page:
    """Collects Markdown up to a size; what does not fit is counted.

    Parameters
    ----------
    limit : int
        Characters of the whole.
    foot : str
        What must stand at the end; room is kept for it.
    """

    def __init__(self, limit: int = COMMENT_LIMIT, foot: str = "") -> None:
        self._foot = foot
        self._room = limit - len(foot) - 400  # for the sentences that say what was left out
        self._parts: list[str] = []
        self._left_out = 0

    def add(self, part: str) -> bool:
        """Add a part that must not be cut; false where there is no room for it."""
        if len(part) > self._room:
            return False
        self._parts.append(part)
        self._room -= len(part)
        return True

    def table(self, head: Sequence[str], rows: Iterable[Sequence[str]], noun: str) -> None:
        """Add a table with as many rows as fit.

        Parameters
        ----------
        head : sequence of str
            Headings, safe Markdown.
        rows : iterable of sequence of str
            Cells, safe Markdown.
        noun : str
            What a row is, for the count of those left out.
        """
        top = f"| {' | '.join(head)} |\n|{'---|' * len(head)}\n"
        self._as_many_as_fit(top, [f"| {' | '.join(row)} |\n" for row in rows], noun)

    def list(self, title: str, items: Iterable[str], noun: str) -> None:
        """Add a heading and as many items as fit; nothing where there are none."""
        lines = [f"- {item}\n" for item in items]
        self._as_many_as_fit(f"**{title}** ({len(lines)})\n\n", lines, noun)

    def _as_many_as_fit(self, top: str, lines: Sequence[str], noun: str) -> None:
        """Add lines under their heading until there is no room, and count the rest."""
        if not lines:
            return
        if len(top) + len(lines[0]) + 1 > self._room:
            self._left_out += len(lines)
            return
        self.add(top)
        shown = 0
        while shown < len(lines) and len(lines[shown]) < self._room:
            self.add(lines[shown])
            shown += 1
        self.add("\n")  # there is room for it; without it the next text would be one more row
        rest = len(lines) - shown
        if rest:
            self._left_out += rest
            self.add(f"… and {count(rest, f'more {noun}')}.\n\n")

    def begin(self, opening: str, closing: str) -> bool:
        """Begin a block; room is kept for what ends it. Where there is none, it is counted."""
        if len(opening) + len(closing) > self._room:
            self._left_out += 1
            return False
        self._room -= len(opening) + len(closing)
        self._parts.append(opening)
        return True

    def end(self, closing: str) -> None:
        """End a block that was begun."""
        self._parts.append(closing)

    def finished(self) -> str:
        """The whole, within the limit."""
        if self._left_out:
            entries = count(self._left_out, "entry", "entries")
            self._parts.append(f"*Too long for a comment: {entries} left out.*\n\n")
        return "".join(self._parts) + self._foot
