"""The wiring of one output as a tree, left to right: runs, splitters, strips, ways, igniters."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import Literal

from attrs import define, field, frozen

from bridgewire.circuit.layout import Layout, OutputKey, Part, PlacedIgniter
from bridgewire.circuit.ways import CircuitBuilder
from bridgewire.report.contents import Checked
from bridgewire.report.plain_text import clip_middle, columns, count, visible
from bridgewire.report.wiring.drawing import drawing, figure, plain, text, use
from bridgewire.report.wiring.runs import (
    cable_id,
    conductors_text,
    drawn_name,
    length_text,
    loop_text,
    short_id,
)
from bridgewire.report.wiring.symbols import VERDICT_SYMBOL
from bridgewire.report.wiring.verdicts import assessed, worst
from bridgewire.timeline.outcomes import Verdict

WIDTH = 900.0
MOST_BYTES = 20_000
"""Beyond this igniters are told by number instead of name."""
_Names = Literal["whole", "cut", "none"]
_SIZE = 11
_STEP, _ROW, _HEAD = 18.0, 15.0, 34.0
_WAYS = 400.0
"""Where the ways of strips start at the latest."""
_RUN = 225.0
"""Length of the line of a run; its words stand above and below."""


@frozen
class _Way:
    """One way of a strip, in a few words."""

    words: str
    verdict: Verdict | None


@define
class _Pen:
    """The drawing so far."""

    layout: Layout
    builder: CircuitBuilder
    box: str
    verdicts: dict[int, Verdict]
    on_strip: dict[str, list[PlacedIgniter]]
    children: dict[str, list[Part]]
    names: _Names
    out: list[str] = field(factory=list)
    lines: list[str] = field(factory=list)
    y: float = 54.0


def tree_svg(report: Checked, output: OutputKey, *, with_symbols: bool = True) -> str:
    """Draw the wiring of one output as a tree.

    Each run is a line with its name, length and cable above and, below, the conductors of one way
    that lie in parallel and their loop resistance (smallest to largest, without plugs). It ends at
    a splitter or a strip; beside a strip stand its ways with their igniters and the best verdict
    of each over all cues. What hangs on a part is drawn below it, a step to the right.

    Parameters
    ----------
    report : Checked
        With an assessment.
    output : OutputKey
        Box id and output number. An output that feeds nothing is drawn as such.
    with_symbols : bool
        False where the page has `symbols.symbol_defs` already.

    Returns
    -------
    str
        SVG, 180 mm wide. Names too long for their column are cut, with a title that has them
        whole. If it would be longer than 20 kB it goes without these titles; if that is not
        enough, the igniters of each way are counted instead of named, which the drawing says.

    Raises
    ------
    KeyError
        If the show has no such box.
    ValueError
        If the report has no assessment.

    Examples
    --------
    >>> from bridgewire import check
    >>> svg = tree_svg(check("examples/midwinter-small.toml"), ("heron-1", 1))
    >>> "west comet" in svg, len(svg) < 20_000
    (True, True)
    """
    made = ""
    ways: tuple[_Names, ...] = ("whole", "cut", "none")
    for names in ways:
        made = _tree(report, output, with_symbols, names)
        if len(made.encode()) <= MOST_BYTES:
            break
    return made


def _tree(report: Checked, output: OutputKey, with_symbols: bool, names: _Names) -> str:
    assessment = assessed(report)
    layout = assessment.layout
    box, out = output
    kind = layout.boxes[box][1]
    parts = [p for p in layout.parts.values() if p.output == output]
    on_strip: dict[str, list[PlacedIgniter]] = defaultdict(list)
    for placed in layout.igniters:
        on_strip[placed.part.id].append(placed)
    children: dict[str, list[Part]] = defaultdict(list)
    for part in parts:
        children["" if part.parent is None else part.parent.id].append(part)
    pen = _Pen(
        layout,
        CircuitBuilder(layout, assessment.simulation.ambient_C),
        box,
        assessment.verdicts(),
        on_strip,
        children,
        names,
    )
    heading = f"output {out} of box {box}"
    title = layout.boxes[box][2] if not kind.title else kind.title
    pen.out += [
        use("box", 16.0, 14.0),
        text(28.0, 18.0, heading, 60, 'font-weight="bold" font-size="13"'),
        text(28.0, 34.0, f"{title}; {_map_words(kind.path.map)}", 120),
    ]
    if parts:
        _branch(pen, "", 16.0, 20.0)
    else:
        pen.out.append(text(28.0, 56.0, "Nothing is wired to this output."))
    if names == "none":
        pen.out.append(
            text(28.0, pen.y + 2.0, "Too many igniters to name here; each way says how many.")
        )
        pen.y += _ROW
    lines = f'<path class="bw-w" stroke-width="1.4" d="{"".join(pen.lines)}"/>'
    igniters = sum(len(on_strip[p.id]) for p in parts)
    return drawing(
        f"Wiring of {heading}",
        f"{count(len(parts), 'part')}, {count(igniters, 'igniter entry', 'igniter entries')}, "
        f"in the order of the wiring. Title of the show: {report.title}.",
        (WIDTH, pen.y + 4.0),
        [lines, *pen.out],
        with_symbols=with_symbols,
        font=_SIZE,
    )


def _map_words(path_map: str) -> str:
    return {
        "pair": "a pair of conductors for each way",
        "common-return": "one return for all ways",
        "matrix": "ways are crossings of rows and columns",
    }[path_map]


def _branch(pen: _Pen, parent: str, x: float, top: float) -> None:
    """Draw what hangs on a part, below it; `x` is the upright line that they share."""
    last = top
    for part in pen.children[parent]:
        y = pen.y + _HEAD - 14.0
        pen.lines.append(f"M{figure(x)} {figure(y)}h{figure(_RUN)}")
        last = y
        _part(pen, part, x, y)
        _branch(pen, part.id, min(x + _STEP, 190.0), y)
    if last > top:
        pen.lines.append(f"M{figure(x)} {figure(top)}V{figure(last)}")


def _part(pen: _Pen, part: Part, x: float, y: float) -> None:
    """A run, the part at its end, and the ways of a strip."""
    layout = pen.layout
    kind, kind_id = layout.boxes[pen.box][1:]
    assert part.run is not None
    run = layout.show.run[part.run]
    above = f"{length_text(layout, part.run)} {short_id(cable_id(layout, part.run))}"
    cables = tuple(e for e in pen.builder.branch(part, kind, kind_id).elements if e.kind == "cable")
    below = f"{conductors_text(kind.path, run.parallel)}, {loop_text(cables)}"
    left, end = x + _STEP + 5.0, x + _RUN
    pen.out += [
        text(left, y - 18.0, drawn_name(run), 30),
        text(left, y - 5.0, above, 36),
        text(left, y + 12.0, below, 34),
        use("strip" if part.is_strip else "splitter", end + 6.0, y),
        text(end + 17.0, y + 4.0, part.id, 24, 'font-weight="bold"'),
    ]
    ways = _ways(pen, part) if part.is_strip else []
    if part.is_strip and not ways:
        pen.out.append(text(end + 17.0, y + 18.0, "no igniters"))
    start = max(_WAYS, end + 34.0 + 7.2 * min(columns(visible(part.id)), 24))
    rows = _ways_in_columns(pen, ways, start, y - 17.0)
    pen.y = max(pen.y + _HEAD + 14.0, y - 17.0 + rows * _ROW + 8.0)


def _ways(pen: _Pen, part: Part) -> list[_Way]:
    by_way: dict[int, list[PlacedIgniter]] = defaultdict(list)
    for placed in pen.on_strip[part.id]:
        by_way[placed.way].append(placed)
    found: list[_Way] = []
    for way, group in sorted(by_way.items()):
        if pen.names == "none":
            many = sum(p.igniter.count for p in group)
            verdict = worst(pen.verdicts.get(p.index) for p in group)
            words = f"{way}: {count(many, 'igniter')}{_told(verdict)}"
            found.append(_Way(words, verdict))
            continue
        for placed in group:
            verdict = pen.verdicts.get(placed.index)
            words = f"{way}: {visible(placed.id)}{_joined(placed)}{_told(verdict)}"
            found.append(_Way(words, verdict))
    return found


def _told(verdict: Verdict | None) -> str:
    """A verdict in words, where it is not sure."""
    if verdict is None:
        return ", no cue"
    return "" if verdict is Verdict.SURE else f", {verdict.value}"


def _joined(placed: PlacedIgniter) -> str:
    igniter = placed.igniter
    words = f" ×{igniter.count} {igniter.connection}" if igniter.count > 1 else ""
    return f"{words}, string {visible(igniter.string)}" if igniter.string is not None else words


def _ways_in_columns(pen: _Pen, ways: Sequence[_Way], left: float, top: float) -> int:
    """Write the ways downwards first; returns the rows that they take."""
    if not ways:
        return 0
    room = WIDTH - left - 4.0
    longest = max(columns(w.words) for w in ways)
    across = max(min(int(room // (18.0 + 6.2 * longest)), 4, -(-len(ways) // 3)), 1)
    if len(ways) > 6:
        across = max(across, 2)
    rows = -(-len(ways) // across)
    step = room / across
    most = int((step - 18.0) / 6.2)
    for n, way in enumerate(ways):
        column, row = divmod(n, rows)
        x, y = left + column * step, top + row * _ROW
        if way.verdict is not None:
            pen.out.append(use(VERDICT_SYMBOL[way.verdict], x + 5.0, y - 4.0))
        whole = pen.names == "whole" and columns(way.words) > most
        full = f"<title>{plain(way.words)}</title>" if whole else ""
        pen.out.append(
            f'<text x="{figure(x + 13.0)}" y="{figure(y)}">{plain(clip_middle(way.words, most))}'
            f"{full}</text>"
        )
    return rows
