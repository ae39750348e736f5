"""The text of a rule's page as HTML: paragraphs, lists, blocks of code."""

from __future__ import annotations

import re

from markupsafe import Markup, escape

from bridgewire.report.plain_text import visible

_CODE = re.compile(r"``(.+?)``")


def prose(text: str) -> Markup:
    """Turn the text of one section of a rule's docstring into HTML.

    Indented blocks become code, lines that begin with ``- `` or ``* `` a list, the rest
    paragraphs. Everything is escaped.

    >>> str(prose("Say ``pulse_s``.\\n\\n- one\\n- two"))
    '<p>Say <code>pulse_s</code>.</p><ul><li>one</li><li>two</li></ul>'
    """
    out: list[Markup] = []
    for block in re.split(r"\n\s*\n", text.strip("\n")):
        lines = block.splitlines()
        if not any(line.strip() for line in lines):
            continue
        if all(line.startswith("    ") or not line.strip() for line in lines):
            code = "\n".join(visible(line[4:]) for line in lines)
            out.append(Markup("<pre>{}</pre>").format(code))
        elif lines[0].lstrip().startswith(("- ", "* ")):
            out.append(Markup("<ul>") + Markup("").join(_items(lines)) + Markup("</ul>"))
        else:
            out.append(Markup("<p>{}</p>").format(_inline(" ".join(s.strip() for s in lines))))
    return Markup("").join(out)


def _items(lines: list[str]) -> list[Markup]:
    """Entries of a list; lines without a mark go on with the entry before."""
    entries: list[str] = []
    for line in lines:
        text = line.strip()
        if text.startswith(("- ", "* ")):
            entries.append(text[2:])
        else:
            entries[-1] += f" {text}"
    return [Markup("<li>{}</li>").format(_inline(entry)) for entry in entries]


def _inline(text: str) -> Markup:
    parts = _CODE.split(visible(text))
    return Markup("").join(
        Markup("<code>{}</code>").format(part) if n % 2 else escape(part)
        for n, part in enumerate(parts)
    )
