"""Small pieces of Markdown that the generated pages share."""

from __future__ import annotations

from collections.abc import Sequence


def cell(text: str) -> str:
    r"""A text that can stand in a cell of a table.

    >>> cell("a | b\n<c>")
    'a \\| b &lt;c>'
    """
    return " ".join(text.split()).replace("|", "\\|").replace("<", "&lt;")


def table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """A table without the columns in which nothing stands; nothing where there are no rows.

    >>> print(table(("Key", "Unit"), [("a", ""), ("b", "")]))
    | Key |
    |---|
    | a |
    | b |
    """
    kept = [i for i in range(len(head)) if any(row[i] for row in rows)]
    if not kept:
        return ""
    lines = [[head[i] for i in kept], *([row[i] for i in kept] for row in rows)]
    text = ["| " + " | ".join(line) + " |" for line in lines]
    return "\n".join([text[0], "|" + "---|" * len(kept), *text[1:]])
