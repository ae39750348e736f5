"""Findings about meter readings: one for each that is not plainly in order."""

from __future__ import annotations

import math
from collections.abc import Iterable

from bridgewire.bench.meter.diagnosis import NO_FAULT, Diagnosis
from bridgewire.bench.meter.next_measurement import NextMeasurement
from bridgewire.bench.meter.probe import BOX
from bridgewire.bench.meter.readings import JudgedReading, ReadingsStudy, Status, Unmeasured
from bridgewire.circuit.layout import WayKey
from bridgewire.diagnostics import Finding, Location
from bridgewire.model.band import Band
from bridgewire.rules.registry import load_rule
from bridgewire.rules.subjects import names, way_name
from bridgewire.units import ohms

_CODES: dict[Status, str] = {
    "outside": "REC002",
    "open": "REC003",
    "shorted": "REC004",
    "near the edge": "REC006",
    "not judged": "REC007",
    "closed after show": "REC008",
}


def readings_findings(study: ReadingsStudy) -> tuple[Finding, ...]:
    """Findings of a readings file, worst first, then by line.

    Parameters
    ----------
    study : ReadingsStudy
    """
    found: list[Finding] = []
    for index, judged in enumerate(study.judged):
        code = _CODES.get(judged.status)
        if code is not None:
            found.append(_of_reading(study, judged, index, code))
        if judged.hides:
            found.append(_hidden(judged, index))
    found += [_unmeasured(study, left) for left in study.unmeasured]
    found += [_out_of_line(study, d) for d in study.out_of_line]
    return tuple(sorted(found, key=_order))


def _unmeasured(study: ReadingsStudy, left: Unmeasured) -> Finding:
    return _finding(
        "REC005",
        f"no reading {left.moment} firing has seen {names(left.igniters)} of {way_name(left.way)}",
        left.row.location if left.row is not None and left.row.location else _top(study),
        subjects=(way_name(left.way), *left.igniters),
        remedy="measure the circuit, box unplugged and everybody clear, or note why not",
    )


def _out_of_line(study: ReadingsStudy, d: Diagnosis) -> Finding:
    index, j = next(
        (i, j)
        for i, j in enumerate(study.judged)
        if j.reading.way == d.way and j.reading.moment == "before" and j.net_ohm is not None
    )
    first = d.causes[0] if d.causes else None
    likeliest = f"; likeliest: {first.text}" if first is not None else ""
    return _finding(
        "REC010",
        f"{place_text(d.way, j.reading.place)} reads {ohm_text(j.net_ohm or 0.0)}, in its band, "
        f"but not with the fault that the others of its tree point to{likeliest}",
        j.reading.location,
        subjects=(way_name(d.way),),
        row=index,
        measured=j.net_ohm if j.net_ohm is not None and math.isfinite(j.net_ohm) else None,
        remedy="mend the fault of the tree first, then measure this circuit again",
    )


def _top(study: ReadingsStudy) -> Location:
    return Location(study.readings.file, 1, 1)


def _order(f: Finding) -> tuple[int, bool, int, str]:
    """What was measured comes before what was not."""
    line = 0 if f.location is None else f.location.line
    return -f.severity, f.code == "REC005", line, f.code


def _finding(
    code: str,
    message: str,
    location: Location | None,
    *,
    subjects: Iterable[str],
    remedy: str,
    row: int | None = None,
    measured: float | None = None,
    limit: float | None = None,
) -> Finding:
    rule = load_rule(code).rule
    return rule.finding(
        message,
        () if row is None else ("reading", row),
        document="readings",
        measured=measured,
        limit=limit,
        unit="ohm",
        subjects=tuple(subjects),
        remedy=remedy,
        location=location,
    )


def place_text(way: WayKey, place: str) -> str:
    """Where a circuit is measured, in words.

    >>> place_text(("heron-1", 1, 4), "box"), place_text(("heron-1", 1, 4), "west")
    ('heron-1/1/4 at the box', 'heron-1/1/4 at west')
    """
    return f"{way_name(way)} at {'the box' if place == BOX else place}"


