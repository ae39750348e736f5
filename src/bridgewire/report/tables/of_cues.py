"""The table of cues: one row for each, in the show's order."""

from __future__ import annotations

from collections.abc import Callable

from bridgewire.report.cue_table import spent
from bridgewire.report.tables.columns import Definition, infinite, number, text, whole, yes_no
from bridgewire.timeline.charge import Volts
from bridgewire.timeline.outcomes import CueOutcome, Times, Verdict


def _count(verdict: Verdict) -> Callable[[CueOutcome], int]:
    return lambda cue: sum(i.verdict is verdict for i in cue.meant)


def _part(n: int) -> Callable[[CueOutcome], int | None]:
    return lambda cue: None if cue.way is None else int(cue.way[n])


def _start(of: Callable[[Volts], float]) -> Callable[[CueOutcome], float | None]:
    return lambda cue: None if cue.start_V is None else of(cue.start_V)


def _margin(cue: CueOutcome) -> float | None:
    return min((i.margin for i in cue.meant if i.margin is not None), default=None)


def _last_light(cue: CueOutcome, of: Callable[[Times], float]) -> float | None:
    """When the last igniter meant is lit; None where one is not known or none is left to light."""
    left = [i for i in cue.meant if not spent(i)]
    if not left or any(i.verdict is Verdict.UNKNOWN for i in left):
        return None
    return max(of(i.light) for i in left)


CUES: Definition[CueOutcome] = Definition(
    lambda report: report.cues,
    (
        text("cue", "id of the cue", lambda c: c.id),
        text("box", "id of the box; none where there is no such way", lambda c: c.way and c.way[0]),
        whole("output", "output of the box", _part(1)),
        whole("way", "way of the output", _part(2)),
        number("switch_s", "when the box switches, on the show's clock", lambda c: c.switch_s),
        number("pulse_s", "how long the way is energised", lambda c: c.pulse_s),
        text(
            "verdict",
            "worst of the igniters meant; none where it means none",
            lambda c: c.verdict and c.verdict.value,
        ),
        whole("igniters", "igniter entries that it means to light", lambda c: len(c.meant)),
        whole("sure", "how many of them are sure", _count(Verdict.SURE)),
        whole("marginal", "how many are marginal", _count(Verdict.MARGINAL)),
        whole("no", "how many do not light", _count(Verdict.NO)),
        whole("unknown", "of how many nobody can tell", _count(Verdict.UNKNOWN)),
        number("margin", "least margin of the igniters meant, worst corner", _margin),
        number(
            "last_light_typical_s",
            "from the switching until all igniters meant are lit, typical",
            lambda c: _last_light(c, lambda t: t.typical),
        ),
        yes_no(
            "never_typical",
            "an igniter meant is never lit at typical values",
            lambda c: infinite(_last_light(c, lambda t: t.typical)),
        ),
        number(
            "last_light_s",
            "the same at the worst corner",
            lambda c: _last_light(c, lambda t: t.latest),
        ),
        yes_no(
            "never",
            "an igniter meant is never lit at the worst corner",
            lambda c: infinite(_last_light(c, lambda t: t.latest)),
        ),
        number(
            "spread_typical_s",
            "latest minus earliest light of its igniters, typical",
            lambda c: c.spread_typical_s,
        ),
        number("spread_s", "the same at the worst corners", lambda c: c.spread_worst_s),
        number(
            "needed_pulse_s",
            "pulse on offer that lights all at the worst corner, where one was sought",
            lambda c: c.needed_pulse_s,
        ),
        yes_no(
            "no_pulse_is_enough",
            "one was sought, and no pulse on offer does",
            lambda c: infinite(c.needed_pulse_s),
        ),
        number(
            "open_V",
            "open-circuit voltage of the supply before the cue, worst",
            _start(lambda v: v.worst),
        ),
        number("open_typical_V", "the same, typical", _start(lambda v: v.typical)),
        number("open_best_V", "the same, best", _start(lambda v: v.best)),
        number("lowest_V", "lowest voltage at the supply at any corner", lambda c: c.lowest_V),
        number("lowest_typical_V", "the same, typical", lambda c: c.lowest_typical_V),
        number("peak_A", "highest current of the supply at any corner", lambda c: c.peak_A),
        yes_no("limited", "the current limit is reached at some corner", lambda c: c.limited_ever),
        yes_no("limited_typical", "the same, typical", lambda c: c.limited),
        number("charge_C", "charge that the cue takes from the supply", lambda c: c.charge_C),
        number("used_before_C", "charge taken before it", lambda c: c.used_before_C),
        whole("missing", "values that the kit or the show does not give", lambda c: len(c.missing)),
    ),
)
"""One row for each cue. Where a column has a plain and a ``typical`` form, plain is the worst
corner, as in the CSV of ``bridgewire supply``."""
