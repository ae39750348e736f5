"""What cannot be true of a bench record: contradictions between what was seen and what was done."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bridgewire.diagnostics import DocPath
from bridgewire.documents.problems import (
    CONTRADICTION,
    DANGLING,
    DUPLICATE_ID,
    MISSING_KEY,
    Problem,
    name_meant,
    one_of,
    quoted,
    same_ids,
)
from bridgewire.model.bench import BenchRecord, Seen, Shot, Trial, Wiring
from bridgewire.model.show import Igniter

LEAST_OPEN_OHM = 1000.0
"""A meter that reads less than this does not show an open bridge."""


def record_problems(record: BenchRecord) -> Iterator[Problem]:
    """Yield everything in a record that contradicts itself, with its path.

    Parameters
    ----------
    record : BenchRecord

    Examples
    --------
    >>> seen = Seen("near", lit=False, order=1)
    >>> trial = Trial("1", igniter=(Igniter("a/1", "clip", "near"),),
    ...               shot=(Shot("heron-1/1/1", 0.5, seen=(seen,)),))
    >>> record = BenchRecord(1, "Evening", (), (trial,))
    >>> [p.message for p in record_problems(record)]
    ["'near' was not lit, but has a place in the order"]
    """
    yield from same_ids("bench", [b.id for b in record.bench])
    yield from same_ids("trial", [t.id for t in record.trial])
    benches = {b.id: b for b in record.bench}
    for i, wiring in enumerate(record.bench):
        yield from _igniters(("bench", i), wiring.igniter)
    for i, trial in enumerate(record.trial):
        path: DocPath = ("trial", i)
        if trial.bench is not None and trial.bench not in benches:
            yield Problem(
                DANGLING,
                f"the record has no bench {quoted(trial.bench)}",
                (*path, "bench"),
                expected=one_of(list(benches)) or "the id of a [[bench]]",
                got=quoted(trial.bench),
                suggestion=name_meant(trial.bench, list(benches)),
            )
            continue
        yield from _igniters(path, trial.igniter)
        yield from _trial(record, trial, benches.get(trial.bench or ""), path)


def _igniters(path: DocPath, igniters: Sequence[Igniter]) -> Iterator[Problem]:
    for n, igniter in enumerate(igniters):
        where = (*path, "igniter", n)
        if igniter.id is None:
            yield Problem(
                MISSING_KEY,
                "an igniter on the bench needs an id",
                where,
                expected='"id" = what the record calls it',
            )
        if igniter.count != 1:
            yield Problem(
                CONTRADICTION,
                "an igniter on the bench is seen by itself",
                (*where, "count"),
                expected="one [[igniter]] for each",
                got=f"count = {igniter.count}",
            )


def _trial(
    record: BenchRecord, trial: Trial, wiring: Wiring | None, path: DocPath
) -> Iterator[Problem]:
    ids = [i.id for i in (*(wiring.igniter if wiring else ()), *trial.igniter) if i.id]
    for n, reading in enumerate(trial.reading):
        where = (*path, "reading", n)
        yield from _known(reading.igniter, ids, where)
        yield from _meter(record, "resistance", (*where, "reading_ohm"))
    names: set[str] = set()
    lit: dict[str, str] = {}
    opened: dict[str, str] = {}
    for n, shot in enumerate(trial.shot):
        where = (*path, "shot", n)
        name = shot.id or str(n + 1)
        if name in names:
            yield Problem(
                DUPLICATE_ID,
                f"there is a shot {quoted(name)} before it in this trial",
                (*where, "id") if shot.id else where,
            )
        names.add(name)
        yield from _shot(record, shot, ids, where, lit, opened, name)


def _known(name: str, ids: Sequence[str], where: DocPath) -> Iterator[Problem]:
    if name not in ids:
        yield Problem(
            DANGLING,
            f"this trial has no igniter {quoted(name)}",
            (*where, "igniter"),
            expected=one_of(list(ids)[:8]) or "the id of an igniter of the trial",
            got=quoted(name),
            suggestion=name_meant(name, ids),
        )


def _meter(record: BenchRecord, what: str, where: DocPath) -> Iterator[Problem]:
    """Ask for the meter's accuracy where a reading rests on it."""
    m = record.meter
    if what == "time" and m.time_tol_s is None:
        lack = '"time_tol_s" under [meter], or an interval { min = …, max = … }'
        yield Problem(MISSING_KEY, "nobody says how sure this time is", where, expected=lack)
    if what == "resistance" and m.resistance_tol_ohm is None and m.resistance_tol_pct is None:
        lack = '"resistance_tol_ohm" or "resistance_tol_pct" under [meter]'
        yield Problem(MISSING_KEY, "nobody says how sure this reading is", where, expected=lack)


