"""The report of one or more shows as one HTML file that needs nothing else."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING, Any

from attrs import frozen
from markupsafe import Markup

from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.contents import Checked, severity_counts
from bridgewire.report.figures import band_text
from bridgewire.report.html.anchors import Anchors
from bridgewire.report.html.assumptions import Fact, Unknown, facts, unknowns
from bridgewire.report.html.cue_views import CuesOf, CuesView, cues_view, give_cue_anchors
from bridgewire.report.html.finding_views import (
    SEVERITY_TITLES,
    FindingsView,
    IgnoredView,
    findings_view,
    ignored_view,
    rule_pages,
)
from bridgewire.report.html.odds_view import OddsView, odds_view
from bridgewire.report.html.prose import arrows, minus, unbroken
from bridgewire.report.html.wiring_view import WiringView, wiring_view
from bridgewire.report.plain_text import count, visible
from bridgewire.report.remedy_notes import Remedies
from bridgewire.timeline.outcomes import Assessment, Verdict

if TYPE_CHECKING:
    import jinja2


@frozen
class ShowView:
    """One show of the page."""

    anchor: str
    title: str
    file: str
    revision: str
    sha256: str
    facts: tuple[tuple[str, str], ...]
    verdicts: tuple[tuple[str, int], ...]
    severities: tuple[tuple[str, str, int], ...]
    conclusion: str
    odds: OddsView | None
    findings: FindingsView
    ignored: tuple[IgnoredView, ...]
    wiring: WiringView | None
    cues: CuesView | None
    assumptions: tuple[Fact, ...]
    unknowns: tuple[Unknown, ...]
    kits: tuple[tuple[str, str, str, str], ...]
    plugins: tuple[tuple[str, str, str], ...]


def html_page(
    reports: Sequence[Checked],
    version: str,
    *,
    unusable: Sequence[tuple[str, int]] = (),
    remedies: Remedies | None = None,
) -> str:
    """Write reports as one HTML page.

    Parameters
    ----------
    reports : sequence of Checked
        One for each show that could be read; each becomes a part of the page.
    version : str
        Of bridgewire.
    unusable : sequence of (str, int)
        Show files that could not be used, with the number of problems of each.
    remedies : callable, optional
        Gives changes that were worked out for a finding.

    Returns
    -------
    str
        A whole HTML document. It loads nothing, and its own content policy forbids it to. Names
        from files are escaped. It can be read without scripts; with them its cues can be
        filtered.

    Examples
    --------
    >>> html_page([], "0.1", unusable=[("show.toml", 2)]).count("</html>")
    1
    """
    taken: set[str] = set()
    shared = Anchors("", taken)
    codes = {f.code for r in reports for f in r.findings}
    codes |= {i.finding.code for r in reports for i in r.ignored}
    pages = rule_pages(codes, shared)
    links = {page.code: page.anchor for page in pages}
    shows = []
    for n, report in enumerate(reports, 1):
        anchors = Anchors("" if len(reports) == 1 else f"show{n}", taken)
        shows.append(_show(report, anchors, links, remedies))
    titles = [visible(r.title) for r in reports]
    head = titles[0] if len(titles) == 1 else count(len(titles), "show")
    revisions = ", ".join(r.revision for r in reports[:4])
    data: dict[str, Any] = {
        "title": head,
        "running": f"{head}, revision {revisions}" if revisions else head,
        "version": version,
        "shows": shows,
        "unusable": [(file, count(n, "problem")) for file, n in unusable],
        "pages": pages,
        "cautions": CAUTIONS,
        "symbols": Markup("") if not shows else _symbols(shows),
    }
    template = _environment().get_template("page.html.jinja")
    return template.render(data).strip() + "\n"


def _symbols(shows: Sequence[ShowView]) -> Markup:
    return next((s.wiring.symbols for s in shows if s.wiring is not None), Markup(""))


def _show(
    report: Checked, anchors: Anchors, pages: Mapping[str, str], remedies: Remedies | None
) -> ShowView:
    anchor = anchors.give("show", 0, "")
    give_cue_anchors(report, anchors)
    found = findings_view(report, anchors, pages, CuesOf(report), remedies)
    assessment = report.assessment
    wiring = None if assessment is None else wiring_view(report, assessment)
    cues = None
    if assessment is not None and report.cues:
        circuits = {} if wiring is None else wiring.circuits
        cues = cues_view(report, assessment, anchors, found.of_cue, circuits)
    counts = report.verdict_counts()
    severities = severity_counts(report)
    return ShowView(
        anchor=anchor,
        title=report.title,
        file=report.file,
        revision=report.revision,
        sha256=report.sha256,
        facts=() if assessment is None else tuple(_facts(report, assessment)),
        verdicts=tuple((v.value, counts[v]) for v in Verdict),
        severities=tuple((*SEVERITY_TITLES[s][::-1], n) for s, n in severities.items()),
        conclusion=_conclusion(report),
        odds=None if report.odds is None else odds_view(report.odds),
        findings=found,
        ignored=ignored_view(report),
        wiring=wiring,
        cues=cues,
        assumptions=() if assessment is None else facts(report, assessment),
        unknowns=unknowns(report),
        kits=tuple((k.id, k.version, k.file, k.sha256) for k in report.kits),
        plugins=tuple(
            (p.name, f"{p.distribution} {p.version}", str(p.api_version)) for p in report.plugins
        ),
    )


def _facts(report: Checked, assessment: Assessment) -> list[tuple[str, str]]:
    show = assessment.layout.show
    rows = [
        ("boxes", str(len(show.box))),
        ("strips", str(len(show.strip))),
        ("igniter entries", str(len(show.igniter))),
        ("cues", str(len(report.cues))),
    ]
    stated = "" if show.site.ambient_C is not None else ", assumed"
    rows.append(("ambient", minus(band_text(assessment.simulation.ambient_C, "°C")) + stated))
    margins = [i.margin for c in report.cues for i in c.meant if i.margin is not None]
    if margins:
        rows.append(("least margin", f"{min(margins):.2f} at the worst corner"))
    return rows


def _conclusion(report: Checked) -> str:
    """One sentence that says how many igniters light."""
    counts = report.verdict_counts()
    whole = sum(counts.values())
    if not whole:
        return "No cue of this show means an igniter, so nothing was judged."
    if counts[Verdict.SURE] == whole:
        return f"All {count(whole, 'igniter entry', 'igniter entries')} light at the worst corner."
    parts = [
        (counts[Verdict.SURE], "sure to light"),
        (counts[Verdict.MARGINAL], "perhaps not at the worst corner"),
        (counts[Verdict.NO], "not lit even at typical values"),
        (counts[Verdict.UNKNOWN], "not to be told, as a value is missing"),
    ]
    entries = count(whole, "igniter entry", "igniter entries")
    return f"{entries}: {', '.join(f'{n} {how}' for n, how in parts if n)}."


def css_string(text: str) -> str:
    """A text as a string of CSS that is safe within a ``style`` element.

    >>> css_string('a"</style>')
    '"a\\\\22 \\\\3c \\\\2f style\\\\3e "'
    """
    kept = "".join(c if c.isalnum() or c in " ,.-" else f"\\{ord(c):x} " for c in text)
    return f'"{kept}"'


def _finalize(value: object) -> object:
    """Names cannot play tricks with control characters or direction marks; figures stay whole."""
    return unbroken(visible(value)) if type(value) is str else value


@cache
def _environment() -> jinja2.Environment:
    import jinja2

    here = resources.files(__package__)

    def load(name: str) -> str:
        return (here / name).read_text(encoding="utf-8")

    environment = jinja2.Environment(
        loader=jinja2.FunctionLoader(lambda name: load(f"templates/{name}")),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_finalize,
    )
    environment.globals["style"] = Markup(load("style.css"))
    environment.globals["script"] = Markup(load("script.js"))
    environment.filters["arrows"] = lambda text: arrows(visible(text))
    environment.filters["css_string"] = lambda text: Markup(css_string(visible(text)))
    return environment
