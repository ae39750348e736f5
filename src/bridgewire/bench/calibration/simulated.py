"""Made-up observations: what a record would say, for given values of all that is unknown.

For tests of the method (rank histograms, recovery) and for trials that have not been made.
"""

from __future__ import annotations

import numpy as np
from attrs import frozen

from bridgewire.bench.calibration.observed import (
    AFTER,
    BEFORE,
    GO_LOG_SD,
    NOTHING,
    SLIP,
    SOFT_PART,
    TOGETHER,
    TOGETHER_S,
    TrialData,
    ohm_error,
    order_probabilities,
    pairs_of,
    shot_ends_s,
)
from bridgewire.bench.forward import BenchModel, TrialOutcome
from bridgewire.physics.network import Bools, Floats, Ints


@frozen
class Design:
    """What people write down in every shot.

    Attributes
    ----------
    interval_s : float or None
        Light times as intervals of this width.
    time_sd_s : float or None
        Light times as readings with this error; at most one of the two is given.
    order : bool
        The order, of igniters without times.
    state : bool
        Open or closed after.
    fresh_ohm : bool
        The resistance of every fresh igniter.
    """

    interval_s: float | None = None
    time_sd_s: float | None = None
    order: bool = True
    state: bool = True
    fresh_ohm: bool = False


def simulate_trial(
    model: BenchModel,
    number: int,
    outcome: TrialOutcome,
    design: Design,
    rng: np.random.Generator,
    soft: float = GO_LOG_SD,
) -> TrialData:
    """Draw what would be written down of a trial, once for each draw of its outcome.

    Exactly the observation model of `bridgewire.bench.calibration.observed`.

    Parameters
    ----------
    model : BenchModel
    number : int
        Of the trial.
    outcome : TrialOutcome
    design : Design
    rng : Generator
    soft : float

    Returns
    -------
    TrialData
        With one data set for each draw.
    """
    from scipy.special import ndtr

    trial, record = model.record.trial[number], model.record
    sets, shots, count = outcome.level.shape
    ends = shot_ends_s(trial)
    fired = model.trials[number].fired
    shape = outcome.level.shape

    def seen(level: Floats) -> Bools:
        yes = rng.random(level.shape) < ndtr(level / soft)
        out: Bools = yes ^ (rng.random(level.shape) < SLIP)
        return out

    lit = seen(outcome.level)
    before = np.concatenate(
        [np.zeros((sets, 1, count), dtype=bool), np.maximum.accumulate(lit, axis=1)[:, :-1]], axis=1
    )
    lit_known = ~before & fired
    lit &= lit_known
    ever = np.maximum.accumulate(lit, axis=1)
    gone = seen(outcome.open_level) & ever
    open_known = np.zeros(shape, dtype=bool)
    if design.state:
        already = np.zeros((sets, count), dtype=bool)
        for s in range(shots):
            open_known[:, s] = ever[:, s] & ~already
            gone[:, s] &= open_known[:, s]
            already |= gone[:, s]
    low, high, sd, time_known = _times(outcome.light_s, lit, ends, design, rng)
    together = record.meter.together_s or TOGETHER_S
    relation = np.full((sets, shots, len(pairs_of(count))), NOTHING)
    if design.order and not time_known.any():
        relation = _order(outcome.light_s, lit, together, rng)
    ohm = np.zeros((sets, shots + 1, count))
    ohm_sd = np.ones_like(ohm)
    ohm_known = np.zeros(ohm.shape, dtype=bool)
    if design.fresh_ohm:
        error = ohm_error(record, np.nan_to_num(outcome.ohm), model.sigmas)
        ohm[:, 0] = np.nan_to_num(outcome.ohm) + error * rng.standard_normal((sets, count))
        ohm_sd[:, 0], ohm_known[:, 0] = error, fired
    return TrialData(
        lit,
        lit_known,
        low,
        high,
        sd,
        time_known,
        relation,
        gone,
        open_known,
        ohm,
        ohm_sd,
        ohm_known,
        ends,
        together,
    )


def _times(
    light_s: Floats, lit: Bools, ends: Floats, design: Design, rng: np.random.Generator
) -> tuple[Floats, Floats, Floats, Bools]:
    shape = light_s.shape
    low, high, sd = np.zeros(shape), np.zeros(shape), np.ones(shape)
    known = np.zeros(shape, dtype=bool)
    end = ends[None, :, None]
    slip = rng.random(shape) < SLIP
    anything = rng.random(shape) * end
    if design.time_sd_s is not None:
        sd[:] = design.time_sd_s
        noisy = light_s + sd * rng.standard_normal(shape)
        low = high = np.where(slip, anything, noisy)
        known = lit.copy()
    elif design.interval_s is not None:
        width = design.interval_s
        sd[:] = SOFT_PART * width
        noisy = np.where(slip, anything, light_s + sd * rng.standard_normal(shape))
        bins = np.ceil(np.broadcast_to(end, shape) / width) - 1.0
        low = np.clip(np.floor(noisy / width), 0.0, bins) * width
        high = low + width
        known = lit.copy()
    return low, high, sd, known


def _order(light_s: Floats, lit: Bools, together_s: float, rng: np.random.Generator) -> Ints:
    """Relations of pairs that were seen lit and are neighbours in time."""
    count = light_s.shape[-1]
    p = order_probabilities(light_s, together_s)
    u = rng.random(p[0].shape)
    relation = np.where(u < p[0], BEFORE, np.where(u < p[0] + p[1], TOGETHER, AFTER))
    slip = rng.random(u.shape) < SLIP
    relation = np.where(slip, rng.integers(0, 3, u.shape), relation)
    keep = np.zeros(relation.shape, dtype=bool)
    place = np.argsort(np.argsort(np.where(lit, light_s, np.inf), axis=-1), axis=-1)
    for n, (i, j) in enumerate(pairs_of(count)):
        next_to = np.abs(place[..., i] - place[..., j]) == 1
        keep[..., n] = lit[..., i] & lit[..., j] & next_to
    return np.where(keep, relation, NOTHING)
