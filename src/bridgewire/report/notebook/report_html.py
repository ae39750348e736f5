"""A report in short as HTML for a notebook."""

from __future__ import annotations

from bridgewire.diagnostics import Finding, format_path
from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.contents import SEVERITY_NOUNS, Checked, severity_counts
from bridgewire.report.cue_table import light_cell, margin_cell, spread_cell, verdict_cell
from bridgewire.report.figures import clock, number
from bridgewire.report.notebook.html import name, table, text
from bridgewire.report.plain_text import count
from bridgewire.timeline.outcomes import CueOutcome, Verdict

SHOWN_CUES = 12
SHOWN_FINDINGS = 12
_WORST_FIRST = (Verdict.NO, Verdict.UNKNOWN, Verdict.MARGINAL, Verdict.SURE, None)


def report_html(report: Checked) -> str:
    """Write a report in short.

    Parameters
    ----------
    report : Checked

    Returns
    -------
    str
        Verdicts and findings counted, odds where there are any, the cues that are not sure (else
        the first ones), the worst findings with their places, and the cautions. It has no scripts
        and no colours of its own, and everything that comes from a file is escaped.
    """
    parts = [
        f"<p><b>{text(report.title)}</b><br>{text(report.file)}, revision {report.revision}, "
        f"bridgewire {text(report.version)}</p>",
        _counts(report),
        _odds(report),
        _cues(report),
        _findings(report),
        f"<p><small>{text(CAUTIONS[0], 1000)}</small></p>",
    ]
    return f"<div>{''.join(parts)}</div>"


def _counts(report: Checked) -> str:
    verdicts = report.verdict_counts()
    heads = [v.value for v in verdicts]
    cells = [str(n) for n in verdicts.values()]
    for severity, n in severity_counts(report).items():
        heads.append(f"{SEVERITY_NOUNS[severity]}s")
        cells.append(str(n))
    if report.known:
        heads.append("known")
        cells.append(str(len(report.known)))
    return table(heads, [cells], range(len(heads)), "Igniters by verdict, findings by severity")


def _odds(report: Checked) -> str:
    if report.odds is None:
        return ""
    from bridgewire.report.odds_summary import odds_lines

    return f"<p>{text(' '.join(odds_lines(report.odds, 100_000)), 1000)}</p>"


def _cues(report: Checked) -> str:
    doubtful = [c for c in report.cues if c.verdict is not Verdict.SURE]
    if doubtful:
        order = sorted(doubtful, key=lambda c: _WORST_FIRST.index(c.verdict))
        caption = f"Cues that are not sure ({len(doubtful)} of {len(report.cues)})"
    else:
        order = list(report.cues)
        caption = f"Cues ({len(order)}), all sure" if order else "No cues"
    heads = ["cue", "way", "switch m:s", "pulse s", "verdict", "light after", "spread s", "margin"]
    rows = [_cue(c) for c in order[:SHOWN_CUES]]
    return table(heads, rows, (2, 3, 5, 6, 7), caption) + _more(len(order) - len(rows), "cue")


def _cue(cue: CueOutcome) -> list[str]:
    way = "no such way" if cue.way is None else "/".join(str(k) for k in cue.way)
    return [
        name(cue.id),
        name(way),
        clock(cue.switch_s),
        "-" if cue.pulse_s is None else number(cue.pulse_s),
        verdict_cell(cue, 40),
        light_cell(cue),
        spread_cell(cue),
        margin_cell(cue),
    ]


def _findings(report: Checked) -> str:
    if not report.findings:
        return "<p>No findings.</p>"
    shown = report.findings[:SHOWN_FINDINGS]
    rows = [[f.severity.word, text(f.code), _place(f), text(f.message)] for f in shown]
    body = table(["", "code", "place", "what"], rows, (), f"Findings ({len(report.findings)})")
    return body + _more(len(report.findings) - len(shown), "finding")


def _place(finding: Finding) -> str:
    at = format_path(finding.path)
    if finding.location is None:
        return name(at or finding.document, 60)
    return name(f"{finding.location.file}:{finding.location.line}", 60)


def _more(rest: int, noun: str) -> str:
    return f"<p>… and {count(rest, f'more {noun}')}</p>" if rest > 0 else ""
