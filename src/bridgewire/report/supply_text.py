"""Voltage and charge per cue, the cold sweep and the minutes late as text for a terminal."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from bridgewire.report.cautions import caution_lines
from bridgewire.report.figures import band_text, clock, number
from bridgewire.report.ink import PLAIN, Ink
from bridgewire.report.plain_text import clip_middle, count, pad, visible, wrap
from bridgewire.report.supply_contents import SupplyReport
from bridgewire.timeline.outcomes import Verdict
from bridgewire.timeline.supply_log import SupplyEntry, SupplyLog, sags
from bridgewire.uncertainty.cold import ColdBox, ColdFailure, ColdStep
from bridgewire.uncertainty.standby import Lateness

_CELL = 6
_NAME = 12


def supply_text(
    report: SupplyReport, width: int = 80, *, verbose: bool = False, ink: Ink = PLAIN
) -> str:
    """Write a report about supplies.

    Parameters
    ----------
    report : SupplyReport
    width : int
        Columns of the terminal; the table of cues takes 80 at least.
    verbose : bool
        Every cue, not only the first, the lowest and the last of each box.
    ink : Ink

    Returns
    -------
    str
        Ends with a line end.
    """
    assumed = "" if report.ambient_stated else ", not stated in the show: assumed wide"
    ambient = band_text(report.ambient_C, "°C") + assumed
    lines = [
        ink(visible(report.title), "bold"),
        *wrap(visible(report.file), width, "  file      "),
        *wrap(ambient, width, "  ambient   "),
        "",
        ink("Voltage and charge through the show", "bold"),
    ]
    for log in report.logs:
        lines += _log(log, width, verbose, ink)
    lines += [ink("The same show in other weather", "bold"), *_sweep(report, width, ink)]
    lines += ["", ink("How many minutes late the show can begin", "bold"), *_late(report, width)]
    lines += ["", *caution_lines(width, ink)]
    return "\n".join(lines) + "\n"


def _log(log: SupplyLog, width: int, verbose: bool, ink: Ink) -> list[str]:
    facts = [f"{log.supply} supply"]
    if log.capacity_Ah is not None and log.charge_pct is not None:
        charge = log.charge_pct
        share = (
            f"{charge.min:.0f} %"
            if charge.min == charge.max
            else f"{charge.min:.0f} to {charge.max:.0f} %"
        )
        facts.append(f"full it holds {number(log.capacity_Ah)} Ah at its coldest, {share} charged")
    if log.min_supply_V is not None:
        volts = number(log.min_supply_V)
        charged = f"needs {volts} V before each cue"
        facts.append(charged if log.supply == "capacitor" else f"works down to {volts} V")
    if log.used_C is not None and log.supply != "regulated":
        facts.append(f"uses {_amount(log.used_C)} in the show")
    if log.left_pct is not None:
        facts.append(f"{log.left_pct:.0f} % left after it at worst")
    lines = wrap(visible(f"{log.box} ({log.kind}): {', '.join(facts)}."), width, "  ", "    ")
    for note in log.notes:
        lines += wrap(visible(f"Not known: {note}."), width, "    ")
    if not log.entries:
        return [*lines, "    No cue is fired from it.", ""]
    lines += _heading(width, ink)
    below = {e.cue for e in log.below_minimum}
    shown = log.entries if verbose else _folded(log)
    last = -1
    for place, entry in ((log.entries.index(e), e) for e in shown):
        if place > last + 1:
            lines.append(f"{'':>8}  … {count(place - last - 1, 'cue')}")
        lines.append(_line(log, entry, width, ink))
        last = place
    if below:
        text = (
            f"! {count(len(below), 'cue')} below the {number(log.min_supply_V or 0.0)} V it needs"
        )
        lines += wrap(text + ", at the worst corner.", width, "    ")
    return [*lines, ""]


def _folded(log: SupplyLog) -> list[SupplyEntry]:
    """First, lowest and last cue, in order of time."""
    chosen = [log.entries[0], log.entries[-1]]
    if log.lowest is not None:
        chosen.append(log.lowest)
    return [e for e in log.entries if any(e is c for c in chosen)]


def _heading(width: int, ink: Ink) -> list[str]:
    cue = _cue_room(width)
    above = (
        f"  {'switch':>8} {pad('cue', cue)} {'at rest, V':^13} {'lowest, V':^13} {'used':>7} left"
    )
    under = (
        f"  {'m:s':>8} {'':{cue}} {'worst':>6} {'typ.':>6} {'worst':>6} {'typ.':>6} {'Ah':>7}    %"
    )
    return [ink(above, "bold"), ink(under, "faint")]


def _cue_room(width: int) -> int:
    """Columns of the cue's name in the table of cues."""
    return max(width, 80) - 59


