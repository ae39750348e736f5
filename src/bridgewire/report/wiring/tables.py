"""Short texts in columns under a drawing."""

from __future__ import annotations

from collections.abc import Sequence

from bridgewire.report.plain_text import visible, wrap
from bridgewire.report.wiring.drawing import LETTER, text, width_of

SIZE = 11.0
ROW = 15.0


def columns_of(
    heading: str, entries: Sequence[str], top: float, left: float, width: float
) -> tuple[list[str], float]:
    """Write entries in as many columns as fit, downwards first; long ones are wrapped.

    Parameters
    ----------
    heading : str
    entries : sequence of str
    top, left, width : float
        Where they stand, drawing units.

    Returns
    -------
    list of str
        SVG; nothing where there are no entries.
    float
        Where they end.
    """
    if not entries:
        return [], top
    most = max(int(width / (LETTER * SIZE)), 8)
    entries = [line for e in entries for line in wrap(visible(e), most, "", "    ")]
    wide = min(max(width_of(e, SIZE, most) for e in entries) + 16.0, width)
    across = max(int(width / wide), 1)
    rows = -(-len(entries) // across)
    step = width / across
    y = top + ROW
    out = [text(left, y, heading, most, 'font-weight="bold"'), f'<g font-size="{SIZE:g}">']
    for n, entry in enumerate(entries):
        column, row = divmod(n, rows)
        out.append(text(left + column * step, y + (row + 1) * ROW, entry, most))
    out.append("</g>")
    return out, y + rows * ROW
