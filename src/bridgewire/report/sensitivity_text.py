"""Go/no-go statistics as text for a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from bridgewire.bench.sensitivity.analysis import Analysis
from bridgewire.bench.sensitivity.extremes import DEFINITION, Extreme, OtherCurve
from bridgewire.bench.sensitivity.fit import Fit, NoFit
from bridgewire.bench.sensitivity.reading import TrialFile
from bridgewire.report.cautions import caution_lines
from bridgewire.report.ink import PLAIN, Ink
from bridgewire.report.plain_text import clip_middle, count, pad, visible, wrap
from bridgewire.report.sensitivity_words import (
    LIMITS,
    SCALE_WORDS,
    bounds_text,
    doubts,
    extreme_note,
    figure,
    percent,
    why_no_fit,
    without_failure,
)

MOST_LEVELS = 40
"""Levels in the table; more are cut."""


def sensitivity_text(
    found: Sequence[tuple[TrialFile, Analysis]], width: int = 80, ink: Ink = PLAIN
) -> str:
    """Write the analysis of each file.

    Parameters
    ----------
    found : sequence of (TrialFile, Analysis)
    width : int
    ink : Ink

    Returns
    -------
    str
        Ends with a line end.
    """
    lines: list[str] = []
    for file, analysis in found:
        lines += [*_one(file, analysis, width, ink), ""]
    return closed(lines, width, ink)


def closed(lines: Sequence[str], width: int, ink: Ink) -> str:
    """A report with what it does not tell, and the cautions, at its end."""
    limits = [line for text in LIMITS for line in wrap(text, width, "  ")]
    head = ink("What this does not tell", "bold")
    return "\n".join([*lines, head, *limits, "", *caution_lines(width, ink)]) + "\n"


def heading_lines(file: TrialFile, width: int, ink: Ink) -> list[str]:
    """Name of the file, and what is in it."""
    t = file.trials
    low, high = t.range
    levels = len(set(t.level.tolist()))
    text = (
        f"{count(t.shots, 'shot')} at {count(levels, 'level')}, {low:g} to {high:g} "
        f"{file.shown_unit}: {t.shots_lit} lit, {t.shots - t.shots_lit} did not"
    )
    name = clip_middle(visible(file.file), width - 16)
    return [ink(f"Go/no-go trial {name}", "bold"), *wrap(text, width, "  ")]


def _one(file: TrialFile, a: Analysis, width: int, ink: Ink) -> list[str]:
    unit = file.shown_unit
    lines = heading_lines(file, width, ink)
    lines += wrap(f"curve: {a.link.name}, straight on {SCALE_WORDS[a.scale]}", width, "  ")
    lines += ["", ink("Shots by level", "bold"), *_levels(a, unit)]
    if isinstance(a.result, NoFit):
        lines += ["", ink("No curve", "bold")]
        lines += wrap(why_no_fit(a.result, unit), width, "  ")
    else:
        lines += ["", ink("The curve", "bold"), *_curve(a, a.result, unit, width)]
        lines += ["", ink("Far out on the curve", "bold"), *_extremes(a, unit, width)]
    lines += ["", ink("Counts alone", "bold")]
    lines += wrap(without_failure(a.trials, a.confidence, unit), width, "  ")
    return lines


def _levels(a: Analysis, unit: str) -> list[str]:
    head = (
        f"  {pad('level ' + unit, 12, right=True)}{'tried':>8}{'lit':>6}"
        f"{'by the curve':>15}{'shown alone':>14}"
    )
    rows = [head]
    for c in a.counts[:MOST_LEVELS]:
        by_curve = "-" if c.expected is None else f"{c.expected:.2f}"
        shown = f"{100.0 * c.shown:.1f} %"
        rows.append(f"  {c.level:>12.6g}{c.tried:>8}{c.lit:>6}{by_curve:>15}{shown:>14}")
    left = len(a.counts) - MOST_LEVELS
    if left > 0:
        rows.append(f"  ({left} more in JSON)")
    rows.append(f"  shown alone: lights at least so often, at {percent(a.confidence)} confidence,")
    rows.append("  by the shots of that row and no curve")
    return rows


def _curve(a: Analysis, fitted: Fit, unit: str, width: int) -> list[str]:
    lines: list[str] = []
    for m in a.middle:
        share = "half light at" if m.p == 0.5 else f"{percent(m.p)} light at"
        ends = bounds_text(*m.profile, unit)
        lines += wrap(
            f"{pad(share, 15)} {figure(m.level)} {unit}  ({percent(a.confidence)}: {ends})",
            width,
            "  ",
            " " * 6,
        )
    where = "" if a.scale == "linear" else f" (of {a.scale} of the level)"
    lines += wrap(
        f"mu {fitted.mu:.5g}, standard error {fitted.se_mu:.3g}; sigma {fitted.sigma:.4g}, "
        f"standard error {fitted.se_sigma:.3g}{where}",
        width,
        "  ",
        " " * 6,
    )
    lines += wrap(f"{a.link.meaning}.", width, "  ")
    if a.misfit is not None:
        tests = a.misfit
        tail = "" if tests.pearson_p is None else f", p {tests.pearson_p:.3f}"
        tail2 = "" if tests.deviance_p is None else f", p {tests.deviance_p:.3f}"
        lines += wrap(
            f"test of fit, {count(max(tests.df, 0), 'degree')} of freedom: Pearson "
            f"{tests.pearson:.3f}{tail}; deviance {tests.deviance:.3f}{tail2}",
            width,
            "  ",
            " " * 6,
        )
    for text in doubts(a):
        lines += wrap(text, width, "  doubt: ")
    return lines


def _bound(extreme: Extreme | None, unit: str) -> str:
    if extreme is None:
        return "-"
    return "none" if extreme.bound is None else f"{figure(extreme.bound)} {unit}".rstrip()


def _extremes(a: Analysis, unit: str, width: int) -> list[str]:
    lines: list[str] = []
    for name, e, side in (("all-fire", a.all_fire, "at most"), ("no-fire", a.no_fire, "at least")):
        if e is None:
            continue
        bound = (
            "the trials give no bound"
            if e.bound is None
            else f"{side} {_bound(e, unit)} at {percent(a.confidence)} confidence"
        )
        lines += wrap(
            f"{pad(name, 9)} {bound}; best guess {figure(e.estimate)} {unit}", width, "  ", " " * 12
        )
        note = extreme_note(e)
        if note:
            lines += wrap(f"the guess is {note}", width, " " * 12)
    lines += wrap(DEFINITION + ".", width, "  ")
    lines += ["", "  The same shots under other curves (bounds; - no curve, none no bound):"]
    lines.append(f"  {'curve':<10}{'scale':<9}{'all-fire ' + unit:>18}{'no-fire ' + unit:>18}")
    lines += [_other(o, a) for o in a.others]
    return lines


def _other(o: OtherCurve, a: Analysis) -> str:
    mark = "  <- above" if (o.link, o.scale) == (a.link.name, a.scale) else ""
    return (
        f"  {o.link:<10}{o.scale:<9}{_bound(o.all_fire, ''):>18}{_bound(o.no_fire, ''):>18}{mark}"
    )
