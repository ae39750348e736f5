"""Questions and answers: against the odds of the show, between show and bench, exact cases."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from attrs import evolve, frozen
from numpy.typing import NDArray
from scipy.stats import norm

from bridgewire.bench.compile_record import compile_record
from bridgewire.bench.design.asking import ask_bench, ask_show
from bridgewire.bench.design.belief import Belief, filled
from bridgewire.bench.design.question import ShowQuestion, answer
from bridgewire.bench.record_notes import assumptions
from bridgewire.uncertainty.odds import show_odds
from tests.bench.design.lawn import KIT, RECORD, SHOW, TRIAL, Lawn, kits_only, lawn
from tests.bench.setups import findings_of, shot, with_trials


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Lawn:
    return lawn(tmp_path_factory.mktemp("lawn"))


def test_agrees_with_the_odds_of_the_show(plain: Lawn) -> None:
    """With the kit alone, and scatter as the kit has it, the rate is that of `show_odds`."""
    asked = plain.ask(None)
    belief = kits_only(asked, 400)
    scatter = [n for n, k in enumerate(belief.keys) if k.startswith("scatter/")]
    assert scatter
    belief.values[:, scatter] = 0.0
    rng = np.random.default_rng(2)
    rows = np.repeat(np.arange(400), 50)
    rate = asked.question.lights(belief, rows, rng).reshape(400, 50).mean(axis=1)
    odds = show_odds(plain.assessment, draws=20_000).cues[0].igniters[0].lights
    se = rate.std() / np.sqrt(400)
    assert rate.mean() == pytest.approx(odds.value, abs=4.0 * se + 0.005)
    assert 0.3 < odds.value < 0.99


def test_show_and_bench_have_the_same_unknowns_and_rate(tmp_path: Path) -> None:
    it = lawn(tmp_path, record=with_trials(RECORD, TRIAL))
    model = compile_record(it.record)
    shared = {u.key for u in model.unknowns if u.role in ("common", "scatter")}
    of_show = it.ask(None).question
    of_bench = ask_bench(it.record, 0, 0, "x", None).question
    # The weather of the day is the show's own.
    assert set(of_show.keys) == {k for k in shared if not k.startswith("ambient/")}
    belief = Belief.of_kits(300).covering((*of_show.keys, *of_bench.keys), np.random.default_rng(1))
    rows = np.repeat(np.arange(300), 60)
    a = of_show.lights(belief, rows, np.random.default_rng(2)).reshape(300, 60).mean(axis=1)
    b = of_bench.lights(belief, rows, np.random.default_rng(3)).reshape(300, 60).mean(axis=1)
    assert np.abs(a - b).max() < 0.45
    assert np.corrcoef(a, b)[0, 1] > 0.97
    assert a.mean() == pytest.approx(b.mean(), abs=0.012)


def test_sooner_is_less_likely(plain: Lawn) -> None:
    rates = []
    for within_s in (0.3, 0.6, 0.9, None):
        asked = plain.ask(within_s)
        belief = kits_only(asked, 200)
        found = answer(asked.question, belief, 0.9, np.random.default_rng(4))
        rates.append(found.lights(belief.weight))
    assert rates == sorted(rates)
    assert rates[0] < 0.2 < rates[-1]


@frozen(eq=False)
class _Coin:
    """Lights with a probability that one unknown gives."""

    text: str = "the coin lights"
    keys: tuple[str, ...] = ("coin",)

    def lights(
        self, belief: Belief, rows: NDArray[np.intp], rng: np.random.Generator
    ) -> NDArray[np.bool_]:
        z = filled(self.keys, belief, rows, rng)[:, 0]
        return np.asarray(rng.standard_normal(rows.size) < z)


def test_answer_of_a_known_rate() -> None:
    """The rate is Phi(z) with z standard normal, so uniform: P(rate >= 0.8) is 0.2."""
    belief = Belief.of_kits(2000).covering(("coin",), np.random.default_rng(5))
    found = answer(_Coin(), belief, 0.8, np.random.default_rng(6))
    assert found.probability(belief.weight) == pytest.approx(0.2, abs=0.03)
    assert found.lights(belief.weight) == pytest.approx(0.5, abs=0.03)
    truth = norm.cdf(belief.column("coin")) >= 0.8
    clear = np.abs(norm.cdf(belief.column("coin")) - 0.8) > 0.05
    assert ((found.yes > 0.5) == truth)[clear].all()
    assert found.tried < 2000 * 600


@pytest.mark.parametrize("required", [0.0, 1.0, -0.1, 1.5, float("nan")])
def test_required_must_be_a_probability(required: float) -> None:
    belief = Belief.of_kits(5).covering(("coin",), np.random.default_rng(1))
    with pytest.raises(ValueError, match="between 0 and 1"):
        answer(_Coin(), belief, required, np.random.default_rng(1))


def test_weights_follow_a_likelihood() -> None:
    belief = Belief.of_kits(4000).covering(("coin",), np.random.default_rng(7))
    z = belief.column("coin")
    seen = belief.updated(norm.cdf(z) ** 3)
    # Three heads with a uniform rate: Beta(4, 1), of mean 4/5 (rule of succession, Laplace).
    assert float(seen.weight @ norm.cdf(z)) == pytest.approx(0.8, abs=0.01)
    assert seen.effective < belief.effective == pytest.approx(4000.0)


def test_missing_kit_data_is_a_finding_and_no_answer(tmp_path: Path) -> None:
    it = lawn(tmp_path, KIT.replace("internal_ohm = { min = 0.2, typical = 0.5, max = 1.2 }\n", ""))
    found = findings_of(it.ask)
    assert {f.code for f in found} == {"KIT001"}
    assert "internal_ohm" in found[0].message


def test_another_file_of_the_same_kit_is_refused(plain: Lawn) -> None:
    [found] = findings_of(
        ask_show, plain.record, plain.assessment, [("lawn", "0" * 64)], 0, None, None
    )
    assert "not the file that the record has" in found.message


def test_bands_must_be_read_alike(tmp_path: Path) -> None:
    show = SHOW.replace("[[box]]", "[scatter]\nband_sigma = 2\n\n[[box]]")
    [found] = findings_of(lawn(tmp_path, show=show).ask)
    assert "band_sigma 2, the record with 3" in found.message
    both = RECORD + "[scatter]\nband_sigma = 2\n"
    assert lawn(tmp_path, record=both, show=show).ask().question.keys


def test_samples_of_a_kit_are_left_out_as_a_record_leaves_them_out(tmp_path: Path) -> None:
    """What trials told is counted in the record's independent unknowns; that is said."""
    rng = np.random.default_rng(1)
    a = rng.standard_normal(200)
    rows = "\n".join(f"{0.0842 * np.exp(0.02 * x):.6g},{0.5 * np.exp(0.2 * x):.6g}" for x in a)
    heads = "cable/reel/ohm_per_m,box/brick/supply.internal_ohm\n"
    (tmp_path / "lawn.samples.csv").write_text(f"{heads}{rows}\n", encoding="utf-8")
    kit = KIT.replace('title = "Lawn"\n', 'title = "Lawn"\nsamples = "lawn.samples.csv"\n')
    it = lawn(tmp_path, kit, record=with_trials(RECORD, TRIAL))
    assert it.assessment.layout.catalogue.samples
    asked = it.ask(None)
    question = asked.question
    assert isinstance(question, ShowQuestion)
    record = compile_record(it.record)
    trial = record.trials[0].plan.quantities
    show = question.plan.quantities
    assert show.mixed.size == 0
    for key in ("drum/lawn:reel", "batch/lawn:lance/threshold"):
        weights = []
        for q in (trial, show):
            common = [n.key for n in q.latents].index(key)
            weights.append(float(q.common_weight[q.common == common][0]))
        assert weights[0] == weights[1]
    assert any("Kit lawn has samples" in r for r in asked.remarks)
    assert any("Kit lawn has samples" in a for a in assumptions(record))


