"""The words of an HTML page line by line, for comparing by eye: no styles, scripts, drawings."""

from __future__ import annotations

import re
from html.parser import HTMLParser

_SKIPPED = ("style", "script", "svg")
_HEADS = ("title", "h1", "h2", "h3", "h4", "h5", "caption", "figcaption", "summary", "label")
_LINES = frozenset((*_HEADS, "p", "li", "tr", "dt", "dd", "pre", "b", "footer"))


class _Outline(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.lines: list[str] = []
        self.words = ""
        self.skipped = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in _SKIPPED:
            if tag == "svg" and not self.skipped:
                self.words += " [drawing] "
            self.skipped += 1
        elif tag in _LINES and not self.skipped:
            self.end_line()
            self.words = f"{tag}: "
        elif tag in ("td", "th"):
            self.words += " | "

    def handle_endtag(self, tag: str) -> None:
        if tag in _SKIPPED:
            self.skipped -= 1
        elif tag in _LINES and not self.skipped:
            self.end_line()

    def handle_data(self, data: str) -> None:
        if not self.skipped:
            self.words += data

    def end_line(self) -> None:
        line = " ".join(self.words.split())
        if line and not line.endswith(":"):
            self.lines.append(line)
        self.words = ""


def outline(page: str) -> str:
    """One line for each heading, paragraph and row; hashes are masked.

    Hashes change with every word of a kit profile, which is no matter of the page.
    """
    reader = _Outline()
    reader.feed(page)
    reader.close()
    reader.end_line()
    return masked("\n".join(reader.lines) + "\n")


def masked(text: str) -> str:
    """The text without SHA-256 sums and revisions."""
    text = re.sub(r"\b[0-9a-f]{64}\b", "<sha256>", text)
    return re.sub(r"\b(?=\d*[a-f])(?=[a-f]*\d)[0-9a-f]{12}\b", "<revision>", text)
