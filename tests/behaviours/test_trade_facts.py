"""What crews see in the field, on the shipped profiles with their one parameter set per class.

Every fact in this file: common practice, no source.
"""

from __future__ import annotations

import math

import pytest

from bridgewire.model.show import Cue, Repeat
from bridgewire.timeline.outcomes import EndState
from tests.behaviours.bench import CABLE, MATCH, SLOW, bench, chain, times


def test_on_a_chain_the_near_one_lights_first_and_the_next_waits_for_it_to_burn_open() -> None:
    # common practice, no source
    assessment = chain(4, 20.0, 5.0)
    light = times(assessment)
    assert light["s1"] < light["s2"] < light["s3"]
    second = assessment.cues[0].igniters[1]
    assert second.waits_for == ("s1",)
    r = assessment.cues[0].results[0]
    parted = float(r.part_s[0, r.columns[r.component.targets[0]]])
    assert parted < light["s2"]


def test_far_ones_may_never_light_in_the_pulse_but_do_on_a_repeat() -> None:
    # common practice, no source
    again = Cue("again", fire="box/1/1", time_s=30.0, pulse_s=4.0)
    assessment = chain(4, 20.0, 4.0, more=[again])
    first, second = times(assessment, 0), times(assessment, 1)
    assert math.isinf(first["s3"])
    assert second["s3"] < 4.0
    by_id = {i.id: i for i in assessment.cues[1].igniters}
    assert by_id["s1"].lit_before
    assert not by_id["s3"].lit_before


def test_equal_runs_from_a_splitter_light_together() -> None:
    # common practice, no source
    strips = ["a", "b", "c", "d"]
    runs = [("box/1", "hub", 2.0), *(("hub", s, 5.0) for s in strips)]
    cue = Cue("all", fire="box/1/1", time_s=0.0, pulse_s=4.0, together=True)
    assessment = bench(strips, runs, [cue], splitters=["hub"])
    light = list(times(assessment).values())
    assert all(math.isfinite(t) for t in light)
    assert max(light) - min(light) < 1e-6


def test_a_longer_pulse_reaches_further_down_a_chain_and_blocks_the_box_longer() -> None:
    # common practice, no source
    reached = []
    for pulse in (0.5, 2.0, 4.0):
        assessment = chain(4, 20.0, pulse)
        reached.append(sum(math.isfinite(t) for t in times(assessment).values()))
        assert assessment.schedule.firings[0].end_s == pytest.approx(1.0 + pulse)
    assert reached == sorted(reached)
    assert reached[0] < reached[-1]


def test_matches_on_the_same_chain_reach_further_than_slow_igniters() -> None:
    # common practice, no source
    slow = times(chain(8, 20.0, 2.0, igniter=SLOW))
    fast = times(chain(8, 20.0, 2.0, igniter=MATCH))
    assert sum(map(math.isfinite, fast.values())) > sum(map(math.isfinite, slow.values()))


def test_the_last_match_may_miss_the_first_pulse_and_fire_on_the_second() -> None:
    # common practice, no source. The chain length at which this happens is found, not given.
    for count in range(2, 9):
        for length in (20.0, 30.0, 40.0, 50.0):
            assessment = chain(
                count, length, 0.02, igniter=MATCH, repeat=Repeat(times=1, gap_s=0.3)
            )
            last = assessment.cues[0].igniters[-1].light.typical
            if 0.02 < last < math.inf:
                others = [i.light.typical for i in assessment.cues[0].igniters[:-1]]
                assert all(t <= 0.02 for t in others[:1])
                assert last >= 0.32
                return
    pytest.fail("no chain of up to eight matches whose last one needs the second pulse")


def test_a_wire_can_light_and_stay_closed_until_a_repeat_opens_it() -> None:
    # common practice, no source
    light = times(chain(1, 20.0, 5.0))["s1"]
    pulse = light * 1.25
    once = chain(1, 20.0, pulse).cues[0].igniters[0]
    assert once.light.typical < pulse
    assert once.end_state is EndState.CLOSED
    twice = chain(1, 20.0, pulse, repeat=Repeat(times=1, gap_s=0.5)).cues[0].igniters[0]
    assert twice.end_state is EndState.OPEN


def test_short_pulses_in_quick_succession_light_what_one_cannot() -> None:
    # common practice, no source
    light = times(chain(1, 20.0, 5.0))["s1"]
    pulse = light * 0.6
    assert math.isinf(times(chain(1, 20.0, pulse))["s1"])
    quick = times(chain(1, 20.0, pulse, repeat=Repeat(times=2, gap_s=0.1)))["s1"]
    slow = times(chain(1, 20.0, pulse, repeat=Repeat(times=2, gap_s=30.0)))["s1"]
    assert math.isfinite(quick)
    assert math.isinf(slow)


@pytest.mark.parametrize("cable", ["generic:patch-28awg", "generic:patch-24awg-cca"])
def test_thin_or_copper_clad_cable_costs_a_third_or_more_of_the_reach(cable: str) -> None:
    # common practice, no source
    assert reach_m(cable) <= 2.0 / 3.0 * reach_m(CABLE)


def reach_m(cable: str) -> float:
    """Longest single run on which one slow igniter typically lights in two seconds."""
    low, high = 1.0, 500.0
    while high - low > 0.5:
        middle = 0.5 * (low + high)
        lights = math.isfinite(times(chain(1, middle, 2.0, cable=cable))["s1"])
        low, high = (middle, high) if lights else (low, middle)
    return low
