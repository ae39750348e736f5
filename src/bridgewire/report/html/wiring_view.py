"""The drawings of a show's wiring, for the page."""

from __future__ import annotations

import re
from collections.abc import Mapping

from attrs import frozen
from markupsafe import Markup

from bridgewire.circuit.layout import OutputKey
from bridgewire.report.contents import Checked
from bridgewire.report.plain_text import visible
from bridgewire.report.wiring.circuit import way_svg
from bridgewire.report.wiring.legend import legend_svg
from bridgewire.report.wiring.plan import plan_svg
from bridgewire.report.wiring.symbols import STYLE, symbol_defs
from bridgewire.report.wiring.tree import tree_svg
from bridgewire.timeline.outcomes import Assessment

PIXELS = 1.2
"""On the screen one unit of a wiring drawing is so many pixels wide; wide drawings scroll."""
_OWN_SYMBOLS = re.compile(re.escape(STYLE) + r"<defs>.*?</defs>", re.DOTALL)
_HEAD = re.compile(
    r'<svg xmlns="[^"]*" (class="bw" role="img") width="[^"]*" height="[^"]*" '
    r'(viewBox="0 0 ([0-9.]+) [0-9.]+") font-family="[^"]*"'
)


@frozen
class WiringView:
    """Drawings as SVG that needs `symbols` on the same page."""

    symbols: Markup
    plan: Markup
    legend: Markup
    trees: tuple[tuple[str, Markup], ...]
    """Name of the output and its tree."""
    circuits: Mapping[int, Markup]
    """Circuit of the way, by index of the cue."""


def wiring_view(report: Checked, assessment: Assessment) -> WiringView:
    """Draw the wiring of a report's show.

    Parameters
    ----------
    report : Checked
    assessment : Assessment
        Of that report.
    """
    layout = assessment.layout
    order = {box: n for n, box in enumerate(layout.boxes)}
    outputs: set[OutputKey] = {p.output for p in layout.parts.values() if p.output is not None}
    trees = tuple(
        (f"{visible(box)}/{number}", _inline(tree_svg(report, (box, number), with_symbols=False)))
        for box, number in sorted(outputs, key=lambda o: (order[o[0]], o[1]))
    )
    circuits = {
        cue.cue: _inline(way_svg(report, cue.way, cue, with_symbols=False))
        for cue in report.cues
        if cue.way is not None and cue.way in layout.by_way
    }
    return WiringView(
        Markup(symbol_defs()),
        _inline(plan_svg(report)),
        _inline(legend_svg(with_symbols=False)),
        trees,
        circuits,
    )


def _inline(svg: str) -> Markup:
    """Make a drawing fit into a page that has the symbols once."""

    def head(found: re.Match[str]) -> str:
        return f'<svg {found[1]} width="{PIXELS * float(found[3]):.0f}" {found[2]}'

    return Markup(_HEAD.sub(head, _OWN_SYMBOLS.sub("", svg, count=1), count=1).strip())
