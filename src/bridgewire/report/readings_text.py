"""What meter readings tell, as text for a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from bridgewire.bench.meter.diagnosis import Diagnosis
from bridgewire.bench.meter.readings import JudgedReading, ReadingsStudy
from bridgewire.circuit.layout import WayKey
from bridgewire.diagnostics import Finding
from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.findings_text import findings_lines
from bridgewire.report.ink import PLAIN, Ink
from bridgewire.report.plain_text import clip, count, visible, wrap
from bridgewire.report.readings_findings import (
    band_text,
    next_text,
    ohm_text,
    place_text,
)
from bridgewire.rules.subjects import way_name
from bridgewire.units import significant

_IN_DETAIL = frozenset(("REC002", "REC003", "REC004", "REC008"))

METER_CAUTION = (
    "Measure only with a meter whose current is limited for igniters, box unplugged and its key "
    "out, with nobody near the articles. Many workshop multimeters send too much current. A "
    "reading at a strip brings you near them: take it before the igniters are in the articles, or "
    "only as your rules allow."
)


def readings_text(
    study: ReadingsStudy,
    findings: Sequence[Finding],
    title: str,
    show_file: str,
    *,
    width: int = 80,
    verbose: bool = False,
    everything: bool = False,
    ink: Ink = PLAIN,
) -> str:
    """Write what readings tell.

    Parameters
    ----------
    study : ReadingsStudy
    findings : sequence of Finding
        From `readings_findings`.
    title, show_file : str
        Of the show.
    width : int
    verbose : bool
        Every reading, also those in order.
    everything : bool
        Every finding, not three of each code.
    ink : Ink

    Returns
    -------
    str
        Ends with a line end.
    """
    meter = study.meter
    leads = (
        f"leads {significant(study.leads_ohm)} Ω taken off where a row states none"
        if study.leads_ohm
        else "leads are taken off only where a row states them"
    )
    lines = [
        ink(f"Meter readings: {visible(title)}", "bold"),
        *wrap(visible(study.readings.file), width, "  file      "),
        *wrap(visible(show_file), width, "  show      "),
        *wrap(f"±{meter.pct:g} % ±{meter.ohm:g} Ω; {leads}", width, "  meter     "),
        "",
    ]
    lines += _summary(study, width, ink)
    off = [j for j in study.judged if j.off]
    if off:
        lines += ["", ink("Circuits that are off", "bold")]
        done: set[WayKey] = set()
        told: dict[object, WayKey] = {}
        for j in off:
            if j.reading.way not in done:
                done.add(j.reading.way)
                mine = [k for k in off if k.reading.way == j.reading.way]
                lines += _circuit(study, mine, told, width, ink)
    rest = [f for f in findings if f.code not in _IN_DETAIL]
    if rest:
        lines += ["", *findings_lines(rest, width=width, everything=everything, ink=ink)]
    if verbose:
        lines += ["", ink("Every reading", "bold")]
        for j in study.judged:
            lines += wrap(visible(_row(j)), width, "  ", "    ")
    lines += ["", ink("Cautions", "bold")]
    for caution in (METER_CAUTION, *CAUTIONS):
        lines += wrap(caution, width, "  ")
    return "\n".join(lines) + "\n"


def _summary(study: ReadingsStudy, width: int, ink: Ink) -> list[str]:
    measured = sum(j.reading.measured for j in study.judged)
    off = sum(j.off for j in study.judged)
    parts = [
        f"{count(measured, 'reading')} on {count(_circuits(study), 'circuit')} of {study.circuits}",
        f"{study.count('as expected')} as expected",
        f"{study.count('near the edge')} near the edge",
        f"{off} off",
        f"{study.count('not judged')} not judged",
    ]
    text = ", ".join(parts) + "."
    if study.unmeasured:
        text += f" {count(len(study.unmeasured), 'circuit')} not measured in full."
    if off:
        verdict = "Not in order."
    elif study.unmeasured or study.count("not judged"):
        verdict = "Nothing is off, but not all is measured."
    else:
        verdict = "All readings are in order."
    return [ink(verdict, "bold"), *wrap(text, width, "  ")]


def _circuits(study: ReadingsStudy) -> int:
    return len({j.reading.way for j in study.judged if j.reading.measured})


def _circuit(
    study: ReadingsStudy,
    mine: Sequence[JudgedReading],
    told: dict[object, WayKey],
    width: int,
    ink: Ink,
) -> list[str]:
    """One circuit; causes that were told of another one already are not told again."""
    lines: list[str] = []
    for j in mine:
        line = "" if j.reading.location is None else f" (line {j.reading.location.line})"
        lines += wrap(visible(_row(j)) + line, width, "  ", "    ")
    if any(j.reading.moment == "after" for j in mine):
        text = "After the show: treat what hangs on it as live."
        lines += wrap(ink(text, "bold"), width, "    ")
    diagnosis = study.diagnosis(mine[0].reading.way)
    if diagnosis is not None and any(j.reading.moment == "before" for j in mine):
        first = tuple(c.text for c in diagnosis.causes if c.rank == 1)
        same = (diagnosis.way[:2], first, diagnosis.note)
        if same in told:
            lines += wrap(visible(f"Causes as for {way_name(told[same])}."), width, "    ")
        else:
            told[same] = diagnosis.way
            lines += _causes(diagnosis, width)
    return lines


def _causes(d: Diagnosis, width: int) -> list[str]:
    if d.note:
        return wrap(visible(d.note) + ".", width, "    ")
    lines: list[str] = []
    for cause in d.causes:
        value = f": {cause.value}" if cause.value else ""
        head = f"    {cause.rank}. {_percent(cause.share):>5} "
        lines += wrap(visible(cause.text + value), width, head)
    if d.not_told_apart:
        same = sum(c.rank == 1 for c in d.causes)
        first = "two" if same == 2 else str(same)
        text = f"The first {first} cannot be told apart by the readings so far."
        lines += wrap(text, width, "    ")
    if d.next is not None:
        lines += wrap(visible(f"Next: {next_text(d.next)}."), width, "    ", "      ")
    return lines


def _percent(share: float) -> str:
    """A probability; never quite sure.

    >>> _percent(0.9999), _percent(0.304), _percent(0.012)
    ('>99 %', '30 %', '1 %')
    """
    return ">99 %" if share > 0.99 else f"{100.0 * share:.0f} %"


def _row(j: JudgedReading) -> str:
    r = j.reading
    where = place_text(r.way, r.place)
    moment = "" if r.moment == "before" else ", after the show"
    if j.net_ohm is None:
        return f"{where}{moment}: not measured"
    expected = band_text(j.expected.band, j.expected.reads_open)
    remark = f" [{clip(visible(r.remark), 60)}]" if r.remark else ""
    reads = f"reads {ohm_text(j.net_ohm)}"
    return f"{where}{moment}: {reads}, expected {expected}: {j.status}{remark}"
