"""The tables of currents: through the parts of the wiring, and where nothing means to send any."""

from __future__ import annotations

from collections.abc import Iterator

from attrs import frozen

from bridgewire.diagnostics import format_path
from bridgewire.report.contents import Checked
from bridgewire.report.tables.columns import Definition, number, text, yes_no
from bridgewire.timeline.outcomes import CueOutcome, Load, Stray


@frozen
class _LoadRow:
    cue: CueOutcome
    load: Load


@frozen
class _StrayRow:
    cue: CueOutcome
    stray: Stray


def _loads(report: Checked) -> Iterator[_LoadRow]:
    for cue in report.cues:
        yield from (_LoadRow(cue, load) for load in cue.loads)


def _strays(report: Checked) -> Iterator[_StrayRow]:
    for cue in report.cues:
        yield from (_StrayRow(cue, stray) for stray in cue.strays)


LOADS: Definition[_LoadRow] = Definition(
    _loads,
    (
        text("cue", "id of the cue", lambda r: r.cue.id),
        text("part", "what a person calls it", lambda r: r.load.element.label),
        text("kind", "switch, contact, cable, strip, …", lambda r: r.load.element.kind),
        text("item", "its entry in a kit", lambda r: r.load.element.item or None),
        text("path", "document path", lambda r: format_path(r.load.element.path)),
        number("total_A", "highest current at any corner, whole", lambda r: r.load.total_A),
        number(
            "each_A",
            "through the most loaded of the conductors or contacts that share it",
            lambda r: r.load.each_A,
        ),
        number("rated_A", "what one of them may carry", lambda r: r.load.element.rated_A),
        number("typical_ohm", "feed and return together", lambda r: r.load.element.ohm.typical),
    ),
)
"""One row for each part of the wiring that a cue sends current through."""

STRAYS: Definition[_StrayRow] = Definition(
    _strays,
    (
        text("cue", "id of the cue", lambda r: r.cue.id),
        text("igniter", "id of the igniter entry", lambda r: r.stray.id),
        number("peak_A", "highest current at the best corner", lambda r: r.stray.peak_A),
        yes_no("lights", "it is lit at the best corner", lambda r: r.stray.lights),
        yes_no("on_way", "it is on the cue's own way", lambda r: r.stray.on_way),
        yes_no("lit_before", "an earlier cue has typically lit it", lambda r: r.stray.lit_before),
    ),
)
"""One row for each igniter that gets current though no cue in force means to light it."""
