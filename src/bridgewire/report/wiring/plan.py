"""The site as a plan: what stands where, and the runs between, to scale."""

from __future__ import annotations

from bridgewire.report.contents import Checked
from bridgewire.report.plain_text import count
from bridgewire.report.wiring.drawing import UNITS_PER_MM, drawing, text
from bridgewire.report.wiring.plan_drawing import draw_plan
from bridgewire.report.wiring.plan_lists import missing_lists, plan_key, told_below
from bridgewire.report.wiring.plan_rows import lay
from bridgewire.report.wiring.runs import cable_styles
from bridgewire.report.wiring.site import Site, site_of
from bridgewire.report.wiring.tables import columns_of
from bridgewire.report.wiring.verdicts import assessed

LEAST_MM, MOST_MM = 80.0, 2000.0


def plan_svg(
    report: Checked, *, width_mm: float = 180.0, labels: bool = True, with_symbols: bool = True
) -> str:
    """Draw the site from its coordinates.

    Boxes, splitters and strips stand where the show's coordinates say, to one scale in both
    directions, x to the right and y upwards. A site that is much wider than deep is cut into rows,
    each as long as the others. Runs are drawn as lines by cable; runs between the same two places
    with the same cable and length are one line. What has no coordinates, and every name or length
    that found no room, is listed below the plan.

    Parameters
    ----------
    report : Checked
        With an assessment.
    width_mm : float
        On paper, 80 to 2000 mm.
    labels : bool
        False for a number at each place and the names below.
    with_symbols : bool
        False where the page has `symbols.symbol_defs` already.

    Returns
    -------
    str
        SVG. Its height follows from the site. The same report gives the same
        text.

    Raises
    ------
    ValueError
        If the report has no assessment or the width is out of range.

    Examples
    --------
    >>> from bridgewire import check
    >>> svg = plan_svg(check("examples/midwinter-small.toml"))
    >>> svg.startswith("<svg"), "west-bank" in svg
    (True, True)
    """
    if not LEAST_MM <= width_mm <= MOST_MM:
        raise ValueError(f"a plan is {LEAST_MM:g} to {MOST_MM:g} mm wide, not {width_mm:g}")
    assessment = assessed(report)
    layout = assessment.layout
    site = site_of(layout, assessment.verdicts())
    styles = cable_styles(layout)
    width = width_mm * UNITS_PER_MM
    out: list[str] = []
    y = 4.0
    if site.places:
        laid = lay(site, width, labels)
        drawn, y = draw_plan(laid, site, styles, width)
        out += drawn
        key, y = plan_key(layout, site, styles, labels, y + 10.0, width)
        out += key
        lists = told_below(site, laid)
    else:
        out.append(text(10.0, 20.0, "Nothing has coordinates, so there is no plan to scale."))
        y = 26.0
        lists = []
    for heading, entries in (*lists, *missing_lists(site)):
        drawn, y = columns_of(heading, entries, y + 6.0, 10.0, width - 20.0)
        out += drawn
    return drawing(
        f"Plan of {report.title}",
        _about(site),
        (width, y + 10.0),
        out,
        with_symbols=with_symbols,
    )


def _about(site: Site) -> str:
    things = sum(len(p.things) for p in site.places)
    runs = sum(len(b.names) for b in (*site.bundles, *site.indoors))
    words = (
        f"{count(things, 'box, splitter or strip', 'boxes, splitters and strips')} at "
        f"{count(len(site.places), 'place')}, {count(runs, 'run')} between or at them"
    )
    lost = len(site.loose) + len(site.loose_runs)
    return f"{words}; {count(lost, 'part or run', 'parts and runs')} without coordinates."
