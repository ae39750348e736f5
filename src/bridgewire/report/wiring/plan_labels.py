"""Labels of a plan: what they say and how they are drawn."""

from __future__ import annotations

from bridgewire.report.wiring.drawing import text, use, width_of
from bridgewire.report.wiring.label_places import Area
from bridgewire.report.wiring.site import Bundle, Place
from bridgewire.report.wiring.symbols import VERDICT_SYMBOL

SIZE, LINE, LETTERS = 11, 13.0, 24
_MARK = 16.0


def lines_of(place: Place) -> list[tuple[str, str, str]]:
    """Symbol, words and verdict symbol of each line of a place's label.

    A thing that stands alone needs no symbol: the mark of its place says what it is.
    """
    out = [("position", p, "") for p in place.positions]
    out += [
        (t.noun, t.id, "" if t.verdict is None else VERDICT_SYMBOL[t.verdict]) for t in place.things
    ]
    return out if len(out) > 1 else [("", out[0][1], out[0][2])]


def length_words(bundle: Bundle) -> str:
    """Length of a bundle of runs and how many runs it is."""
    many = len(bundle.names)
    return bundle.length if many == 1 else f"{bundle.length} ({many} runs)"


def width_of_label(place: Place) -> float:
    """About how wide a place's label is."""
    return max(
        _MARK * (bool(a) + bool(b)) + width_of(w, SIZE, LETTERS) for a, w, b in lines_of(place)
    )


def label(place: Place, area: Area, down: float) -> list[str]:
    """The names at a place, one below the other, on paper ground."""
    out = [_ground(area, down)]
    x = area.left + 2.0
    for n, (symbol, words, mark) in enumerate(lines_of(place)):
        y = area.top + down + 2.0 + LINE * n
        at = x
        if symbol:
            out.append(use(symbol, at + 7.0, y + 6.5))
            at += _MARK
        if mark:
            out.append(use(mark, at + 5.0, y + 6.5))
            at += _MARK
        bold = 'font-weight="bold"' if symbol == "position" else ""
        out.append(text(at, y + 10.5, words, LETTERS, bold))
    return out


def on_ground(area: Area, down: float, words: str) -> list[str]:
    """One line of text on paper ground."""
    return [_ground(area, down), text(area.left + 1.5, area.bottom + down - 2.5, words)]


def _ground(area: Area, down: float) -> str:
    return (
        f'<path class="bw-p" d="M{area.left:.1f} {area.top + down:.1f}'
        f'H{area.right:.1f}V{area.bottom + down:.1f}H{area.left:.1f}z"/>'
    )
