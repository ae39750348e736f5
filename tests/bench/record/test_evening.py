"""The evening on the bench shows what crews know (common practice, no source)."""

from __future__ import annotations

from pathlib import Path

from bridgewire.documents.loader import load_bench
from bridgewire.model.bench import Seen, Shot

RECORD = load_bench(Path(__file__).parents[3] / "examples" / "bench-evening" / "record.toml")[0]
TRIALS = {t.id: t for t in RECORD.trial}


def lit(shot: Shot) -> list[str]:
    return [s.igniter for s in shot.seen if s.lit]


def of(shot: Shot, igniter: str) -> Seen:
    return next(s for s in shot.seen if s.igniter == igniter)


def test_the_near_one_first_the_far_ones_on_the_repeat() -> None:
    first, again, _ = TRIALS["1"].shot
    assert [of(first, n).order for n in ("a1", "a2")] == [1, 2]
    assert of(first, "a1").state_after == "open"
    assert lit(first) == ["a1", "a2"]
    assert lit(again) == ["a3"]
    assert not any("a4" in lit(s) for s in TRIALS["1"].shot)


def test_a_longer_pulse_reaches_further() -> None:
    assert len(lit(TRIALS["2"].shot[0])) > len(lit(TRIALS["1"].shot[0]))


def test_equal_runs_light_together() -> None:
    assert {s.order for s in TRIALS["3"].shot[0].seen} == {1}
    assert len(lit(TRIALS["8"].shot[0])) == 4


def test_matches_reach_further_and_the_last_fires_on_the_second_pulse() -> None:
    first, again = TRIALS["4"].shot
    assert len(lit(first)) == 5
    assert lit(again) == ["d6"]


def test_one_stays_closed_and_a_repeat_opens_it() -> None:
    first, again = TRIALS["5"].shot[:2]
    assert (of(first, "e1").lit, of(first, "e1").state_after) == (True, "closed")
    assert of(again, "e1").state_after == "open"


def test_short_pulses_add_up() -> None:
    one, five = TRIALS["5"].shot[2:4]
    assert one.repeat is None
    assert five.repeat is not None
    assert five.pulse_s == one.pulse_s
    assert (lit(one), lit(five)) == ([], ["e2"])


def test_clad_cable_costs_reach() -> None:
    assert TRIALS["6"].run[0].length_m == TRIALS["1"].run[0].length_m
    assert len(lit(TRIALS["6"].shot[0])) < len(lit(TRIALS["1"].shot[0]))
