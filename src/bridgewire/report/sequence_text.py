"""Up-and-down statistics and the next level to try, as text and as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from attrs import frozen

from bridgewire.bench.sensitivity.reading import TrialFile
from bridgewire.bench.sensitivity.sequential import NextLevel
from bridgewire.bench.sensitivity.trials import from_scale
from bridgewire.bench.sensitivity.up_and_down import NotUpAndDown, UpAndDown
from bridgewire.report.ink import PLAIN, Ink
from bridgewire.report.plain_text import wrap
from bridgewire.report.sensitivity_json import file_data, frame
from bridgewire.report.sensitivity_text import closed, heading_lines
from bridgewire.report.sensitivity_words import figure

NO_ERRORS = (
    "Standard errors are not given: they need two curves of the 1948 paper that we have not seen. "
    "The method fit gives intervals."
)


@frozen
class SequenceResult:
    """What the up-and-down formulas give for one file."""

    moods: UpAndDown | NotUpAndDown
    running: float | NotUpAndDown
    """Mean level from the first turn, on the scale."""
    isotonic: float | None
    """Half-way level by centred isotonic regression, on the scale."""


def up_and_down_text(
    found: Sequence[tuple[TrialFile, SequenceResult]],
    scale: str,
    width: int = 80,
    ink: Ink = PLAIN,
) -> str:
    """Write the up-and-down statistics of each file.

    Parameters
    ----------
    found : sequence of (TrialFile, SequenceResult)
    scale : str
    width : int
    ink : Ink

    Returns
    -------
    str
        Ends with a line end.
    """
    lines: list[str] = []
    for file, result in found:
        lines += [*heading_lines(file, width, ink), ""]
        lines += [ink("Up and down", "bold")]
        lines += [*_moods(file, result, scale, width), ""]
    return closed(lines, width, ink)


def _moods(file: TrialFile, result: SequenceResult, scale: str, width: int) -> list[str]:
    unit, r = file.shown_unit, result.moods
    if isinstance(r, NotUpAndDown):
        lines = wrap("No middle and no spread: the formulas do not apply.", width, "  ")
        for reason in r.reasons:
            lines += wrap(reason, width, "  - ")
        return [*lines, "  The method fit needs neither equal steps nor a rule."]
    other = "did not light" if r.outcome == "unlit" else "lit"
    where = "" if scale == "linear" else f", on {scale} of the level"
    lines = wrap(f"half light at {figure(r.level)} {unit} (Dixon and Mood)", width, "  ")
    lines += wrap(
        f"mean {r.mean:.6g}, spread {r.spread:.5g}, step {r.step:.5g}{where}", width, "  "
    )
    lines += wrap(
        f"counted: the {r.n} that {other}; N {r.n}, A {r.a}, B {r.b}, lowest at "
        f"{figure(from_scale(r.lowest, scale))} {unit}",
        width,
        "  ",
    )
    if isinstance(result.running, float):
        mean = figure(from_scale(result.running, scale))
        lines += wrap(f"mean level from the first turn on: {mean} {unit} (Brownlee)", width, "  ")
    if result.isotonic is None:
        lines += wrap("isotonic half-way level: the shares do not reach one half", width, "  ")
    else:
        place = figure(from_scale(result.isotonic, scale))
        lines += wrap(f"isotonic half-way level: {place} {unit}, no curve assumed", width, "  ")
    for note in r.notes:
        lines += wrap(note, width, "  doubt: ")
    return lines + wrap(NO_ERRORS, width, "  ")


def up_and_down_json(
    found: Sequence[tuple[TrialFile, SequenceResult]], scale: str, version: str
) -> str:
    """Write the same as JSON text by ``schemas/bench-sensitivity-1.json``.

    What does not apply is ``null``.
    """
    return frame("up-and-down", [_moods_data(f, r, scale) for f, r in found], version)


def _moods_data(file: TrialFile, result: SequenceResult, scale: str) -> dict[str, Any]:
    r = result.moods
    data: dict[str, Any] = {**file_data(file), "scale": scale}
    if isinstance(r, NotUpAndDown):
        return {
            **data,
            "does_not_apply": list(r.reasons),
            "dixon_mood": None,
            "running_mean_level": None,
            "isotonic_level": None,
        }
    running = result.running if isinstance(result.running, float) else None
    return {
        **data,
        "does_not_apply": [],
        "dixon_mood": {
            "level": r.level,
            "mean": r.mean,
            "spread": r.spread,
            "step": r.step,
            "counted": r.outcome,
            "N": r.n,
            "A": r.a,
            "B": r.b,
            "spread_is_rule_of_thumb": r.crude,
            "standard_errors": None,
            "notes": [*r.notes, NO_ERRORS],
        },
        "running_mean_level": None if running is None else from_scale(running, scale),
        "isotonic_level": None if result.isotonic is None else from_scale(result.isotonic, scale),
    }


def next_text(
    found: Sequence[tuple[TrialFile, NextLevel]], scale: str, width: int = 80, ink: Ink = PLAIN
) -> str:
    """Write the next level to try for each file, and why."""
    lines: list[str] = []
    for file, n in found:
        lines += [*heading_lines(file, width, ink), ""]
        lines.append(ink(f"Next level: {figure(n.level)} {file.shown_unit}", "bold"))
        lines += wrap(f"stage {n.stage}: {n.why}", width, "  ")
        if scale == "linear" and n.level <= 0.0:
            lines += wrap(
                "doubt: the level is not above 0; if there is no such level, try --scale log "
                "or another guess",
                width,
                "  ",
            )
        lines += wrap(
            "Set the nearest level you can, within what your trial may use, and write down the "
            "level that was really set.",
            width,
            "  ",
        )
        lines.append("")
    return closed(lines, width, ink)


def next_json(found: Sequence[tuple[TrialFile, NextLevel]], scale: str, version: str) -> str:
    """Write the same as JSON text by ``schemas/bench-sensitivity-1.json``."""
    rows = [
        {
            **file_data(file),
            "scale": scale,
            "next_level": n.level,
            "stage": n.stage,
            "why": n.why,
        }
        for file, n in found
    ]
    return frame("next", rows, version)
