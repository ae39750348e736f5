"""Text that is safe and tidy on a terminal: escapes, widths, clipping, wrapping, counts."""

from __future__ import annotations

import re
import textwrap
import unicodedata

_FIGURE = re.compile(r"(?<=\d) (?=(?:[mkµ]?[AVsΩm]|°C|%|mm²|Ω/m)(?:\W|$))")
_GLUE = "\u00a0"


def visible(text: str) -> str:
    """Replace whatever a terminal could act on, so that names in a file cannot play tricks.

    Control characters, direction marks and other unprintable characters become escapes.

    >>> visible("a\\x1b[31mb"), visible("café")
    ('a\\\\x1b[31mb', 'café')
    """
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() else _escaped(c) for c in text)


def _escaped(character: str) -> str:
    if character == "\t":
        return " "
    number = ord(character)
    if number < 0x100:
        return f"\\x{number:02x}"
    return f"\\u{number:04x}" if number < 0x10000 else f"\\U{number:08x}"


def columns(text: str) -> int:
    """How many terminal columns a text takes.

    >>> columns("Ω"), columns("灯")
    (1, 2)
    """
    if text.isascii():
        return len(text)
    return sum(
        0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1
        for c in text
    )


def clip(text: str, width: int) -> str:
    """Cut a text to so many columns; a cut text ends in ``…``.

    >>> clip("gold comet, left", 8)
    'gold co…'
    """
    if columns(text) <= width:
        return text
    kept = ""
    for character in text:
        if columns(kept + character) > width - 1:
            break
        kept += character
    return kept + "…"


def clip_middle(text: str, width: int) -> str:
    """Cut a text in its middle, so that names that differ at their end stay different.

    >>> clip_middle("jetty-north-comet-12", 12)
    'jetty-…et-12'
    """
    if columns(text) <= width:
        return text
    tail = (width - 1) // 2
    end = text[-tail:] if tail else ""
    while columns(end) > tail:  # of letters that are two columns wide fewer fit
        end = end[1:]
    return clip(text, width - columns(end)) + end


def pad(text: str, width: int, *, right: bool = False) -> str:
    """Fill a text up with spaces, at its left if `right`.

    >>> pad("ab", 4), pad("ab", 4, right=True)
    ('ab  ', '  ab')
    """
    spaces = " " * max(width - columns(text), 0)
    return spaces + text if right else text + spaces


def wrap(text: str, width: int, first: str = "", rest: str | None = None) -> list[str]:
    """Break a text into lines; long words, and figures with their unit, are left whole.

    >>> wrap("one two three", 9, "- ")
    ['- one two', '  three']
    """
    indent = " " * len(first) if rest is None else rest
    lines = textwrap.wrap(
        _FIGURE.sub(_GLUE, text),
        width,
        initial_indent=first,
        subsequent_indent=indent,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return [line.replace(_GLUE, " ") for line in lines] or [first.rstrip()]


def count(number: int, noun: str, plural: str = "") -> str:
    """Write a number of things.

    >>> count(1, "cue"), count(2, "cue"), count(0, "entry", "entries")
    ('1 cue', '2 cues', '0 entries')
    """
    return f"{number} {noun if number == 1 else plural or noun + 's'}"
