"""The report of one show as text for a terminal."""

from __future__ import annotations

import datetime
from collections import Counter

from attrs import frozen

from bridgewire.diagnostics import Severity
from bridgewire.model.show import Requirements
from bridgewire.report.cautions import caution_lines
from bridgewire.report.contents import SEVERITY_NOUNS, Checked, severity_counts
from bridgewire.report.cue_table import cue_line, heading_lines
from bridgewire.report.figures import band_text
from bridgewire.report.findings_text import findings_lines
from bridgewire.report.igniter_text import cue_notes, igniter_lines
from bridgewire.report.ink import PLAIN, Ink
from bridgewire.report.plain_text import count, visible, wrap
from bridgewire.report.remedy_notes import Remedies
from bridgewire.timeline.outcomes import CueOutcome, Verdict


@frozen
class TextOptions:
    """How much to show, and how."""

    width: int = 80
    verbose: bool = False
    """Details of every cue, not only of those that are not sure."""
    everything: bool = False
    """Every finding, not only the first of each code."""
    ink: Ink = PLAIN
    cautions: bool = True
    remedies: Remedies | None = None
    """Gives the remedies that were worked out for a finding."""


def report_text(report: Checked, options: TextOptions | None = None) -> str:
    """Write a report as text.

    Parameters
    ----------
    report : Checked
        For example ``bridgewire.check("show.toml")``.
    options : TextOptions, optional

    Returns
    -------
    str
        Title, kits and site; the table of cues with details of those that are not sure;
        findings; a summary; cautions. Ends with a line end.
    """
    o = TextOptions() if options is None else options
    lines = [o.ink(visible(report.title), "bold"), *_facts(report, o), ""]
    lines += cue_section(report, o)
    worked_out = o.remedies
    found = findings_lines(
        report.findings,
        width=o.width,
        everything=o.everything,
        ink=o.ink,
        notes=(lambda f: ()) if worked_out is None else (lambda f: worked_out(report, f)),
    )
    if found:
        lines += [*found, ""]
    lines += known_lines(report, o)
    lines += _ignored(report, o)
    lines += summary_lines(report, o)
    if worked_out is None and any(c.verdict not in (Verdict.SURE, None) for c in report.cues):
        lines.append("bridgewire advise SHOW tells what to change.")
    if o.cautions:
        lines += ["", *caution_lines(o.width, o.ink)]
    return "\n".join(lines) + "\n"


def _facts(report: Checked, o: TextOptions) -> list[str]:
    kits = ", ".join(f"{k.id} {k.version}".strip() for k in report.kits) or "none"
    rows = [("file", report.file), ("kits", kits)]
    if report.plugins:
        named = (f"{p.name} ({p.distribution} {p.version})" for p in report.plugins)
        rows.append(("plugins", ", ".join(named)))
    if report.assessment is not None:
        layout = report.assessment.layout
        site = layout.show.site.ambient_C
        ambient = report.assessment.simulation.ambient_C
        assumed = "" if site is not None else ", not stated in the show: assumed wide"
        rows.append(("ambient", band_text(ambient, "°C") + assumed))
        wanted = _requirements(layout.show.requirements)
        rows.append(("required", wanted or "nothing stated"))
        rows.append(
            (
                "on site",
                ", ".join(
                    (
                        count(len(layout.show.box), "box", "boxes"),
                        count(len(layout.show.strip), "strip"),
                        count(len(layout.show.igniter), "igniter entry", "igniter entries"),
                        count(len(report.cues), "cue"),
                    )
                ),
            )
        )
    return [line for name, text in rows for line in wrap(visible(text), o.width, f"  {name:<10}")]


def _requirements(wanted: Requirements) -> str:
    parts = [
        ("margin", wanted.margin, ""),
        ("spread", wanted.spread_s, " s"),
        ("latest light", wanted.latest_light_s, " s"),
        ("effect within", wanted.effect_tolerance_s, " s"),
        ("reliability", wanted.reliability, ""),
    ]
    return ", ".join(f"{name} {value:g}{unit}" for name, value, unit in parts if value is not None)


def cue_section(report: Checked, options: TextOptions) -> list[str]:
    """The table of cues, in order of time, with details where they are wanted."""
    o = options
    if not report.cues:
        return ["The show has no cues.", ""]
    lines = heading_lines(o.width, o.ink)
    for cue in sorted(report.cues, key=lambda c: c.switch_s):
        lines.append(cue_line(cue, o.width, o.ink))
        if o.verbose or cue.verdict is not Verdict.SURE:
            lines += _details(cue, o)
    return [*lines, ""]