def _line(log: SupplyLog, e: SupplyEntry, width: int, ink: Ink) -> str:
    room = _cue_room(width)
    name = pad(clip_middle(visible(e.id), room), room)
    volts = [e.open_V, e.open_typical_V, e.lowest_V, e.lowest_typical_V]
    cells = " ".join(f"{_volts(v):>6}" for v in volts)
    used = e.used_before_Ah
    text = (
        f"  {clock(e.switch_s):>8} {name} {cells} {'?' if used is None else f'{used:.4f}':>7} "
        f"{'-' if e.left_pct is None else f'{e.left_pct:.0f}':>4}"
    )
    bad = sags(log, e)
    return ink(text + " !", "bold", "red") if bad else text


def _volts(value: float | None) -> str:
    return "?" if value is None else f"{value:.2f}"


def _amount(coulomb: float) -> str:
    ampere_hours = coulomb / 3600.0
    return f"{number(ampere_hours)} Ah" if ampere_hours >= 0.01 else f"{number(coulomb)} C"


def _sweep(report: SupplyReport, width: int, ink: Ink) -> list[str]:
    sweep = report.sweep
    lines = wrap(
        "Site and boxes at exactly each temperature, other tolerances as they are; verdicts at "
        f"the tolerance corners. * is the show's typical ambient, {number(sweep.start_C)} °C."
        if sweep.start_C == report.ambient_C.typical
        else "Site and boxes at exactly each temperature, other tolerances as they are; verdicts "
        "at the tolerance corners.",
        width,
        "  ",
    )
    lines += ["", ink("       °C    sure marginal   no unknown  margin  least of cue", "bold")]
    for step in sweep.steps:
        lines.append(_step(step, step.at_C == report.ambient_C.typical, width, ink))
    lines.append("")
    if sweep.failing_at_start:
        some = ", ".join(sweep.failing_at_start[:4])
        more = len(sweep.failing_at_start) - 4
        text = f"Not well at {number(sweep.start_C)} °C already: {some}"
        lines += wrap(visible(text + (f" and {more} more" if more > 0 else "") + "."), width, "  ")
    ends = (
        ("Colder", sweep.colder, sweep.steps[0]),
        ("Warmer", sweep.warmer, sweep.steps[-1]),
    )
    for word, failure, end in ends:
        if end.at_C != sweep.start_C:
            text = _failure(word, failure, end, bool(sweep.failing_at_start))
            lines += wrap(visible(text), width, "  ")
    lines += _box_table(
        report, width, ink, "Lowest voltage at the terminals, worst corner, V", _lowest
    )
    lines += _box_table(
        report, width, ink, "Charge left after the show, least charge and capacity, Ah", _left
    )
    return lines + _box_notes(report, width)


def _step(step: ColdStep, typical: bool, width: int, ink: Ink) -> str:
    n = step.verdicts
    counts = (
        ink.verdict(v, f"{n[v]:>{w}}") if n[v] else f"{n[v]:>{w}}"
        for v, w in (
            (Verdict.SURE, 7),
            (Verdict.MARGINAL, 8),
            (Verdict.NO, 4),
            (Verdict.UNKNOWN, 7),
        )
    )
    margin = "-" if step.margin is None else number(step.margin)
    where = ""
    if step.margin_cue is not None:
        where = clip_middle(visible(step.margin_cue), max(width - 47, 12))
    at = f"{step.at_C:g}{'*' if typical else ' '}"
    return f"  {at:>8} {' '.join(counts)} {margin:>7}  {where}".rstrip()


def _failure(word: str, failure: ColdFailure | None, end: ColdStep, others: bool) -> str:
    if failure is None:
        cue = "no further cue" if others else "no cue"
        doubt = "; those that are unknown may" if end.verdicts[Verdict.UNKNOWN] else ""
        way = "down" if word == "Colder" else "up"
        return f"{word}: {cue} is found to fail {way} to {end.at_C:g} °C{doubt}."
    named = []
    for cue, verdict, what in failure.cues[:3]:
        said = (
            f"is {verdict.value}" if what == "verdict" and verdict else "takes the supply too low"
        )
        named.append(f"{cue} {said}")
    more = len(failure.cues) - 3
    text = "; ".join(named) + (f"; and {more} more" if more > 0 else "")
    return (
        f"{word}: first to fail at {failure.at_C:.1f} °C ({failure.still_well_C:.1f} °C is still "
        f"well): {text}."
    )


def _lowest(box: ColdBox) -> str:
    if box.unknown is not None:
        return "?"
    if box.lowest_V is None:
        return "-"
    return f"{box.lowest_V:.1f}{'!' if box.below_minimum else ''}"


def _left(box: ColdBox) -> str:
    if box.unknown is not None:
        return "?"
    return "-" if box.left_Ah is None else f"{box.left_Ah:.2f}"


