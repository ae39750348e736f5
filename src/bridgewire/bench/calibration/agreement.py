"""Does every trial agree with the rest? Posterior predictive checks, trial by trial.

A trial is made again many times with fresh igniters, cables and contacts, and what is common to
all trials drawn from the posterior. Two things are compared with what was seen: how improbable it
is as a whole (in which shot each igniter lit, when, whether it parted, what it read), and whether
its igniters lit later or sooner than they should. The igniters' own values are not those of the
fit: these have been bent to what was seen, and would make every trial look well.

The posterior has seen the trial, too, so a disagreement is a little larger than it seems: p-values
of posterior predictive checks lean towards the middle (A. Gelman, X.-L. Meng, H. Stern, Statistica
Sinica 6 (1996) 733; from memory).
"""

from __future__ import annotations

import numpy as np
from attrs import frozen

from bridgewire.bench.calibration.observed import GO_LOG_SD, TrialData
from bridgewire.bench.calibration.posterior import Posterior
from bridgewire.bench.forward import LEAST_LEVEL, TrialOutcome
from bridgewire.model.bench import Trial
from bridgewire.physics.network import Bools, Floats, Ints

DRAWS = 2000
FALSE_ALARM = 0.05
"""Probability of calling out any trial of a record in which all agree, shared out evenly among its
trials (Bonferroni); a little less in truth."""
_FORETOLD = 0.95
"""From this probability on the profiles alone foretell the shot in which an igniter lights."""
_FEWEST = 20
"""Draws in which an igniter lights in the shot in question, for its time to be judged."""


@frozen
class Agreement:
    """How one trial agrees with the rest.

    Attributes
    ----------
    trial : str
    p : float
        Probability of a trial at least as odd, both ways of being odd counted.
    p_whole, p_late : float
        Of what was seen as a whole; of its igniters being as late, or as early, as that.
    lateness : float
        Above 0 where its igniters lit later, or less often, than they should; -1 to 1.
    disagrees : bool
    undecided : int
        Igniters of which the kit profile alone did not foretell the shot in which they light.
    judged : int
        Igniters of which the record says in which shot they lit, or that they never did. With
        none the trial cannot be held against the others; `p` is 1 then.
    """

    trial: str
    p: float
    p_whole: float
    p_late: float
    lateness: float
    disagrees: bool
    undecided: int
    judged: int

    @property
    def advice(self) -> str:
        """One sentence for a trial that disagrees; empty for one that agrees."""
        if not self.disagrees:
            return ""
        if self.p_late <= 2.0 * self.p_whole and self.lateness > 0.0:
            return (
                f"trial {self.trial} disagrees with the rest: its igniters light later or less "
                "often than they should; check the contacts and the run lengths, the supply "
                "voltage, or the batch"
            )
        if self.p_late <= 2.0 * self.p_whole:
            return (
                f"trial {self.trial} disagrees with the rest: its igniters light sooner or more "
                "often than they should; check the batch, the run lengths or the class"
            )
        return (
            f"trial {self.trial} disagrees with the rest: check the contacts, the batch, and "
            "whether what was seen is written beside the right igniter"
        )


def check_agreement(posterior: Posterior, *, draws: int = DRAWS) -> tuple[Agreement, ...]:
    """Hold every trial against what all trials together say.

    Parameters
    ----------
    posterior : Posterior
    draws : int

    Returns
    -------
    tuple of Agreement
        In the order of the record.
    """
    model = posterior.model
    rng = np.random.default_rng((posterior.seed, 101))
    limit = FALSE_ALARM / max(len(model.trials), 1)
    fresh = rng.standard_normal((draws, model.size))
    z = fresh.copy()
    rows = rng.integers(0, posterior.z.shape[0], draws)
    common = model.places("common", "scatter")
    z[:, common] = posterior.z[rows][:, common]
    out: list[Agreement] = []
    for n, trial in enumerate(model.record.trial):
        prior = model.trials[n].run(fresh)
        outcome = model.trials[n].run(z)
        out.append(_check(trial, posterior.data[n], outcome, prior, limit, rng))
    return tuple(out)