def _details(cue: CueOutcome, o: TextOptions) -> list[str]:
    lines: list[str] = []
    for igniter in cue.igniters:
        doubtful = igniter.intended and igniter.verdict is not Verdict.SURE
        if o.verbose or doubtful:
            lines += igniter_lines(igniter, o.width, o.ink)
    for note in cue_notes(cue):
        lines += wrap(note, o.width, "    ")
    return lines


def known_lines(report: Checked, options: TextOptions) -> list[str]:
    """Findings that the baseline knows: counted by code, those about safety of people in full."""
    o = options
    lines: list[str] = []
    if report.known:
        lines.append(f"Known findings, in the baseline ({len(report.known)})")
        lines += [line for s in sorted(Severity, reverse=True) for line in _known_of(report, s, o)]
    if report.stale:
        number = count(sum(k.count for k in report.stale), "known finding")
        text = f"{number} not found any more; take out with: bridgewire baseline prune"
        lines += wrap(text, o.width, "", "  ")
    return [*lines, ""] if lines else []


def _known_of(report: Checked, severity: Severity, o: TextOptions) -> list[str]:
    found = [k.finding for k in report.known if k.finding.severity is severity]
    if not found:
        return []
    codes = Counter(f.code for f in found)
    counted = ", ".join(code if n == 1 else f"{code} ({n})" for code, n in codes.items())
    lines = wrap(f"{count(len(found), SEVERITY_NOUNS[severity])}: {counted}", o.width, "  ", "    ")
    for finding in found:
        if o.everything or finding.code.startswith("SAF"):
            lines += wrap(f"{finding.code}: {visible(finding.message)}", o.width, "    ", "      ")
    return lines


def _ignored(report: Checked, o: TextOptions) -> list[str]:
    unheard = [i for i in report.ignored if not i.baseline]
    if not unheard:
        return []
    lines = [f"Not shown, as the show asks ({len(unheard)})"]
    reasons: dict[tuple[str, str, datetime.date | None], int] = {}
    for ignored in unheard:
        key = ignored.finding.code, ignored.reason, ignored.until
        reasons[key] = reasons.get(key, 0) + 1
    for (code, reason, until), number_of in reasons.items():
        last = "" if until is None else f", until {until.isoformat()}"
        lines += wrap(f"{code} ({number_of}{last}): {visible(reason)}", o.width, "  ", "    ")
    return [*lines, ""]


def summary_lines(report: Checked, options: TextOptions) -> list[str]:
    """Counts of verdicts and findings."""
    ink = options.ink
    counts = report.verdict_counts()
    verdicts = ", ".join(ink.verdict(v, f"{counts[v]} {v.value}") for v in Verdict)
    found = ", ".join(_counted(report, ink)) + _besides(report)
    lines = [f"{ink('Igniters', 'bold')}   {verdicts}", f"{ink('Findings', 'bold')}   {found}"]
    if report.odds is not None:
        from bridgewire.report.odds_summary import odds_lines

        lines += odds_lines(report.odds, options.width)
    return lines


def _counted(report: Checked, ink: Ink) -> list[str]:
    out: list[str] = []
    for severity, number_of in severity_counts(report).items():
        text = count(number_of, SEVERITY_NOUNS[severity])
        out.append(ink.severity(severity, text) if number_of else text)
    return out


def _besides(report: Checked) -> str:
    """What was found and does not count: known or ignored findings."""
    known = len(report.known)
    counts = ((known, "known"), (len(report.ignored) - known, "ignored"))
    parts = [f"{number} {word}" for number, word in counts if number]
    return f"; besides {', '.join(parts)}" if parts else ""


def one_line(report: Checked, ink: Ink = PLAIN) -> str:
    """A report in one line, for runs over several shows.

    Examples
    --------
    ``club/regatta.toml: 12 cues; 28 sure, 2 marginal; 1 error, 3 warnings``
    """
    counts = report.verdict_counts()
    verdicts = ", ".join(ink.verdict(v, f"{n} {v.value}") for v, n in counts.items() if n)
    found = ", ".join(t for t in _counted(report, ink) if not t.startswith("0 "))
    cues = count(len(report.cues), "cue")
    return f"{visible(report.file)}: {cues}; {verdicts or 'no igniter'}; {found or 'no findings'}"