def _clash(where: DocPath, message: str, remedy: str = "Look at the notes again.") -> Problem:
    return Problem(CONTRADICTION, message, where, remedy=remedy)


def _shot(
    record: BenchRecord,
    shot: Shot,
    ids: Sequence[str],
    where: DocPath,
    lit: dict[str, str],
    opened: dict[str, str],
    shot_name: str,
) -> Iterator[Problem]:
    here: set[str] = set()
    for k, seen in enumerate(shot.seen):
        at = (*where, "seen", k)
        yield from _known(seen.igniter, ids, at)
        if seen.igniter in here:
            yield _clash((*at, "igniter"), f"{seen.igniter!r} is seen twice in this shot")
        here.add(seen.igniter)
        yield from _one(record, shot, seen, at, lit, opened, shot_name)
    yield from _order(shot.seen, where)


def _one(
    record: BenchRecord,
    shot: Shot,
    seen: Seen,
    at: DocPath,
    lit: dict[str, str],
    opened: dict[str, str],
    shot_name: str,
) -> Iterator[Problem]:
    name = seen.igniter
    if seen.lit is not True:
        how = "was not lit" if seen.lit is False else "is not said to be lit"
        remedy = "Say lit = true, or take it out."
        for key, what in (("order", "a place in the order"), ("time_s", "a light time")):
            if getattr(seen, key) is not None:
                yield _clash((*at, key), f"{name!r} {how}, but has {what}", remedy)
    spent = name in lit
    if seen.lit is False and not spent and seen.state_after in ("open", "shorted", "residual"):
        message = f"{name!r} was never lit, but its bridge is {seen.state_after}"
        yield _clash((*at, "state_after"), message)
    if seen.lit is True:
        if spent:
            message = f"{name!r} was lit in shot {lit[name]} already, and is spent"
            remedy = "A fresh igniter needs a trial, or a name, of its own."
            yield _clash((*at, "lit"), message, remedy)
        lit.setdefault(name, shot_name)
    gone = seen.state_after in ("open", "shorted", "residual")
    if seen.state_after == "closed" and name in opened:
        message = f"{name!r} had parted in shot {opened[name]} already"
        yield _clash((*at, "state_after"), message)
    if gone:
        opened.setdefault(name, shot_name)
    if seen.reading_ohm is not None:
        yield from _meter(record, "resistance", (*at, "reading_ohm"))
        if seen.state_after == "open" and seen.reading_ohm < LEAST_OPEN_OHM:
            message = f"{name!r} is open, but reads {seen.reading_ohm:g} ohm"
            yield _clash((*at, "reading_ohm"), message)
    if seen.time_s is not None:
        if not seen.time_s.stated:
            yield from _meter(record, "time", (*at, "time_s"))
        times = 1 + (shot.repeat.times if shot.repeat else 0)
        gap = shot.repeat.gap_s if shot.repeat else 0.0
        end = times * shot.pulse_s + (times - 1) * gap
        slack = (record.meter.time_tol_s or 0.0) if not seen.time_s.stated else 0.0
        if seen.time_s.min > end + slack:
            message = f"{name!r} lit at {seen.time_s.min:g} s, but the last pulse ends at {end:g} s"
            yield _clash((*at, "time_s"), message)


def _order(seen: Sequence[Seen], where: DocPath) -> Iterator[Problem]:
    """Hold the order against the times, and look for gaps in it."""
    placed = [(k, s) for k, s in enumerate(seen) if s.order is not None]
    numbers = sorted({s.order for _, s in placed if s.order is not None})
    ranks = sorted(s.order for _, s in placed if s.order is not None)
    # Two that share place 1 may be followed by 2 or by 3.
    if numbers and any(
        n not in (sum(1 for m in numbers if m <= n), 1 + sum(1 for m in ranks if m < n))
        for n in numbers
    ):
        k, _ = placed[0]
        message = f"the order has gaps: {', '.join(str(n) for n in numbers)}"
        yield _clash((*where, "seen", k, "order"), message, "Count from 1.")
    for k, a in placed:
        for _, b in placed:
            if a.time_s is None or b.time_s is None or a.order is None or b.order is None:
                continue
            if a.order < b.order and a.time_s.min > b.time_s.max:
                message = (
                    f"{a.igniter!r} is placed before {b.igniter!r}, but its time of "
                    f"{a.time_s.min:g} s is later than {b.time_s.max:g} s"
                )
                yield _clash((*where, "seen", k, "order"), message)
