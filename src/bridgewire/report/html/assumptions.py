"""What a report rests on: what the show states, what it leaves open, what is missing."""

from __future__ import annotations

from collections import Counter

from attrs import frozen

from bridgewire.report.contents import Checked
from bridgewire.report.figures import band_text, number
from bridgewire.report.html.prose import minus
from bridgewire.report.plain_text import count, visible
from bridgewire.rules.context import DEFAULT_ALL_FIRE_FACTOR, DEFAULT_NO_FIRE_FRACTION
from bridgewire.timeline.outcomes import Assessment, IgniterOutcome, Proof, Verdict


@frozen
class Fact:
    """One thing that the report rests on."""

    name: str
    stated: str
    """``stated``, ``assumed``, ``default`` or ``not stated``."""
    text: str


@frozen
class Unknown:
    """A value that kit or show does not give."""

    item: str
    key: str
    where: str
    prevents: str
    cues: str


def facts(report: Checked, assessment: Assessment) -> tuple[Fact, ...]:
    """What was taken for granted, row by row."""
    show = assessment.layout.show
    rows = [_ambient(assessment)]
    wanted = show.requirements
    for name, value, unit, absent in (
        ("least margin", wanted.margin, "", "not judged beyond 1"),
        ("largest spread of a cue that must light together", wanted.spread_s, " s", "not judged"),
        ("latest light", wanted.latest_light_s, " s", "not judged"),
        ("effect early or late by at most", wanted.effect_tolerance_s, " s", "not judged"),
        ("reliability", wanted.reliability, "", "not judged"),
    ):
        text = absent if value is None else f"{value:g}{unit}"
        rows.append(Fact(name, "not stated" if value is None else "stated", text))
    for name, value, default in (
        ("delivered over all-fire current", wanted.all_fire_factor, DEFAULT_ALL_FIRE_FACTOR),
        ("stray over no-fire current", wanted.no_fire_fraction, DEFAULT_NO_FIRE_FRACTION),
    ):
        word = "default" if value is None else "stated"
        rows.append(Fact(name, word, f"{default if value is None else value:g}"))
    rows += [_runs(assessment), *_boxes(assessment), *_pulses(report, assessment)]
    rows += _proofs(report)
    rows.append(
        Fact(
            "tolerances",
            "default",
            "a bare number counts as exact; code KIT005 names kit values without a tolerance",
        )
    )
    return tuple(rows)


def _ambient(assessment: Assessment) -> Fact:
    used = minus(band_text(assessment.simulation.ambient_C, "°C"))
    if assessment.layout.show.site.ambient_C is None:
        return Fact("ambient temperature", "assumed", f"{used}, taken wide")
    return Fact("ambient temperature", "stated", used)


def _runs(assessment: Assessment) -> Fact:
    show, lengths = assessment.layout.show, assessment.layout.run_lengths
    stated = sum(run.length_m is not None for run in show.run)
    unknown = sum(length is None for length in lengths)
    reckoned = len(show.run) - stated - unknown
    parts = [f"{stated} stated"] if stated else []
    if reckoned:
        slack = show.site.cable_slack_pct or 0.0
        parts.append(f"{reckoned} from the coordinates with {number(slack)} % slack")
    if unknown:
        parts.append(f"{unknown} not known")
    word = "not stated" if unknown else "assumed" if reckoned else "stated"
    return Fact(f"lengths of {count(len(show.run), 'run')}", word, ", ".join(parts) or "no runs")


def _boxes(assessment: Assessment) -> list[Fact]:
    show = assessment.layout.show
    rows: list[Fact] = []
    read = [b for b in show.box if b.supply_V is not None]
    if show.box:
        text = f"read on the meter for {len(read)} of {len(show.box)}; the kit's figure for others"
        if len(read) == len(show.box):
            text = "read on the meter for every box"
        word = "stated" if len(read) == len(show.box) else "assumed"
        rows.append(Fact("supply voltage of boxes", word, text))
    silent = [b.id for b in show.box if b.standby_s is None]
    if silent:
        names = ", ".join(visible(b) for b in silent[:6])
        more = f" and {len(silent) - 6} more" if len(silent) > 6 else ""
        rows.append(
            Fact(
                "time that boxes are on before the first cue",
                "not stated",
                f"taken as none for {names}{more}",
            )
        )
    return rows


def _pulses(report: Checked, assessment: Assessment) -> list[Fact]:
    show = assessment.layout.show
    own = sum(show.cue[c.cue].pulse_s is not None for c in report.cues)
    rest = len(report.cues) - own
    if not rest:
        return [Fact("pulses", "stated", f"by {count(own, 'cue')}")] if own else []
    text = f"{count(rest, 'cue takes', 'cues take')} the default of the igniter class"
    return [Fact("pulses", "default", f"{text}; {own} state one" if own else text)]


def _proofs(report: Checked) -> list[Fact]:
    """How verdicts were established."""
    found: Counter[str] = Counter(
        _proof(i) for cue in report.cues for i in cue.meant if i.verdict is not Verdict.UNKNOWN
    )
    if not found:
        return []
    text = "; ".join(f"{n} {word}" for word, n in sorted(found.items(), key=lambda e: -e[1]))
    return [Fact("light times of igniters under their cues", "computed", text)]


def _proof(igniter: IgniterOutcome) -> str:
    if igniter.proof is Proof.PROVEN:
        return "proven over the whole of the tolerances"
    if igniter.proof is Proof.SEARCHED:
        return "searched within the tolerances, not proven"
    return "with nothing to establish, or from tolerance corners alone"


def unknowns(report: Checked) -> tuple[Unknown, ...]:
    """Values that are missing, with how many cues lack them; what blocks a circuit first."""
    cues: Counter[tuple[str, str, str, str, bool]] = Counter()
    for cue in report.cues:
        for m in dict.fromkeys(cue.missing):
            cues[f"{m.noun} {m.item}", m.key, m.document, m.prevents, m.blocks] += 1
    rows = sorted(cues.items(), key=lambda e: (not e[0][4], -e[1], e[0]))
    return tuple(
        Unknown(item, key, document, prevents, count(n, "cue"))
        for (item, key, document, prevents, _), n in rows
    )
