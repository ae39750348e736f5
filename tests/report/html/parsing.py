"""A strict reader of HTML for tests: every element closed in order, every id used once."""

from __future__ import annotations

from collections import Counter
from html.parser import HTMLParser

from attrs import define, field

VOID = frozenset(
    ("area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "wbr")
)


@define(eq=False)
class Element:
    """One element with what is in it."""

    tag: str
    attributes: dict[str, str]
    children: list[Element] = field(factory=list)
    words: list[str] = field(factory=list)

    def all(self, tag: str = "", **wanted: str) -> list[Element]:
        """Elements below this one, in order, with a tag and attributes (``class_`` for class)."""
        found: list[Element] = []
        for child in self.children:
            own = all(
                value in child.attributes.get(name.rstrip("_").replace("_", "-"), "").split()
                for name, value in wanted.items()
            )
            if tag in ("", child.tag) and own:
                found.append(child)
            found += child.all(tag, **wanted)
        return found

    @property
    def text(self) -> str:
        """All text in it, with single spaces."""
        parts = [*self.words, *(child.text for child in self.children)]
        return " ".join(" ".join(parts).split())


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.root = Element("", {})
        self.open = [self.root]
        self.faults: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        element = self._add(tag, attrs)
        if tag not in VOID:
            self.open.append(element)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._add(tag, attrs)

    def _add(self, tag: str, attrs: list[tuple[str, str | None]]) -> Element:
        names = Counter(name for name, _ in attrs)
        self.faults += [f"{tag} has {n} twice" for n, times in names.items() if times > 1]
        element = Element(tag, {name: value or "" for name, value in attrs})
        self.open[-1].children.append(element)
        return element

    def handle_endtag(self, tag: str) -> None:
        if self.open[-1].tag != tag:
            self.faults.append(f"</{tag}> where <{self.open[-1].tag}> is open, {self.getpos()}")
        else:
            self.open.pop()

    def handle_data(self, data: str) -> None:
        self.open[-1].words.append(data)


def parsed(page: str) -> Element:
    """Read a page.

    Raises
    ------
    AssertionError
        If an element is not closed in order, an attribute or an id stands twice.
    """
    reader = _Reader()
    reader.feed(page)
    reader.close()
    faults = reader.faults + [f"<{e.tag}> is not closed" for e in reader.open[1:]]
    assert faults == [], faults[:5]
    ids = Counter(e.attributes["id"] for e in reader.root.all() if "id" in e.attributes)
    assert [i for i, n in ids.items() if n > 1] == []
    return reader.root
