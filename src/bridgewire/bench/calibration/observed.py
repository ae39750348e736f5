"""What was written down of each trial, as arrays, and how probable it is.

The observation model, all of it stated here:

- Whether an igniter is seen lit: with probability ``Phi(level / GO_LOG_SD)``, `level` being the
  logarithm of delivered over required current. That softens the edge between lit and dark by one
  per cent of the current; the scatter of igniters is several times as wide.
- A light time is the computed one, or the end of the last pulse where the model leaves the igniter
  dark, plus a normal error: the stated tolerance over the record's `band_sigma`. An interval
  holds the time with edges soft by a twentieth of its width.
- Order: two igniters whose computed times differ by less than `together_s` look together; that
  limit is itself soft, by a third of it. Only neighbours in the order count, and only where not
  both have a time of their own.
- State after: open (or shorted, or residual) with probability ``Phi(open_level / GO_LOG_SD)``.
- Resistance: normal, the stated tolerance over `band_sigma`.
- Any one entry is a slip of the pen with probability `SLIP`, and then says nothing.

An igniter counts until it has first been seen lit, its state until it has first been seen parted:
what is written down again says nothing new.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np
from attrs import frozen

from bridgewire.bench.forward import BenchModel, TrialModel, TrialOutcome
from bridgewire.model.bench import BenchRecord, Seen, Trial
from bridgewire.physics.network import Bools, Floats, Ints

GO_LOG_SD = 0.01
"""How soft the edges between lit and dark, and between open and closed, are: standard deviation of
the logarithm of the current (common practice, no source)."""
SLIP = 0.002
"""Probability that an entry is a slip of the pen (common practice, no source)."""
TOGETHER_S = 0.1
"""Where the record states no `together_s` (common practice, no source)."""
SOFT_PART = 0.05
"""How soft the ends of an interval are, as a part of its width (common practice, no source)."""
GONE = ("open", "shorted", "residual")
BEFORE, TOGETHER, AFTER, NOTHING = 0, 1, 2, 3
"""How the second igniter of a pair stands to the first: later, together, earlier, not known."""


@frozen(eq=False)
class TrialData:
    """What was seen in a trial. First axis: data sets; one for a record, many for a simulation.

    Attributes
    ----------
    lit : bool array, shape (sets, shots, igniters)
    lit_known : bool array
        Whether it counts.
    time_low_s, time_high_s, time_sd_s : arrays
        Ends of the interval, or both the reading; error, or softness of the ends.
    time_known : bool array
    relation : int array, shape (sets, shots, pairs)
    open_ : bool array
    open_known : bool array
    ohm, ohm_sd : arrays, shape (sets, readings, igniters)
    ohm_known : bool array
    """

    lit: Bools
    lit_known: Bools
    time_low_s: Floats
    time_high_s: Floats
    time_sd_s: Floats
    time_known: Bools
    relation: Ints
    open_: Bools
    open_known: Bools
    ohm: Floats
    ohm_sd: Floats
    ohm_known: Bools
    end_s: Floats
    """End of each shot's last pulse, from its start: shape (shots,)."""
    together_s: float

    @property
    def sets(self) -> int:
        """How many data sets."""
        return int(self.lit.shape[0])

    @property
    def count(self) -> int:
        """Entries that count, in the first data set."""
        return int(
            self.lit_known[0].sum()
            + self.time_known[0].sum()
            + (self.relation[0] != NOTHING).sum()
            + self.open_known[0].sum()
            + self.ohm_known[0].sum()
        )


def pairs_of(igniters: int) -> list[tuple[int, int]]:
    """All pairs of igniters, in the order of `TrialData.relation`.

    >>> pairs_of(3)
    [(0, 1), (0, 2), (1, 2)]
    """
    return [(i, j) for i in range(igniters) for j in range(i + 1, igniters)]


def shot_ends_s(trial: Trial) -> Floats:
    """End of each shot's last pulse from the start of its first, s."""
    return np.array(
        [
            s.pulse_s + (s.repeat.times * (s.pulse_s + s.repeat.gap_s) if s.repeat else 0.0)
            for s in trial.shot
        ]
    )


def observations_of(model: BenchModel) -> tuple[TrialData, ...]:
    """What was seen in every trial of a record.

    Parameters
    ----------
    model : BenchModel

    Returns
    -------
    tuple of TrialData
        Each with one data set.
    """
    return tuple(
        _trial_data(model, trial, built)
        for trial, built in zip(model.record.trial, model.trials, strict=True)
    )


