"""The table of igniters: one row for each igniter on the way of each cue."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TypeVar

from attrs import frozen

from bridgewire.circuit.layout import PlacedIgniter
from bridgewire.report.contents import Checked
from bridgewire.report.cue_table import spent
from bridgewire.report.tables.columns import (
    Definition,
    infinite,
    names,
    number,
    text,
    whole,
    yes_no,
)
from bridgewire.timeline.outcomes import CueOutcome, IgniterOutcome, Times, Verdict

T = TypeVar("T")


@frozen
class _Row:
    cue: CueOutcome
    igniter: IgniterOutcome
    placed: PlacedIgniter | None


def _rows(report: Checked) -> Iterator[_Row]:
    every = () if report.assessment is None else report.assessment.layout.igniters
    placed = {p.index: p for p in every}
    for cue in report.cues:
        for igniter in cue.igniters:
            yield _Row(cue, igniter, placed.get(igniter.igniter))


def _of(value: Callable[[PlacedIgniter], T]) -> Callable[[_Row], T | None]:
    return lambda r: None if r.placed is None else value(r.placed)


def _light(of: Callable[[Times], float]) -> Callable[[_Row], float | None]:
    """A light time; None where it is not known or the igniter is spent."""

    def value(row: _Row) -> float | None:
        if row.igniter.verdict is Verdict.UNKNOWN or spent(row.igniter):
            return None
        return of(row.igniter.light)

    return value


def _effect(of: Callable[[Times], float]) -> Callable[[_Row], float | None]:
    return lambda r: None if r.igniter.effect is None else of(r.igniter.effect)


_EARLIEST = _light(lambda t: t.earliest)
_TYPICAL = _light(lambda t: t.typical)
_LATEST = _light(lambda t: t.latest)

IGNITERS: Definition[_Row] = Definition(
    _rows,
    (
        text("cue", "id of the cue", lambda r: r.cue.id),
        text("igniter", "id of the igniter entry", lambda r: r.igniter.id),
        text("igniter_class", "its class", _of(lambda p: p.class_id)),
        whole("count", "igniters of the entry", _of(lambda p: p.igniter.count)),
        text("strip", "the strip that it is on", _of(lambda p: p.part.id)),
        whole("way", "its way on the output", _of(lambda p: p.way)),
        yes_no("meant", "the cue means to light it", lambda r: r.igniter.intended),
        text("verdict", "sure, marginal, no or unknown", lambda r: r.igniter.verdict.value),
        text(
            "proof",
            "proven, searched, or none where only corners were tried",
            lambda r: r.igniter.proof and r.igniter.proof.value,
        ),
        yes_no("lit_before", "typically lit by an earlier cue", lambda r: r.igniter.lit_before),
        number("light_earliest_s", "light time from the switching, best corner", _EARLIEST),
        number("light_typical_s", "the same, typical", _TYPICAL),
        number("light_latest_s", "the same, worst corner", _LATEST),
        yes_no("never_best", "never lit even at the best corner", lambda r: infinite(_EARLIEST(r))),
        yes_no("never_typical", "never lit, typical", lambda r: infinite(_TYPICAL(r))),
        yes_no("never", "never lit at the worst corner", lambda r: infinite(_LATEST(r))),
        number(
            "effect_earliest_s",
            "when its effect is seen, on the show's clock, earliest",
            _effect(lambda t: t.earliest),
        ),
        number("effect_typical_s", "the same, typical", _effect(lambda t: t.typical)),
        number("effect_latest_s", "the same, latest", _effect(lambda t: t.latest)),
        number("margin", "delivered over required, worst corner", lambda r: r.igniter.margin),
        number("margin_typical", "the same, typical", lambda r: r.igniter.margin_typical),
        text("end_state", "after the cue, worst corner", lambda r: r.igniter.worst_end_state.value),
        text("end_state_typical", "the same, typical", lambda r: r.igniter.end_state.value),
        number(
            "terminal_A",
            "current at ignition, or the highest where it does not light, worst corner",
            lambda r: r.igniter.worst_A,
        ),
        number("terminal_typical_A", "the same, typical", lambda r: r.igniter.terminal_A),
        number("best_A", "highest current at the best corner", lambda r: r.igniter.best_A),
        number("terminal_typical_V", "voltage there, typical", lambda r: r.igniter.terminal_V),
        number(
            "rise_typical",
            "highest temperature rise over the rise that lights it",
            lambda r: r.igniter.peak_rise,
        ),
        number("peak_typical_C", "highest temperature of the bridge", lambda r: r.igniter.peak_C),
        text(
            "most_lost_in",
            "part of its path that loses most voltage",
            lambda r: r.igniter.drops[0].label if r.igniter.drops else None,
        ),
        number(
            "most_lost_V",
            "how much it loses, typical",
            lambda r: r.igniter.drops[0].volts if r.igniter.drops else None,
        ),
        text("waits_for", "must burn open first", lambda r: names(r.igniter.waits_for)),
        text("broken_by", "burn open before it is lit", lambda r: names(r.igniter.broken_by)),
        text("loaded_by", "spent, closed, on its way", lambda r: names(r.igniter.loaded_by)),
    ),
)
"""One row for each igniter of each cue, those that are not meant included."""
