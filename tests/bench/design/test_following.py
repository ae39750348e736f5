"""On made-up benches: following the ranking answers the question with fewer igniters.

The question is about the second igniter of a chain. Truths are drawn from the kit profile. Each
is a bench of its own: trials are fired in it with fresh igniters, until the probability of one
answer is at least 0.95. The belief is updated by weighing its draws, with the probability of each
outcome in each draw counted beforehand; a test below holds that against a real fit. Two fixed plans
are compared: going through all single trials in turn, and making the question's own wiring again
and again, which is what people do who have no better plan.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from attrs import evolve, frozen
from numpy.typing import NDArray
from scipy.stats import binomtest, wilcoxon

from bridgewire.bench.calibration.posterior import fit
from bridgewire.bench.calibration.simulated import Design
from bridgewire.bench.calibration.tempering import Settings
from bridgewire.bench.compile_record import compile_record
from bridgewire.bench.design.asking import catalogue_of
from bridgewire.bench.design.belief import Belief
from bridgewire.bench.design.candidates import make_candidates
from bridgewire.bench.design.information import information
from bridgewire.bench.design.question import answer
from bridgewire.bench.design.rank import Tried, compile_candidates, rank_trials
from bridgewire.bench.wiring import resolve_record
from bridgewire.model.bench import Seen
from tests.bench.design.lawn import SHOW, lawn

Floats = NDArray[np.float64]
DRAWS = 500
TRUTHS = 80
EACH = 40
REQUIRED = 0.9
CERTAIN = 0.95
MOST_SPENT = 25
FALSE_ALARM = 0.01
"""Probability of calling the ranking better than a fixed plan where it is not."""
_SMOOTH = 0.3
WITHIN_S = 1.2
PULSES_S = (0.25, 0.5, 1.0, 2.0)
_END = """\
[[strip]]
id = "end"
kind = "row"
[[run]]
from = "far"
to = "end"
cable = "reel"
length_m = 20
[[igniter]]
id = "second"
at = "end/1"
class = "lance"
[[igniter]]
id = "x"
"""
CHAIN = (
    SHOW.replace("length_m = 45", "length_m = 20")
    .replace("pulse_s = 1.0", "pulse_s = 2.0")
    .replace('[[igniter]]\nid = "x"\n', _END)
)
"""The question is about `second`, which is the first igniter of the file."""

Choice = Callable[[Floats, int], int]


@frozen(eq=False)
class Benches:
    """Truths, what would be seen in each, and how probable that is in each draw of the belief."""

    tried: tuple[Tried, ...]
    cost: NDArray[np.intp]
    yes: Floats
    truth: NDArray[np.bool_]
    likelihood: tuple[Floats, ...]
    """Of each trial: shape (draws, kinds)."""
    seen: tuple[NDArray[np.intp], ...]
    """Of each trial: kinds of outcome, shape (truths, times)."""

    def follow(self, weight: Floats, step: int) -> int:
        """The trial that tells most for each igniter."""
        gains = [
            information(like, self.yes, weight).bits / cost
            for like, cost in zip(self.likelihood, self.cost, strict=True)
        ]
        return int(np.argmax(gains))

    def spend(self, number: int, choose: Choice) -> tuple[int, bool | None]:
        """Igniters spent in one truth, and whether the answer was right; None where none came."""
        weight = np.full(DRAWS, 1.0 / DRAWS)
        used = np.zeros(len(self.tried), dtype=int)
        spent = step = 0
        while True:
            p = float(weight @ self.yes)
            if max(p, 1.0 - p) >= CERTAIN:
                return spent, bool((p > 0.5) == self.truth[number])
            if spent >= MOST_SPENT:
                return spent, None
            chosen = choose(weight, step)
            kind = self.seen[chosen][number, used[chosen] % EACH]
            used[chosen] += 1
            spent += int(self.cost[chosen])
            step += 1
            weight = weight * self.likelihood[chosen][:, kind]
            weight /= weight.sum()


@pytest.fixture(scope="module")
def benches(tmp_path_factory: pytest.TempPathFactory) -> Benches:
    it = lawn(tmp_path_factory.mktemp("lawn"), show=CHAIN)
    asked = it.ask(WITHIN_S, igniter=0)
    made, _ = make_candidates(asked.means, it.record.record, catalogue_of(it.record))
    chosen = [
        c
        for c in made
        if c.layout.startswith(("one, ", "chain of 2, 20")) and c.shot.pulse_s in PULSES_S
    ]
    tried, missing = compile_candidates(chosen, it.record)
    assert not missing
    rng = np.random.default_rng(20)
    keys = [*asked.question.keys, *(k for t in tried for k in t.keys)]
    belief = Belief.of_kits(DRAWS + TRUTHS).covering(keys, rng)
    found = answer(asked.question, belief, REQUIRED, rng)
    likelihood, seen = [], []
    rows = np.repeat(np.arange(belief.rows), EACH)
    for one in tried:
        kinds, _ = one.kinds(belief, EACH, Design(time_sd_s=0.1), rng)
        counts = kinds.counts(rows, belief.rows)[:DRAWS]
        likelihood.append((counts + _SMOOTH) / (EACH + _SMOOTH * kinds.count))
        seen.append(kinds.code.reshape(belief.rows, EACH)[DRAWS:])
    cost = np.array([t.candidate.igniters for t in tried])
    truth = np.asarray(found.yes[DRAWS:] > 0.5)
    return Benches(tried, cost, found.yes[:DRAWS], truth, tuple(likelihood), tuple(seen))


@pytest.mark.slow
def test_following_spends_fewer_igniters(benches: Benches) -> None:
    """Wilcoxon's signed-rank test, one-sided, on the igniters spent in each truth.

    Truths that are cut off count with what was spent up to then under both plans.
    """
    singles = np.flatnonzero(
        [t.candidate.layout.startswith("one, ") for t in benches.tried]
    ).tolist()
    followed = [benches.spend(n, benches.follow) for n in range(TRUTHS)]
    fixed = [benches.spend(n, lambda w, s: singles[s % len(singles)]) for n in range(TRUTHS)]
    [own] = [
        n
        for n, t in enumerate(benches.tried)
        if t.candidate.igniters == 2 and t.candidate.shot.pulse_s == 2.0
    ]
    again = [benches.spend(n, lambda w, s: own) for n in range(TRUTHS)]
    mine, theirs, same = (np.array([f[0] for f in r]) for r in (followed, fixed, again))
    print(
        f"igniters: followed {mine.mean():.2f}, in turn {theirs.mean():.2f}, own wiring",
        same.mean(),
    )
    assert wilcoxon(mine, theirs, alternative="less").pvalue < FALSE_ALARM
    assert wilcoxon(mine, same, alternative="less").pvalue < FALSE_ALARM
    assert mine.mean() < 0.7 * theirs.mean()
    assert mine.mean() < 0.8 * same.mean()
    # An answer that comes is as right as it says: 0.95, with the same false-alarm rate.
    given = [right for _, right in followed if right is not None]
    assert len(given) > 0.75 * TRUTHS
    assert binomtest(sum(given), len(given), CERTAIN, alternative="less").pvalue > FALSE_ALARM


@pytest.mark.slow
def test_ranking_picks_what_the_tables_say(tmp_path: Path, benches: Benches) -> None:
    """The ranking as users get it agrees with the tables of this test."""
    asked = lawn(tmp_path, show=CHAIN).ask(WITHIN_S, igniter=0)
    ranking = rank_trials(
        asked.question,
        Belief.of_kits(500),
        benches.tried,
        required=REQUIRED,
        seen_as=Design(time_sd_s=0.1),
        seed=3,
    )
    even = np.full(DRAWS, 1.0 / DRAWS)
    told = {
        id(t.candidate): information(like, benches.yes, even).bits / t.candidate.igniters
        for t, like in zip(benches.tried, benches.likelihood, strict=True)
    }
    mine = np.array([r.per_igniter for r in ranking.ranked])
    table = np.array([told[id(r.candidate)] for r in ranking.ranked])
    assert np.corrcoef(mine, table)[0, 1] > 0.9
    assert table[0] > 0.75 * table.max()
    best = ranking.ranked[0]
    assert best.tied
    assert best.gain.bits > 4.0 * best.gain.se
    assert 0.0 < best.bits < ranking.open_bits
    # Why: what it names has to do with both the trial and the question.
    assert best.reasons
    assert all(0.0 < r.share <= 1.0 and abs(r.bearing) <= 1.0 for r in best.reasons)
    assert any("lance" in r.key for r in best.reasons)
    again = rank_trials(
        asked.question,
        Belief.of_kits(500),
        benches.tried,
        required=REQUIRED,
        seen_as=Design(time_sd_s=0.1),
        seed=3,
    )
    assert [r.per_igniter for r in again.ranked] == [r.per_igniter for r in ranking.ranked]


@pytest.mark.slow
@pytest.mark.parametrize("lit", [True, False])
def test_weighing_agrees_with_a_fit(tmp_path: Path, lit: bool) -> None:
    """What one trial does to the answer: draws weighed anew, and the real fit of that record."""
    it = lawn(tmp_path)
    asked = it.ask(0.7)
    made, _ = make_candidates(asked.means, it.record.record, catalogue_of(it.record))
    one = next(c for c in made if c.layout.startswith("one, 50 m") and c.shot.pulse_s == 0.7)
    [tried], _ = compile_candidates([one], it.record)
    rng = np.random.default_rng(8)
    keys = [*asked.question.keys, *tried.keys]
    belief = Belief.of_kits(1500).covering(keys, rng)
    found = answer(asked.question, belief, REQUIRED, rng)
    _, seen = tried.kinds(belief, 60, Design(order=False, state=False), rng)
    share = seen[:, 0].reshape(1500, 60).mean(axis=1)
    weighed = belief.updated(share if lit else 1.0 - share)
    shot = evolve(one.shot, seen=(Seen(one.trial.igniter[0].id or "", lit=lit),))
    record = evolve(it.record.record, trial=(evolve(one.trial, shot=(shot,)),))
    model = compile_record(resolve_record("lawn", record, it.record.document, it.record.kits, None))
    posterior = fit(model, seed=2, settings=Settings(particles=96, burn=10, final=18))
    fitted = Belief.of_posterior(posterior, 1500).covering(keys, rng)
    again = answer(asked.question, fitted, REQUIRED, rng)
    before = found.probability(belief.weight)
    after = found.probability(weighed.weight)
    assert abs(after - before) > 0.05
    assert again.probability(fitted.weight) == pytest.approx(after, abs=0.06)
    assert again.lights(fitted.weight) == pytest.approx(found.lights(weighed.weight), abs=0.05)