def _box_table(
    report: SupplyReport,
    width: int,
    ink: Ink,
    title: str,
    cell: Callable[[ColdBox], str],
) -> list[str]:
    """One line per box, one column per temperature; broken where the terminal is too narrow."""
    steps = report.sweep.steps
    fit = max((width - 2 - _NAME) // _CELL, 1)
    if all(cell(b) == "-" for s in steps for b in s.boxes if b.box in report.boxes):
        return []
    lines = ["", ink(f"  {title}", "bold")]
    for start in range(0, len(steps), fit):
        part = steps[start : start + fit]
        heads = (f"{s.at_C:g}°" for s in part)
        lines.append(ink(f"  {pad('', _NAME)}{''.join(f'{h:>{_CELL}}' for h in heads)}", "faint"))
        for box in report.boxes:
            if all(cell(b) == "-" for s in steps for b in s.boxes if b.box == box):
                continue
            found = [b for s in part for b in s.boxes if b.box == box]
            name = pad(clip_middle(visible(box), _NAME), _NAME)
            lines.append(f"  {name}{''.join(f'{cell(b):>{_CELL}}' for b in found)}")
    return lines


def _box_notes(report: SupplyReport, width: int) -> list[str]:
    """Why there is a ``?``, what ``!`` means, and what is used though the kit does not say it."""
    wanted = set(report.boxes)
    rows = [(s.at_C, b) for s in report.sweep.steps for b in s.boxes if b.box in wanted]
    lines = [""]
    if any(b.below_minimum for _, b in rows):
        lines += wrap("! below min_supply_V at some cue.", width, "  ")
    why: dict[str, list[tuple[float, str]]] = {}
    for at_C, b in rows:
        if b.unknown is not None:
            why.setdefault(f"? Not known|{b.unknown}", []).append((at_C, b.box))
        for text in (b.note or "").split("; "):
            if text:
                why.setdefault(f"Note|{text}", []).append((at_C, b.box))
    for (mark, text), places in ((k.split("|", 1), v) for k, v in why.items()):
        boxes = _listed(dict.fromkeys(visible(b) for _, b in places))
        temperatures = sorted({t for t, _ in places})
        every = len(temperatures) == len(report.sweep.steps)
        at = "" if every else f" at {', '.join(f'{t:g}' for t in temperatures)} °C"
        lines += wrap(f"{mark}{at}: {text} ({boxes}).", width, "  ", "    ")
    return lines if len(lines) > 1 else []


def _listed(names: Iterable[str]) -> str:
    every = list(names)
    return ", ".join(every[:6]) + (f" and {len(every) - 6} more" if len(every) > 6 else "")


def _late(report: SupplyReport, width: int) -> list[str]:
    lines: list[str] = []
    groups: dict[tuple[object, ...], list[Lateness]] = {}
    for late in report.late:
        key = (late.minutes, late.limit, late.reason, late.cues, late.notes)
        groups.setdefault(key, []).append(late)
    for same in groups.values():
        lines += _lateness(same[0], _listed(x.box for x in same), width)
    minutes, unknown = report.minutes_late
    if minutes is not None and len(report.late) > 1:
        text = f"All boxes: {_minutes(minutes)}"
        if unknown:
            text += f"; not known of {_listed(unknown)}"
        lines += wrap(visible(text + "."), width, "  ", "    ")
    return lines


def _lateness(late: Lateness, boxes: str, width: int) -> list[str]:
    if late.limit == "not known":
        text = f"{boxes}: not known: {late.reason}."
    elif late.minutes is None:
        text = f"{boxes}: not limited: {late.reason}."
    elif late.limit == "search":
        text = f"{boxes}: at least {_minutes(late.minutes)}: {late.reason}."
    else:
        text = f"{boxes}: {_minutes(late.minutes)}; later {late.reason}"
        if late.minutes == 0 and "on time" in late.reason:
            text = f"{boxes}: no minute: {late.reason}"
        text += f" ({_listed(late.cues)})." if late.cues else "."
    lines = wrap(visible(text), width, "  ", "    ")
    if late.holds_C is not None and late.pulses_C is not None and late.waiting_C is not None:
        sums = (
            f"Holds at least {_amount(late.holds_C)}; pulses take at most "
            f"{_amount(late.pulses_C)}, waiting as planned {_amount(late.waiting_C)}, each "
            f"minute more {number(60.0 * (late.standby_A or 0.0))} C."
        )
        lines += wrap(sums, width, "    ")
    for note in late.notes:
        lines += wrap(visible(f"Note: {note}."), width, "    ")
    return lines


def _minutes(minutes: int) -> str:
    """Minutes, from two hours on in hours too.

    >>> _minutes(35), _minutes(1812)
    ('35 min', '1812 min (30 h 12 min)')
    """
    hours, rest = divmod(minutes, 60)
    return f"{minutes} min" + (f" ({hours} h {rest:02d} min)" if hours >= 2 else "")
