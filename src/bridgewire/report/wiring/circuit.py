"""The circuit of one way as a schematic: supply, contact, runs, strips and igniters."""

from __future__ import annotations

from bridgewire.circuit.layout import Layout, WayKey
from bridgewire.circuit.mesh import groups
from bridgewire.circuit.supplies import SupplyData, site_ambient, supply_data
from bridgewire.circuit.ways import CircuitBuilder, WayCircuit
from bridgewire.model.kit import BoxKind
from bridgewire.report.contents import Checked
from bridgewire.report.cue_table import spent
from bridgewire.report.plain_text import clip_middle, count, visible
from bridgewire.report.wiring.drawing import drawing, figure, text, use
from bridgewire.report.wiring.ladder import RAILS, SOURCE, Ladder, Words
from bridgewire.report.wiring.steps import Range, Steps, steps_of
from bridgewire.report.wiring.verdicts import assessed
from bridgewire.report.wiring.way_words import WayWords, volts_of
from bridgewire.timeline.outcomes import CueOutcome
from bridgewire.units import ohms, significant

_SIZE = 10
_NAMED = 12
"""Igniters named in the description; more are counted."""


def way_svg(
    report: Checked, way: WayKey, cue: CueOutcome | None = None, *, with_symbols: bool = True
) -> str:
    """Draw the circuit of one way.

    From the supply with its internal resistance through the way's contact along the runs; between
    feed (above) and return (below) hang the igniters of each strip. Resistances are typical loop
    values with their plugs. With a cue, typical voltages between feed and return stand after each
    step and typical currents at the igniters; a range where igniters that share a step light at
    different moments. A circuit too long for the page goes on in a row below, at the same letter.

    Parameters
    ----------
    report : Checked
        With an assessment.
    way : WayKey
        Box id, output and way. A way with nothing on it is drawn as such.
    cue : CueOutcome, optional
        A cue of this report on this way.
    with_symbols : bool
        False where the page has `symbols.symbol_defs` already.

    Returns
    -------
    str
        SVG, at most 180 mm wide.

    Raises
    ------
    KeyError
        If the show has no such box.
    ValueError
        If the report has no assessment or the cue is of another way.

    Examples
    --------
    >>> from bridgewire import check
    >>> report = check("examples/jetty-trial.toml")
    >>> svg = way_svg(report, ("heron-1", 1, 1), report.cues[0])
    >>> "middle" in svg, "1.79 A" in svg
    (True, True)
    """
    if cue is not None and cue.way != way:
        raise ValueError(f"cue {cue.id!r} is on way {cue.way}, not on {way}")
    assessment = assessed(report)
    layout = assessment.layout
    kind = layout.boxes[way[0]][1]
    simulation = assessment.simulation
    circuit = simulation.ways.get(way)
    if circuit is None:
        circuit = CircuitBuilder(layout, simulation.ambient_C).way(way)
    steps = Steps()
    if cue is not None:
        steps = steps_of(circuit, cue, capacitor=kind.supply.kind == "capacitor")
    view = WayWords(layout, circuit, cue, steps)
    ladder = Ladder(circuit, Words(view.run, view.node, view.rung), kind.path.diode is not None)
    ladder.draw()
    notes = _notes(layout, view, kind)
    y = ladder.bottom() + 18.0
    address = "/".join(str(part) for part in way)
    heading = f"Way {address}"
    out = [
        text(8.0, 14.0, f"{heading}{_cue_words(cue)}", 120, 'font-size="12" font-weight="bold"'),
        f'<path class="bw-w" d="{"".join(ladder.wires)}"/>' if ladder.wires else "",
        *_source(view, kind, ladder.feed(0)),
        *ladder.out,
        *(text(8.0, y + 14.0 * n, note, 150) for n, note in enumerate(notes)),
    ]
    longest = max((6.3 * min(len(note), 150) for note in notes), default=0.0)
    return drawing(
        f"{heading}{_cue_words(cue)}",
        _about(layout, circuit, way),
        (min(max(ladder.widest + 8.0, longest + 16.0, 330.0), 900.0), y + 14.0 * len(notes) - 6.0),
        out,
        with_symbols=with_symbols,
        font=_SIZE,
    )


def _cue_words(cue: CueOutcome | None) -> str:
    return "" if cue is None else f", cue {visible(cue.id)}"


