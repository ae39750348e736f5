"""Cues as the page shows them: a row of the table, and all details."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from attrs import frozen
from markupsafe import Markup

from bridgewire.diagnostics import Finding
from bridgewire.report.contents import Checked
from bridgewire.report.cue_table import light_cell, margin_cell, most_lost, spent, spread_cell
from bridgewire.report.figures import clock, number
from bridgewire.report.html.anchors import Anchors
from bridgewire.report.html.cue_traces import cue_curves
from bridgewire.report.html.finding_views import FindingView
from bridgewire.report.html.igniter_views import (
    NO_IGNITER,
    IgniterRows,
    IgniterView,
    StrayView,
    stray_row,
)
from bridgewire.report.html.light_bands import BandAxis, axis_svg, band_axis, band_svg, band_words
from bridgewire.report.html.path_steps import Paths, PathView
from bridgewire.report.html.prose import arrows
from bridgewire.report.html.shelf import Shelf
from bridgewire.report.html.trace_drawing import Drawing, draw_traces
from bridgewire.report.igniter_text import cue_notes
from bridgewire.report.plain_text import visible
from bridgewire.timeline.outcomes import Assessment, CueOutcome, Times, Verdict
from bridgewire.units import amperes, seconds, volts

_OPEN_UP_TO = 12
"""In a show with no more cues than this, all details are open."""
_WIDE = 190.0
_ORDER = {"error": 3, "warning": 2, "note": 1}


@frozen
class CueView:
    """One cue."""

    anchor: str
    id: str
    when: str
    way: str
    box: str
    pulse: str
    word: str
    mark: str
    share: str
    light: str
    told: str
    """The same in words that stand alone; may be empty."""
    band: Markup
    spread: str
    margin: str
    search: str
    codes: str
    severity: str
    open: bool
    facts: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]
    igniters: tuple[IgniterView, ...]
    strays: tuple[StrayView, ...]
    paths: tuple[PathView, ...]
    traces: Drawing | None
    circuit: Markup
    findings: tuple[FindingView, ...]


@frozen
class CuesView:
    """The cues of a show, in order of time, and what they can be filtered by."""

    cues: tuple[CueView, ...]
    axis: Markup
    wide_axis: Markup
    all_open: bool
    drawings: Markup
    """What the others refer to."""
    verdicts: tuple[str, ...]
    boxes: tuple[str, ...]
    severities: tuple[str, ...]
    codes: tuple[str, ...]


def give_cue_anchors(report: Checked, anchors: Anchors) -> None:
    """Give every cue its id, by its place in the show."""
    for cue in report.cues:
        anchors.give("cue", cue.cue, cue.id)


class CuesOf:
    """Tells which cues a finding concerns."""

    def __init__(self, report: Checked) -> None:
        self._by_id: dict[str, int] = {}
        self._by_igniter: dict[int, list[int]] = {}
        for cue in report.cues:
            self._by_id.setdefault(cue.id, cue.cue)
            for igniter in cue.meant:
                self._by_igniter.setdefault(igniter.igniter, []).append(cue.cue)
        self._cues = {cue.cue for cue in report.cues}

    def __call__(self, finding: Finding) -> Sequence[int]:
        """Indexes of the cues: those named, and those that mean the igniter it stands at."""
        found: list[int] = []
        path = finding.path
        if finding.document == "show" and len(path) >= 2 and isinstance(path[1], int):
            if path[0] == "cue" and path[1] in self._cues:
                found.append(path[1])
            elif path[0] == "igniter":
                found += self._by_igniter.get(path[1], [])
        found += [self._by_id[s] for s in finding.subjects if s in self._by_id]
        return found


def cues_view(
    report: Checked,
    assessment: Assessment,
    anchors: Anchors,
    of_cue: Mapping[int, tuple[FindingView, ...]],
    circuits: Mapping[int, Markup],
) -> CuesView:
    """Arrange the cues of a report.

    Parameters
    ----------
    report : Checked
    assessment : Assessment
        Of that report.
    anchors : Anchors
        With those of the cues, see `give_cue_anchors`.
    of_cue : mapping of cue to findings
    circuits : mapping of cue to drawing
        Drawings of the circuit, for the cues that have one.
    """
    maker = _Maker(report, assessment, anchors, of_cue, circuits)
    cues = tuple(maker.view(cue) for cue in sorted(report.cues, key=lambda c: c.switch_s))
    verdicts = {c.word for c in cues}
    order = [*(v.value for v in Verdict), "no igniter"]
    found = {s for c in cues for s in (c.severity,) if s}
    return CuesView(
        cues,
        axis_svg(maker.axis, maker.shelf),
        axis_svg(maker.wide, maker.shelf),
        maker.all_open,
        maker.shelf.definitions(),
        tuple(v for v in order if v in verdicts),
        tuple(dict.fromkeys(c.box for c in cues if c.box)),
        tuple(sorted(found, key=lambda s: -_ORDER[s])),
        tuple(sorted({code for c in cues for code in c.codes.split()})),
    )


class _Maker:
    def __init__(
        self,
        report: Checked,
        assessment: Assessment,
        anchors: Anchors,
        of_cue: Mapping[int, tuple[FindingView, ...]],
        circuits: Mapping[int, Markup],
    ) -> None:
        self.assessment = assessment
        self.anchors = anchors
        self.of_cue = of_cue
        self.circuits = circuits
        self.axis: BandAxis = band_axis(report.cues)
        self.wide = self.axis.resized(_WIDE)
        self.paths = Paths(assessment)
        self.shelf = Shelf(anchors)
        self.igniters = IgniterRows(assessment, self.paths, self.wide, self.shelf)
        self.curves = cue_curves(assessment)
        self.all_open = len(report.cues) <= _OPEN_UP_TO

    def view(self, cue: CueOutcome) -> CueView:
        worst = cue.verdict
        word = "no igniter" if worst is None else worst.value
        findings = self.of_cue.get(cue.cue, ())
        severity = max((f.word for f in findings), key=_ORDER.__getitem__, default="")
        curves = self.curves.get(cue.cue)
        whole = _whole(cue)
        way = "no such way" if cue.way is None else "/".join(str(k) for k in cue.way)
        names = [cue.id, way, *(i.id for i in cue.igniters)]
        names += [self.igniters.lights(i) for i in cue.igniters]
        return CueView(
            anchor=self.anchors.of("cue", cue.cue),
            id=cue.id,
            when=clock(cue.switch_s),
            way=way,
            box="" if cue.way is None else cue.way[0],
            pulse="–" if cue.pulse_s is None else number(cue.pulse_s),
            word=word,
            mark=NO_IGNITER if worst is None else worst.value,
            share="" if worst is None else _share(cue, worst),
            light=light_cell(cue).replace("-", "–") if whole is None else band_words(whole),
            told=_told(cue, whole),
            band=band_svg(whole, self.axis, self.shelf),
            spread=spread_cell(cue).replace("-", "–"),
            margin=margin_cell(cue).replace("-", "–"),
            search=visible(" ".join(n for n in names if n)).lower(),
            codes=" ".join(dict.fromkeys(f.code for f in findings)),
            severity=severity,
            open=self.all_open or worst is not Verdict.SURE or severity == "error",
            facts=tuple(self._facts(cue)),
            notes=tuple(cue_notes(cue)),
            igniters=tuple(self.igniters.row(cue, i) for i in cue.igniters),
            strays=tuple(stray_row(s) for s in cue.strays),
            paths=tuple(self._paths(cue)),
            traces=None if curves is None else draw_traces(curves, self.shelf),
            circuit=self.circuits.get(cue.cue, Markup("")),
            findings=findings,
        )

    def _facts(self, cue: CueOutcome) -> list[tuple[str, str]]:
        show = self.assessment.layout.show
        wish = show.cue[cue.cue]
        rows: list[tuple[str, str]] = []
        pulse = "not stated" if cue.pulse_s is None else seconds(cue.pulse_s)
        if cue.pulse_s is not None and wish.pulse_s is None:
            pulse += " (the igniter class's default)"
        if wish.repeat is not None:
            pulse += f", {wish.repeat.times} more after {seconds(wish.repeat.gap_s)} each"
        rows.append(("pulse", pulse))
        if wish.effect_at_s is not None:
            rows.append(("effect wanted at", clock(wish.effect_at_s)))
        if wish.together:
            rows.append(("must light together", _spreads(cue)))
        elif cue.spread_typical_s is not None and math.isfinite(cue.spread_typical_s):
            rows.append(("spread", f"{seconds(cue.spread_typical_s)} typically"))
        if cue.start_V is not None:
            v = cue.start_V
            lowest = "" if cue.lowest_V is None else f"; falls to {volts(cue.lowest_V)} at worst"
            rows.append(
                (
                    "supply before the cue",
                    f"{volts(v.typical)} typical, {volts(v.worst)} at worst{lowest}",
                )
            )
        if cue.peak_A is not None:
            limit = ""
            if cue.limited_ever:
                limit = "; its current limit is reached" + ("" if cue.limited else " at worst")
            rows.append(("highest supply current", f"{amperes(cue.peak_A)}{limit}"))
        lost = most_lost(cue)
        if lost:
            rows.append(("most voltage lost in", arrows(visible(lost))))
        return rows

    def _paths(self, cue: CueOutcome) -> list[PathView]:
        """The weakest igniter's path, and those of igniters that are not sure."""
        own = [i for i in cue.igniters if i.intended] or list(cue.igniters)
        weakest = min(own, key=lambda i: math.inf if i.margin is None else i.margin, default=None)
        chosen = [weakest] if weakest is not None else []
        chosen += [
            i
            for i in own
            if i is not weakest and i.verdict in (Verdict.NO, Verdict.MARGINAL) and i.drops
        ]
        found = (self.paths.view(cue, i) for i in chosen[:4])
        return [p for p in found if p is not None]


def _share(cue: CueOutcome, worst: Verdict) -> str:
    """How many igniters have the verdict; in brackets, or ``no 2`` would read as a number."""
    return f"({sum(i.verdict is worst for i in cue.meant)} of {len(cue.meant)})"


def _whole(cue: CueOutcome) -> Times | None:
    """One band for all igniters that a cue means."""
    known = [i.light for i in cue.meant if i.verdict is not Verdict.UNKNOWN and not spent(i)]
    if not known:
        return None
    return Times(
        min(t.earliest for t in known),
        max(t.typical for t in known),
        max(t.latest for t in known),
    )


def _told(cue: CueOutcome, whole: Times | None) -> str:
    if whole is None:
        return "lit before" if light_cell(cue) == "lit before" else ""
    return "does not light" if math.isinf(whole.earliest) else f"lights after {band_words(whole)}"


def _spreads(cue: CueOutcome) -> str:
    typical, worst = cue.spread_typical_s, cue.spread_worst_s
    if typical is None:
        return "yes"
    if math.isinf(typical):
        return "not all of them light"
    said = f"spread {seconds(typical)} typically"
    if worst is None:
        return said
    return f"{said}, at worst " + ("not all light" if math.isinf(worst) else seconds(worst))
