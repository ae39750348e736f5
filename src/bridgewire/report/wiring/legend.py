"""What the marks and lines of the wiring drawings mean."""

from __future__ import annotations

from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.plain_text import wrap
from bridgewire.report.wiring.drawing import drawing, figure, text, use
from bridgewire.timeline.outcomes import Verdict

WIDTH = 900.0
_SIZE = 11
_ROW, _COLUMNS, _LEFT = 17.0, 3, 10.0
_LETTERS = 135
"""In one line of the notes."""

_VERDICTS = {
    Verdict.SURE: "sure: lights even at the worst corner",
    Verdict.MARGINAL: "marginal: lights typically, not at worst",
    Verdict.NO: "no: does not light even typically",
    Verdict.UNKNOWN: "unknown: a value is missing",
}
_PARTS = (
    ("box", "box"),
    ("splitter", "splitter"),
    ("strip", "strip"),
    ("position", "position"),
    ("resistor", "resistance: supply, cable with plugs"),
    ("contact", "the way's contact, drawn closed"),
    ("diode", "diode of a way"),
    ("dot", "joined; lines that cross without it are not"),
    ("terminal", "terminal; a letter: goes on at the same letter"),
    ("igniter", "igniter (own mark, see below)"),
)
_SUPPLIES = (
    ("battery", "battery"),
    ("capacitor", "capacitor"),
    ("regulated", "regulated supply, or a plugin's model"),
)
_NOTES = (
    "Battery, capacitor, resistor, contact, diode, dot and terminal follow the general form of "
    "IEC 60617. We know of no symbol there for an igniter; ours is a resistor with a dot and three "
    "rays. The fuse that an igniter lights is not drawn.",
    "Circuits: feed above, return below; typical values. Voltages are between feed and return at "
    "the moment each igniter lights; a range where igniters that share a step light at different "
    "moments.",
    "Plan: lines by cable, to scale; a mark beside a strip is the worst of its igniters. No mark: "
    "no cue.",
)


def legend_svg(*, with_symbols: bool = True) -> str:
    """Draw the key to all wiring drawings.

    Parameters
    ----------
    with_symbols : bool
        False where the page has `symbols.symbol_defs` already.

    Returns
    -------
    str
        SVG, 180 mm wide.

    Examples
    --------
    >>> "IEC 60617" in legend_svg()
    True
    """
    out: list[str] = []
    y = 20.0
    entries = [(v.value, words) for v, words in _VERDICTS.items()] + list(_PARTS)
    step = (WIDTH - 2.0 * _LEFT) / _COLUMNS
    rows = -(-len(entries) // _COLUMNS)
    for n, (symbol, words) in enumerate(entries):
        column, row = divmod(n, rows)
        x, at = _LEFT + column * step, y + row * 1.7 * _ROW
        out += [use(symbol, x + 16.0, at), text(x + 38.0, at + 4.0, words)]
    y += rows * 1.7 * _ROW
    for n, (symbol, words) in enumerate(_SUPPLIES):
        x = _LEFT + n * step
        out.append(
            f'<g transform="translate({figure(x + 16.0)} {figure(y - 6.0)}) scale(.6)">'
            f"{use(symbol, 0.0, 0.0)}</g>"
        )
        out.append(text(x + 38.0, y + 21.0, words))
    y += 64.0
    for note in (*_NOTES, CAUTIONS[0].partition(".")[0] + "."):
        for line in wrap(note, _LETTERS):
            out.append(text(_LEFT, y, line, _LETTERS))
            y += _ROW
    return drawing(
        "Key to the wiring drawings",
        "Marks of verdicts, parts and circuit symbols.",
        (WIDTH, y),
        out,
        with_symbols=with_symbols,
        font=_SIZE,
    )
