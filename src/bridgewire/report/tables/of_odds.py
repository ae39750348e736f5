"""The table of odds: one row for each igniter that a cue means to light."""

from __future__ import annotations

from collections.abc import Iterator

from attrs import frozen

from bridgewire.report.contents import Checked
from bridgewire.report.tables.columns import Definition, number, text, whole
from bridgewire.uncertainty.odds_figures import CueOdds, IgniterOdds


@frozen
class _Row:
    cue: CueOdds
    igniter: IgniterOdds


def _rows(report: Checked) -> Iterator[_Row]:
    for cue in () if report.odds is None else report.odds.odds.cues:
        yield from (_Row(cue, igniter) for igniter in cue.igniters)


ODDS: Definition[_Row] = Definition(
    _rows,
    (
        text("cue", "id of the cue", lambda r: r.cue.id),
        text("igniter", "id of the igniter entry", lambda r: r.igniter.id),
        number("lights", "probability that it lights", lambda r: r.igniter.lights.value),
        number("lights_low", "lower end of the 95 % interval", lambda r: r.igniter.lights.low),
        number("lights_high", "upper end", lambda r: r.igniter.lights.high),
        whole("failures", "draws in which it does not", lambda r: r.igniter.failures),
        number(
            "log_margin",
            "mean logarithm of its margin; none where it is always lit before",
            lambda r: r.igniter.log_margin,
        ),
        number("log_margin_sd", "its standard deviation", lambda r: r.igniter.log_margin_sd),
    ),
)
"""One row for each igniter whose odds were computed; none where `check` was not given draws."""
