"""Turns the formulas of a page into MathML, which browsers draw without any script."""

from __future__ import annotations

import html
import re

from latex2mathml.converter import convert

_INLINE = re.compile(r'<span class="arithmatex">\\\((.*?)\\\)</span>', re.S)
_BLOCK = re.compile(r'<div class="arithmatex">\s*\\\[(.*?)\\\]\s*</div>', re.S)


def with_mathml(page: str) -> str:
    r"""The HTML of a page with every formula as MathML.

    Examples
    --------
    >>> "<mi>R</mi>" in with_mathml(r'<span class="arithmatex">\(R\)</span>')
    True
    """
    page = _INLINE.sub(lambda m: _formula(m[1], "inline"), page)
    return _BLOCK.sub(lambda m: _formula(m[1], "block"), page)


def _formula(latex: str, display: str) -> str:
    latex = html.unescape(latex).strip()
    found = convert(latex, display=display)
    # What the converter does not know stays in it as a command.
    if "\\" in re.sub(r"<[^>]*>", "", html.unescape(found)):
        raise ValueError(f"a formula cannot be converted: {latex}")
    return found
