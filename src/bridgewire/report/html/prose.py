"""Text as HTML: paragraphs, lists and blocks of code of a rule's page, arrows and figures in
sentences.
"""

from __future__ import annotations

import re

from markupsafe import Markup, escape

from bridgewire.report.plain_text import visible

_CODE = re.compile(r"``(.+?)``")
_FIGURE = re.compile(r"(?<=\d) (?=(?:[mkµ]?[AVsΩm]|°C|%|mm²|AWG)(?!\w))")


def unbroken(text: str) -> str:
    """Keep figures and their units on one line; a stroke between figures ends a line.

    >>> unbroken("10.1 V at 5 °C, 2 cues")
    '10.1\\xa0V at 5\\xa0°C, 2 cues'
    """
    return _FIGURE.sub("\u00a0", text).replace(" / ", "\u00a0/ ")


def arrows(text: str) -> str:
    """Write the arrows between the ends of a run as on the drawings.

    >>> arrows("run heron-1/1 -> mooring")
    'run heron-1/1 → mooring'
    """
    return text.replace(" -> ", " → ")


def minus(text: str) -> str:
    """Write the hyphens of a figure as signs of less than nought.

    >>> minus("-4 to 5 °C")
    '−4 to 5 °C'
    """
    return text.replace("-", "−")


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
        Markup("<code>{}</code>").format(part) if n % 2 else escape(unbroken(part))
        for n, part in enumerate(parts)
    )