@frozen(eq=False)
class _Seen:
    """In which shot each igniter lit (or the count of shots), when, whether it then parted."""

    shot: Ints
    time_s: Floats
    """From the beginning of the trial, with current on; ``inf`` where never."""
    light_s: Floats
    open_: Bools
    ohm: Floats


def _of_outcome(outcome: TrialOutcome, data: TrialData, rng: np.random.Generator) -> _Seen:
    """What would be seen, with the errors of seeing."""
    level = outcome.level + GO_LOG_SD * rng.standard_normal(outcome.level.shape)
    lit = level > 0.0
    shots = level.shape[1]
    ever = lit.any(axis=1)
    first = np.where(ever, lit.argmax(axis=1), shots)
    at = np.minimum(first, shots - 1)[:, None, :]
    light = np.take_along_axis(outcome.light_s, at, axis=1)[:, 0]
    error = np.where(data.time_known, np.maximum(data.time_sd_s, 0.0), 0.0)
    width = np.where(data.time_known, data.time_high_s - data.time_low_s, 0.0)
    sd = np.sqrt(error**2 + width**2 / 12.0)[0].max(axis=0)
    light = np.maximum(light + sd * rng.standard_normal(light.shape), 0.0)
    opened = np.take_along_axis(outcome.open_level, at, axis=1)[:, 0]
    opened = opened + GO_LOG_SD * rng.standard_normal(opened.shape)
    sd_ohm = np.where(data.ohm_known, data.ohm_sd, 0.0)[0].max(axis=0)
    ohm = outcome.ohm + sd_ohm * rng.standard_normal(outcome.ohm.shape)
    return _Seen(first, _clock(first, light, data), light, opened > 0.0, ohm)


def _clock(first: Ints, light: Floats, data: TrialData) -> Floats:
    shots = data.end_s.size
    before = np.concatenate([[0.0], np.cumsum(data.end_s)])
    return np.where(first < shots, before[np.minimum(first, shots)] + light, np.inf)


def _of_data(data: TrialData, fired: Bools) -> tuple[_Seen, Bools, Bools, Bools]:
    """What was seen, and of which igniters the shot, the time and the state are known.

    `fired` tells in which shots (first axis) an igniter had any current; in the others it did
    not light, whether that was written down or not.
    """
    lit = data.lit[0] & data.lit_known[0]
    shots = lit.shape[0]
    ever = lit.any(axis=0)
    first = np.where(ever, lit.argmax(axis=0), shots)
    # Known only where somebody looked in every shot up to that in which it lit.
    upto = np.arange(shots)[:, None] <= np.minimum(first, shots - 1)[None, :]
    known = (data.lit_known[0] | ~fired | ~upto).all(axis=0)
    known &= (data.lit_known[0] & fired).any(axis=0)
    at = np.minimum(first, shots - 1)
    columns = np.arange(first.size)
    timed = data.time_known[0][at, columns] & ever
    light = 0.5 * (data.time_low_s[0] + data.time_high_s[0])[at, columns]
    state_known = data.open_known[0][at, columns] & ever
    opened = data.open_[0][at, columns]
    weight = np.where(data.ohm_known[0], 1.0, 0.0)
    with np.errstate(invalid="ignore", divide="ignore"):
        ohm = (data.ohm[0] * weight).sum(axis=0) / weight.sum(axis=0)
    middle = np.where(timed, light, 0.5 * data.end_s[at])
    seen = _Seen(
        first[None], _clock(first[None], middle[None], data), light[None], opened[None], ohm[None]
    )
    return seen, known, timed, state_known


