"""The examples of the page "From a lawn full of igniters to a profile"."""

from __future__ import annotations

from pathlib import Path

from attrs import evolve

from bridgewire.api import load_show
from bridgewire.bench.design.asking import ask_show
from bridgewire.bench.design.belief import Belief
from bridgewire.bench.design.question import answer
from bridgewire.bench.wiring import load_record
from bridgewire.timeline.assess import assess

FOLDER = Path("examples/bench-evening")


def test_first_hour_is_part_of_the_evening() -> None:
    evening = load_record(FOLDER / "record.toml").record
    hour = load_record(FOLDER / "first-hour.toml").record
    whole = {t.id: t for t in evening.trial}
    assert [t.id for t in hour.trial] == ["7", "9"]
    assert all(whole[t.id] == t for t in hour.trial)
    assert evolve(hour, title="", trial=()) == evolve(evening, title="", trial=())


def test_the_question_of_the_page_is_open() -> None:
    import numpy as np

    plan = load_record(FOLDER / "plan.toml")
    show = load_show(FOLDER / "far-landing.toml")
    shas = [(k, v.document.sha256) for k, v in show.kits.items()]
    fourth = next(p.index for p in show.layout.igniters if p.id == "lance 4")
    asked = ask_show(plan, assess(show.layout), shas, 0, fourth, None)
    belief = Belief.of_kits(300).covering(asked.question.keys, np.random.default_rng(1))
    found = answer(asked.question, belief, 0.95, np.random.default_rng(2))
    assert 0.4 < found.probability(belief.weight) < 0.75
    assert 0.85 < found.lights(belief.weight) < 0.95