def time_error_s(record: BenchRecord, sigmas: float) -> float:
    """Standard deviation of a time that is written as a plain number; 0 where nobody says."""
    return (record.meter.time_tol_s or 0.0) / sigmas


def ohm_error(record: BenchRecord, reading_ohm: Floats | float, sigmas: float) -> Floats:
    """Standard deviation of a resistance reading, ohm."""
    m = record.meter
    whole = (m.resistance_tol_ohm or 0.0) + np.abs(reading_ohm) * (m.resistance_tol_pct or 0) / 100
    return np.asarray(np.maximum(whole / sigmas, 1e-6), dtype=np.float64)


def _trial_data(model: BenchModel, trial: Trial, built: TrialModel) -> TrialData:
    record = model.record
    names = {name: n for n, name in enumerate(built.igniters)}
    shots, count = len(trial.shot), len(names)
    size = (1, shots, count)
    data = _empty(size, len(pairs_of(count)), trial, record, readings=shots + 1)
    lit_before = np.zeros(count, dtype=bool)
    gone_before = np.zeros(count, dtype=bool)
    fired = built.fired
    for reading in trial.reading:
        i = names[reading.igniter]
        _note_ohm(data, record, model.sigmas, 0, i, reading.reading_ohm, fired[i])
    for s, shot in enumerate(trial.shot):
        for seen in shot.seen:
            i = names[seen.igniter]
            if not fired[i]:
                continue
            if seen.lit is not None and not lit_before[i]:
                data.lit[0, s, i], data.lit_known[0, s, i] = seen.lit, True
            if seen.lit:
                lit_before[i] = True
                _note_time(data, record, model.sigmas, s, i, seen)
            state = seen.state_after
            if state not in (None, "unknown") and lit_before[i] and not gone_before[i]:
                data.open_[0, s, i], data.open_known[0, s, i] = state in GONE, True
            gone_before[i] |= state in GONE
            if seen.reading_ohm is not None and state not in GONE and not gone_before[i]:
                _note_ohm(data, record, model.sigmas, s + 1, i, seen.reading_ohm, True)
        _note_order(data, s, shot.seen, names)
    return data


def _empty(
    size: tuple[int, int, int], pairs: int, trial: Trial, record: BenchRecord, readings: int
) -> TrialData:
    sets, shots, count = size

    def no() -> Bools:
        return np.zeros(size, dtype=bool)

    rows = (sets, readings, count)
    return TrialData(
        no(),
        no(),
        np.zeros(size),
        np.zeros(size),
        np.ones(size),
        no(),
        np.full((sets, shots, pairs), NOTHING),
        no(),
        no(),
        np.zeros(rows),
        np.ones(rows),
        np.zeros(rows, dtype=bool),
        shot_ends_s(trial),
        record.meter.together_s or TOGETHER_S,
    )


def _note_ohm(
    data: TrialData, record: BenchRecord, sigmas: float, row: int, i: int, ohm: float, known: bool
) -> None:
    if known:
        data.ohm[0, row, i], data.ohm_known[0, row, i] = ohm, True
        data.ohm_sd[0, row, i] = ohm_error(record, ohm, sigmas)


def _note_time(
    data: TrialData, record: BenchRecord, sigmas: float, s: int, i: int, seen: Seen
) -> None:
    time = seen.time_s
    if time is None:
        return
    data.time_known[0, s, i] = True
    if time.stated and time.max > time.min:
        data.time_low_s[0, s, i], data.time_high_s[0, s, i] = time.min, time.max
        data.time_sd_s[0, s, i] = SOFT_PART * (time.max - time.min)
    else:
        data.time_low_s[0, s, i] = data.time_high_s[0, s, i] = time.typical
        data.time_sd_s[0, s, i] = max(time_error_s(record, sigmas), 1e-6)


def _note_order(data: TrialData, s: int, seen: Sequence[Seen], names: dict[str, int]) -> None:
    """Relations between neighbours in the order, unless both have a time."""
    placed = sorted((o.order, names[o.igniter]) for o in seen if o.order is not None)
    lookup = {pair: n for n, pair in enumerate(pairs_of(len(names)))}
    for (a, i), (b, j) in pairwise(placed):
        if data.time_known[0, s, i] and data.time_known[0, s, j]:
            continue
        if not (data.lit_known[0, s, i] and data.lit_known[0, s, j]):
            continue
        relation = TOGETHER if a == b else BEFORE
        first, second = (i, j) if i < j else (j, i)
        if i > j and relation == BEFORE:
            relation = AFTER
        data.relation[0, s, lookup[first, second]] = relation