def _check(
    trial: Trial,
    data: TrialData,
    outcome: TrialOutcome,
    prior: TrialOutcome,
    limit: float,
    rng: np.random.Generator,
) -> Agreement:
    fired: Bools = np.any(outcome.level > LEAST_LEVEL, axis=0)
    seen, known, timed, stated = _of_data(data, fired)
    made = _of_outcome(outcome, data, rng)
    before = _of_outcome(prior, data, rng)
    draws, count = made.shot.shape
    shots = data.end_s.size
    oddness = _Oddness(draws)
    late_here, late_there, judged, questions = 0.0, np.zeros(draws), 0, 0
    for i in range(count):
        same = made.shot[:, i] == seen.shot[0, i]
        if known[i]:
            frequency = (np.bincount(made.shot[:, i], minlength=shots + 1) + 0.5) / (draws + 1.0)
            cost = -np.log(frequency)
            oddness.add(cost[seen.shot[:, i]], cost[made.shot[:, i]])
            judged += 1
            times = timed[i] or seen.shot[0, i] == shots
            of = "time_s" if times else "shot"
            a, b = _placed(getattr(seen, of)[0, i], getattr(made, of)[:, i])
            late_here += a
            late_there += b
            told = np.bincount(before.shot[:, i], minlength=shots + 1).max() / draws
            questions += bool(told < _FORETOLD)
        if timed[i]:
            oddness.add_value(_log_s(seen.light_s[:, i]), _log_s(made.light_s[:, i]), same)
        if data.ohm_known[0, :, i].any():
            oddness.add_value(seen.ohm[:, i], made.ohm[:, i], np.ones(draws, dtype=bool))
        if stated[i]:
            share = (made.open_[same, i].sum() + 0.5) / (same.sum() + 1.0)
            cost = -np.log(np.array([1.0 - share, share]))
            there = np.where(same, cost[made.open_[:, i].astype(int)], float(np.mean(cost)))
            oddness.add(cost[seen.open_[:, i].astype(int)], there)
    if judged == 0:
        return Agreement(trial.id, 1.0, 1.0, 1.0, 0.0, False, 0, 0)
    p_whole = oddness.p
    late = late_here / judged
    p_late = (1.0 + float((np.abs(late_there / judged) >= abs(late) - 1e-9).sum())) / (draws + 1.0)
    p = min(1.0, 2.0 * min(p_whole, p_late))
    return Agreement(trial.id, p, p_whole, p_late, float(late), p < limit, questions, judged)


def _log_s(time_s: Floats) -> Floats:
    out: Floats = np.log(np.maximum(time_s, 1e-3))
    return out


class _Oddness:
    """How improbable what was seen is, and each of the draws likewise: minus a log probability."""

    def __init__(self, draws: int) -> None:
        self.here = np.zeros(1)
        self.there = np.zeros(draws)

    def add(self, here: Floats, there: Floats) -> None:
        self.here += here
        self.there += there

    def add_value(self, value: Floats, values: Floats, rows: Bools) -> None:
        """Add a value, as normal about the draws that it can be compared with."""
        mine = values[rows]
        if mine.size < _FEWEST:
            return
        middle, sd = float(np.median(mine)), max(float(mine.std()), 1e-9)
        score = 0.5 * ((values - middle) / sd) ** 2
        # Draws in which it lights in another shot have no such time: an average one.
        self.add(0.5 * ((value - middle) / sd) ** 2, np.where(rows, score, 0.5))

    @property
    def p(self) -> float:
        """Share of draws that are at least as odd."""
        return (1.0 + float((self.there >= self.here[0] - 1e-9).sum())) / (self.there.size + 1.0)


def _placed(here: float, there: Floats) -> tuple[float, Floats]:
    """How late something is among draws, and each draw among the others: -1 to 1."""
    order = np.sort(there)

    def place(value: Floats) -> Floats:
        low, high = np.searchsorted(order, value, "left"), np.searchsorted(order, value, "right")
        out: Floats = (low + high) / order.size - 1.0
        return out

    return float(place(np.array([here]))[0]), place(there)
