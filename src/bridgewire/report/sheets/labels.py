"""Labels for strips, splitters, outputs and both ends of every piece of a run, with QR codes."""

from __future__ import annotations

import hashlib

from attrs import frozen

from bridgewire.circuit.layout import Layout
from bridgewire.errors import BridgewireError
from bridgewire.report.figures import number
from bridgewire.report.plain_text import clip, clip_middle, visible
from bridgewire.report.sheets.contents import Label
from bridgewire.report.sheets.names import path_name, short_ref
from bridgewire.rules.wiring import run_name

MAX_CODE = 230
"""Bytes of a code: more make squares too small for a telephone at 24 mm (version 12)."""

LETTERS, HEADING_LETTERS = 20, 15
"""Letters in a row of a label, and in a row of its heading; there is room for two rows of heading
and five others."""


class CodesMissingError(BridgewireError):
    """segno is not installed; the text says what to do."""


@frozen
class LabelRow:
    """One label as a row of a CSV file."""

    kind: str
    id: str
    connects: str
    code: str


def labels(layout: Layout, title: str, revision: str) -> tuple[tuple[LabelRow, Label], ...]:
    """List the labels of a show: outputs in use, splitters, strips, then the ends of runs.

    Parameters
    ----------
    layout : Layout
    title, revision : str
        Of the report.
    """
    out: list[tuple[LabelRow, Label]] = []

    def add(
        kind: str, ident: str, connects: str, lines: tuple[tuple[str, int], ...], heading: str
    ) -> None:
        """Lines come with the rows that each may take."""
        code = code_text(kind, ident, connects, title, revision)
        # What does not fit a label is cut where it can be seen, not at the label's edge.
        short = tuple(clip_middle(line, rows * LETTERS) for line, rows in lines)
        label = Label(clip_middle(heading, 2 * HEADING_LETTERS), short, code)
        out.append((LabelRow(kind, ident, connects, code), label))

    show = layout.show
    for run in show.run:
        if "/" in run.from_:
            add("OUTPUT", run.from_, f"-> {run.to}", ((f"to {run.to}", 3),), f"output {run.from_}")
    for splitter in show.splitter:
        path = path_name(layout.parts[splitter.id])
        lines = ((path, 3), (splitter.kind, 2))
        add("SPLITTER", splitter.id, path, lines, f"splitter {splitter.id}")
    for strip in show.strip:
        path = path_name(layout.parts[strip.id])
        where = f"at {strip.position}" if strip.position is not None else strip.kind
        add("STRIP", strip.id, path, ((path, 3), (where, 2)), f"strip {strip.id}")
    for i, run in enumerate(show.run):
        length = layout.run_lengths[i]
        cable = layout.catalogue.cables.full_id(run.cable) or run.cable
        short = short_ref(layout.catalogue.cables, cable)
        size = () if length is None else ((f"{number(length.typical)} m", 1),)
        for n in range(run.parallel):
            name = run_name(run)
            if run.parallel > 1:
                name += f" ({n + 1} of {run.parallel})"
            for here, there in ((run.from_, run.to), (run.to, run.from_)):
                ends: tuple[tuple[str, int], ...] = (
                    (f"other end: {there}", 2),
                    (short, 1),
                    *size,
                )
                if run.id is not None or run.parallel > 1:
                    ends = ((f"run {name}", 1), *ends)
                add("RUN", name, f"{run.from_} -> {run.to}", ends, f"plug into {here}")
    return tuple(out)


def code_text(kind: str, ident: str, connects: str, title: str, revision: str) -> str:
    """The text of a QR code.

    Long names are shortened in their middle, the title first; an id that is shortened ends in six
    hexadecimal digits of its SHA-256, so that it is still told from others.

    >>> code_text("RUN", "r12", "heron-1/1 -> west", "Midwinter on the Mere", "1a2b3c4d5e6f")
    'bridgewire:RUN r12: heron-1/1 -> west; rev 1a2b3c4d5e6f; Midwinter on the Mere'
    >>> code_text("STRIP", "west", "west", "Regatta Night", "1a2b3c4d5e6f")
    'bridgewire:STRIP west; rev 1a2b3c4d5e6f; Regatta Night'
    """
    ident, connects, title = visible(ident), visible(connects), visible(title)
    for most in (120, 60, 40, 24, 12):
        short = _short_id(ident, most)
        between = "" if connects == ident else f": {clip_middle(connects, most)}"
        named = clip(title, min(most, 40))
        text = f"bridgewire:{kind} {short}{between}; rev {revision}; {named}"
        if len(text.encode("utf-8")) <= MAX_CODE:
            return text
    return text


def _short_id(ident: str, most: int) -> str:
    if len(ident) <= most:
        return ident
    digest = hashlib.sha256(ident.encode("utf-8")).hexdigest()[:6]
    return f"{clip_middle(ident, most - 7)}~{digest}"


def qr_svg(text: str) -> str:
    """A QR code (error correction M) as inline SVG that fills its box.

    Raises
    ------
    CodesMissingError
        If segno is not installed.
    """
    try:
        import segno
    except ImportError:
        raise CodesMissingError(
            "labels need one more package: pip install 'bridgewire[sheets]'"
        ) from None
    code = segno.make(text, error="m", micro=False, boost_error=False, encoding="utf-8")
    return str(code.svg_inline(border=4, omitsize=True, svgclass=None, lineclass=None))