# ---------------------------------------------------------------------- probability


def log_likelihood(outcome: TrialOutcome, data: TrialData, soft: float = GO_LOG_SD) -> Floats:
    """Logarithm of the probability (density) of what was seen, in every draw.

    Parameters
    ----------
    outcome : TrialOutcome
        Its draws are those of the first data set, then those of the second, and so on; each data
        set has equally many.
    data : TrialData
    soft : float
        How soft the edges between lit and dark are, see `GO_LOG_SD`.

    Returns
    -------
    array, shape (draws,)

    Notes
    -----
    The observation model stands at the head of this module.
    """
    from scipy.special import ndtr

    draws = outcome.level.shape[0]
    each = draws // data.sets

    def wide(array: Floats) -> Floats:
        """Draws of one data set beside each other."""
        out: Floats = array.reshape(data.sets, each, *array.shape[1:])
        return out

    def of(array: Any) -> Any:
        return array[:, None]

    total = np.zeros((data.sets, each))
    for level, seen, known in (
        (outcome.level, data.lit, data.lit_known),
        (outcome.open_level, data.open_, data.open_known),
    ):
        if known.any():
            sign = np.where(of(seen), 1.0, -1.0)
            p = SLIP + (1.0 - 2.0 * SLIP) * ndtr(sign * wide(level) / soft)
            total += (np.log(p) * of(known)).sum(axis=(2, 3))
    if data.time_known.any():
        total += (_log_time(wide(outcome.light_s), data) * of(data.time_known)).sum(axis=(2, 3))
    if (data.relation != NOTHING).any():
        total += _log_order(wide(outcome.light_s), data)
    if data.ohm_known.any():
        off = (of(data.ohm) - wide(outcome.ohm)[:, :, None, :]) / of(data.ohm_sd)
        core = np.exp(-0.5 * off * off) / math.sqrt(2.0 * math.pi)
        p = (1.0 - SLIP) * core + SLIP * 0.01
        terms = np.where(of(data.ohm_known), np.log(p) - np.log(of(data.ohm_sd)), 0.0)
        total += terms.sum(axis=(2, 3))
    return total.ravel()


def _log_time(light_s: Floats, data: TrialData) -> Floats:
    from scipy.special import ndtr

    low, high = data.time_low_s[:, None], data.time_high_s[:, None]
    sd = data.time_sd_s[:, None]
    end = data.end_s[None, None, :, None]
    point = high <= low
    off = (low - light_s) / sd
    density = np.exp(-0.5 * off * off) / (sd * math.sqrt(2.0 * math.pi))
    below = np.where(low <= 0.0, 0.0, ndtr((low - light_s) / sd))
    above = np.where(high >= end, 1.0, ndtr((high - light_s) / sd))
    core = np.where(point, density, np.maximum(above - below, 0.0))
    flat = np.where(point, 1.0, high - low) / end
    out: Floats = np.log((1.0 - SLIP) * core + SLIP * flat)
    return out


def _log_order(light_s: Floats, data: TrialData) -> Floats:
    p = order_probabilities(light_s, data.together_s)
    total = np.zeros(light_s.shape[:2])
    for relation in (BEFORE, TOGETHER, AFTER):
        here = data.relation == relation
        if here.any():
            one = np.log((1.0 - SLIP) * p[relation] + SLIP / 3.0)
            total += (one * here[:, None]).sum(axis=(2, 3))
    return total


def order_probabilities(light_s: Floats, together_s: float) -> tuple[Floats, Floats, Floats]:
    """How likely the second of each pair looks later, together, earlier.

    Parameters
    ----------
    light_s : array, shape (..., igniters)
    together_s : float

    Returns
    -------
    before, together, after : arrays, shape (..., pairs)
    """
    from scipy.special import ndtr

    pairs = pairs_of(light_s.shape[-1])
    first = [i for i, _ in pairs]
    second = [j for _, j in pairs]
    gap = light_s[..., second] - light_s[..., first]
    soft = together_s / 3.0
    before, after = ndtr((gap - together_s) / soft), ndtr((-gap - together_s) / soft)
    return before, np.maximum(1.0 - before - after, 0.0), after
