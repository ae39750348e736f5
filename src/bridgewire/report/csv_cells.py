"""Cells of CSV files: texts that a spreadsheet does not run, and numbers."""

from __future__ import annotations

import math
import re

_FORMULA = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")
"""What a cell that is a formula begins with; wide forms count in some spreadsheets."""
_INNER = re.compile(r"([;,])(?=[=+\-@＝＋－＠])")
"""Where a formula would begin if the file were split at the other delimiter."""


def safe_cell(text: str) -> str:
    """Make a text harmless in a spreadsheet: no formula, no line breaks or control characters.

    That holds whether the spreadsheet splits the file at commas or at semicolons.

    >>> safe_cell("=1+1"), safe_cell("gold-left"), safe_cell("a;=1+1")
    ("'=1+1", 'gold-left', "a;'=1+1")
    """
    plain = _INNER.sub(r"\1'", "".join(c if c.isprintable() else " " for c in text))
    return f"'{plain}" if plain.lstrip().startswith(_FORMULA) or text[:1] in _FORMULA else plain


def number_cell(value: float | None, digits: int = 6) -> str:
    """Write a number with so many significant digits; what is not known or infinite is empty.

    >>> number_cell(0.123456789), number_cell(1e-15), number_cell(None), number_cell(math.inf)
    ('0.123457', '0', '', '')
    """
    if value is None or not math.isfinite(value):
        return ""
    return f"{0.0 if abs(value) < 1e-12 else value:.{digits}g}"