def test_an_igniter_that_the_cue_does_not_mean_is_refused(tmp_path: Path) -> None:
    show = SHOW.replace(
        "[[cue]]", '[[igniter]]\nid = "other"\nat = "far/2"\nclass = "lance"\n\n[[cue]]'
    )
    it = lawn(tmp_path, show=show)
    [found] = findings_of(it.ask, igniter=1)
    assert "does not mean to light 'other'" in found.message


def test_an_unknown_batch_is_said(tmp_path: Path) -> None:
    it = lawn(
        tmp_path,
        record=with_trials(RECORD, TRIAL),
        show=SHOW.replace('class = "lance"', 'class = "lance"\nbatch = "spring"'),
    )
    asked = it.ask()
    assert any("'spring'" in r for r in asked.remarks)
    # It counts all the same: the class is what trials tell of.
    assert "batch/lawn:lance/threshold" in asked.question.keys


def test_shot_that_does_not_fire_the_igniter(tmp_path: Path) -> None:
    it = lawn(tmp_path, record=with_trials(RECORD, TRIAL, shot("b/1/2", 1.0)))
    [found] = findings_of(ask_bench, it.record, 0, 1, "x", None)
    assert "does not fire 'x'" in found.message


def test_covering_keeps_what_is_there() -> None:
    belief = Belief(("a",), np.array([[1.0], [2.0]]))
    more = belief.covering(("b", "a", "b"), np.random.default_rng(1))
    assert more.keys == ("a", "b")
    assert more.column("a").tolist() == [1.0, 2.0]
    same = evolve(belief)
    assert same.covering((), np.random.default_rng(1)).values.tolist() == belief.values.tolist()