def ohm_text(ohm: float) -> str:
    """A resistance, or ``open``; with two decimals below 10 ohm.

    >>> ohm_text(1.574), ohm_text(float("inf")), ohm_text(123.4)
    ('1.57 Ω', 'open', '123 Ω')
    """
    if math.isinf(ohm):
        return "open"
    return f"{ohm:.2f} Ω" if abs(ohm) < 10.0 else ohms(ohm)


def band_text(band: Band | None, reads_open: str) -> str:
    """What is expected, in words."""
    if band is None:
        return "open" if reads_open == "yes" else "not known"
    digits = 2 if band.max < 10.0 else 1 if band.max < 100.0 else 0
    text = f"{band.min:.{digits}f} to {band.max:.{digits}f} Ω"
    return f"{text}, or open" if reads_open == "may" else text


def _of_reading(study: ReadingsStudy, j: JudgedReading, index: int, code: str) -> Finding:
    r, expected = j.reading, j.expected
    where = place_text(r.way, r.place)
    subjects = (way_name(r.way), *(() if r.place == BOX else (r.place,)))
    net = math.inf if j.net_ohm is None else j.net_ohm
    measured = None if math.isinf(net) else net
    if code == "REC007":
        why = expected.note or "not known: " + ", ".join(
            dict.fromkeys(f"{m.key} of {m.item}" for m in expected.missing)
        )
        return _finding(
            code,
            f"{where} cannot be judged {r.moment} firing: {why}",
            r.location,
            subjects=subjects,
            row=index,
            measured=measured,
            remedy="measure at the strip" if expected.note else "state the missing value",
        )
    text = band_text(expected.band, expected.reads_open)
    message = f"{where} reads {ohm_text(net)} {r.moment} firing, expected {text}"
    band = expected.band
    limit = None if band is None else (band.max if net > band.max else band.min)
    diagnosis = study.diagnosis(r.way) if r.moment == "before" else None
    if code == "REC006":
        remedy = "measure again with clean probe tips, and compare with circuits that are alike"
    elif r.moment == "after":
        remedy = (
            "treat what hangs on it as live: keep everybody away, wait as your rules say, "
            "disconnect the box, then approach"
        )
    else:
        remedy = remedy_text(diagnosis)
        if diagnosis is not None and diagnosis.causes and diagnosis.causes[0].text != NO_FAULT:
            first = diagnosis.causes[0]
            message += f"; likeliest: {first.text}"
    return _finding(
        code,
        message,
        r.location,
        subjects=subjects,
        row=index,
        measured=measured,
        limit=limit,
        remedy=remedy,
    )


def remedy_text(diagnosis: Diagnosis | None) -> str:
    """What to do about a circuit that is off."""
    if diagnosis is None or diagnosis.next is None:
        return "mend the circuit, box unplugged and everybody clear, and measure it again"
    return next_text(diagnosis.next)


def next_text(step: NextMeasurement) -> str:
    """What to measure next, and what it would tell."""
    if step.way is None and step.place == "run":
        return (
            "no other reading tells them apart: look at the cable itself, its length and the print "
            "on its jacket, at its plugs, and at the meter's leads held together"
        )
    if step.way is None:
        return (
            "no other place on the circuit tells them apart: with the box disconnected, unclamp "
            "the igniter and measure its leads alone with a tester made for igniters, nobody near "
            "the article"
        )
    return (
        f"measure {place_text(step.way, step.place)}: about {ohm_text(step.first_ohm)} speaks for "
        f"the first cause, {ohm_text(step.second_ohm)} for the second"
    )


def _hidden(j: JudgedReading, index: int) -> Finding:
    r = j.reading
    net = math.inf if j.net_ohm is None else j.net_ohm
    return _finding(
        "REC009",
        f"{place_text(r.way, r.place)} reads {ohm_text(net)}, as expected, but would without "
        f"{names(j.hides)} too",
        r.location,
        subjects=(way_name(r.way), *j.hides),
        row=index,
        measured=None if math.isinf(net) else net,
        remedy="measure each igniter by itself before it is connected, or use a better meter",
    )