def _about(layout: Layout, circuit: WayCircuit, way: WayKey) -> str:
    """For the description: full ids, however the drawing cuts them."""
    placed = layout.by_way.get(way, [])
    if not placed:
        return "No igniter is on this way."
    names = [clip_middle(visible(p.id), 120) for p in placed[:_NAMED]]
    more = len(placed) - len(names)
    tail = f" and {more} more" if more else ""
    strips = len({p.part.id for p in placed})
    return f"{count(strips, 'strip')}. Igniters: {', '.join(names)}{tail}."


def _source(view: WayWords, kind: BoxKind, y: float) -> list[str]:
    """Supply, internal resistance, contact and the output's terminals."""
    box, output, way = view.circuit.key
    layout = view.layout
    ambient = site_ambient(layout, layout.show.box[layout.boxes[box][0]])
    data = None if ambient is None else supply_data(layout, box, ambient)[0]
    supply = kind.supply.kind
    symbol = {"battery": "battery", "capacitor": "capacitor"}.get(supply, "regulated")
    feed, back = groups(kind.path, way)
    matrix = kind.path.map == "matrix"
    bottom = y + RAILS
    contact = view.circuit.nodes[0].elements
    after = view.steps.after.get(0)
    closed = f"{feed} + {back}" if matrix else f"way {way}"
    return [
        f'<path class="bw-w" d="M20 {figure(y)}H{figure(SOURCE)}'
        f'M20 {figure(bottom)}H{figure(SOURCE)}"/>',
        use(symbol, 20.0, y),
        use("resistor", 58.0, y),
        use("contact", 110.0, y),
        use("contact", 110.0, bottom) if matrix else "",
        use("terminal", SOURCE - 14.0, y),
        use("terminal", SOURCE - 14.0, bottom),
        text(40.0, y - 21.0, closed, 18),
        text(40.0, y - 8.0, "contact not known" if not contact else ""),
        text(40.0, y + 20.0, box, 17, 'font-weight="bold"'),
        text(40.0, y + 33.0, _open_words(view, data, supply)),
        text(40.0, y + 46.0, _inner_words(data)),
        text(40.0, y + 59.0, _clamp_words(view.steps.supply)),
        text(SOURCE - 24.0, y - 8.0, "" if after is None else volts_of(after)),
        text(SOURCE - 36.0, bottom + 16.0, f"output {output}"),
    ]


def _open_words(view: WayWords, data: SupplyData | None, supply: str) -> str:
    start = view.cue.start_V if view.cue is not None else None
    if start is not None:
        return f"{supply} {significant(start.typical)} V"
    return f"{supply}, V unknown" if data is None else f"{supply} {_volts(data)}"


def _volts(data: SupplyData) -> str:
    return f"{significant(data.emf_V.typical)} V"


def _inner_words(data: SupplyData | None) -> str:
    return "inner Ω unknown" if data is None else f"inner {ohms(data.internal_ohm.typical)}"


def _clamp_words(found: Range | None) -> str:
    return "" if found is None else f"gives {volts_of(found)}"


def _notes(layout: Layout, view: WayWords, kind: BoxKind) -> list[str]:
    """What the drawing does not show, or cannot."""
    notes: list[str] = []
    key = view.circuit.key
    if not layout.by_way.get(key):
        notes.append("No igniter is on this way, so no current flows.")
        if not 1 <= key[1] <= kind.outputs or not 1 <= key[2] <= kind.ways:
            notes.append(
                f"A box of this kind has {count(kind.outputs, 'output')} of "
                f"{count(kind.ways, 'way')}."
            )
    elif kind.path.map == "matrix" and kind.path.diode is None:
        notes.append("Matrix without diodes: current also sneaks through other ways, not drawn.")
    elif kind.path.map == "matrix":
        notes.append("Other ways share this row and column.")
    elif kind.path.map == "common-return":
        notes.append("All ways of this output share the return.")
    if view.circuit.missing:
        lacks = ", ".join(f"{m.key} of {visible(m.item)}" for m in view.circuit.missing[:3])
        more = len(view.circuit.missing) - 3
        notes.append(f"Not known: {lacks}{f' and {more} more' if more > 0 else ''}.")
    cue = view.cue
    if cue is not None:
        if cue.limited:
            notes.append("The supply is at its current limit.")
        if cue.igniters and all(spent(i) for i in cue.igniters):
            notes.append("All igniters on it were lit before this cue.")
        elif cue.igniters and view.steps.supply is None:
            notes.append("Voltages along the way are not known for this cue.")
    return notes
