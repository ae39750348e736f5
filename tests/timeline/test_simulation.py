"""State from cue to cue, shared supplies, schedules and what is not known."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from attrs import evolve

from bridgewire.circuit.catalogue import Catalogue
from bridgewire.circuit.resolve import resolve
from bridgewire.model.band import Band
from bridgewire.model.kit import AfterFire, BoxKind, Kit
from bridgewire.model.show import Cue, Fuse, Igniter, Repeat
from bridgewire.timeline.assess import assess
from bridgewire.timeline.fired import Fired
from bridgewire.timeline.interplay import strays
from bridgewire.timeline.outcomes import Assessment, EndState, Verdict
from tests.behaviours.bench import MATCH, SLOW, bench, catalogue, chain, times

CAPACITOR = "generic:capacitor-discharge"


def with_kit(assessment: Assessment, kit: Kit) -> Assessment:
    """The same show with another generic kit."""
    kits = {**catalogue().kits, "generic": kit}
    layout, problems = resolve(assessment.layout.show, Catalogue(kits))
    assert layout is not None, problems
    return assess(layout)


def generic() -> Kit:
    return catalogue().kits["generic"]


def with_box(ident: str, change: Callable[[BoxKind], BoxKind]) -> Kit:
    """The generic kit with one box changed."""
    kit = generic()
    return evolve(kit, box=tuple(change(b) if b.id == ident else b for b in kit.box))


def test_a_spent_igniter_takes_no_part_in_a_later_cue() -> None:
    again = Cue("again", fire="box/1/1", time_s=20.0, pulse_s=2.0)
    outcome = chain(1, 20.0, 2.0, more=[again]).cues[1].igniters[0]
    assert outcome.lit_before
    assert outcome.margin is None
    assert outcome.verdict is Verdict.SURE
    assert outcome.terminal_A == 0.0


def test_an_igniter_that_stayed_closed_loads_a_later_cue() -> None:
    strips, runs = ["s1", "s2"], [("box/1", "s1", 10.0), ("s1", "s2", 10.0)]
    second = Cue("second", fire="box/1/1", time_s=60.0, pulse_s=2.0, lights=("s2",))
    trial = bench(strips, runs, [Cue("first", fire="box/1/1", time_s=0.0, pulse_s=3.0)])
    pulse = 1.15 * times(trial)["s1"]
    first = Cue("first", fire="box/1/1", time_s=0.0, pulse_s=pulse, lights=("s1",))
    assessment = bench(strips, runs, [first, second])
    s1, s2 = assessment.cues[1].igniters
    assert assessment.cues[0].igniters[0].end_state is EndState.CLOSED
    assert s2.loaded_by == ("s1",)
    assert s1.lit_before


@pytest.mark.parametrize("after", ["shorted", "residual"])
def test_an_igniter_that_ends_conducting_keeps_the_far_one_dark(after: AfterFire) -> None:
    classes = tuple(
        evolve(c, after_fire=after, after_fire_ohm=Band(0.05, 0.05, 0.05))
        if c.id == "clip-on-short"
        else c
        for c in generic().igniter_class
    )
    plain = chain(2, 20.0, 4.0)
    changed = with_kit(plain, evolve(generic(), igniter_class=classes))
    assert math.isfinite(times(plain)["s2"])
    assert math.isinf(times(changed)["s2"])
    assert changed.cues[0].igniters[0].end_state is EndState(after)


def test_outputs_of_one_box_that_fire_together_share_its_supply() -> None:
    strips = ["a", "b"]
    runs = [("box/1", "a", 20.0), ("box/2", "b", 20.0)]
    one = Cue("a", fire="box/1/1", time_s=0.0, pulse_s=2.0)
    two = Cue("b", fire="box/2/1", time_s=0.1, pulse_s=2.0)
    alone = bench(strips, runs, [one])
    both = bench(strips, runs, [one, two])
    assert len(both.schedule.firings) == 1
    assert times(both)["a"] > times(alone)["a"]
    later = bench(strips, runs, [one, evolve(two, time_s=5.0)])
    assert len(later.schedule.firings) == 2
    assert times(later)["a"] == pytest.approx(times(alone)["a"], rel=1e-6)


def test_overlapping_cues_count_time_from_their_own_switching() -> None:
    runs = [("box/1", "a", 20.0), ("box/2", "b", 20.0)]
    cues = [
        Cue("a", fire="box/1/1", time_s=100.0, pulse_s=2.0),
        Cue("b", fire="box/2/1", time_s=101.5, pulse_s=2.0),
    ]
    assessment = bench(["a", "b"], runs, cues)
    # By then the first has burned open, so both see the same circuit from their switching on.
    assert times(assessment, 1)["b"] == pytest.approx(times(assessment, 0)["a"], rel=1e-3)


def test_effect_time_sets_the_switching_time() -> None:
    fuse = Fuse(length_mm=Band.exact(60.0), burn_mm_per_s=Band(8.0, 10.0, 12.0))
    igniters = [Igniter("s/1", SLOW, id="s", fuse=fuse)]
    cue = Cue("c", fire="box/1/1", effect_at_s=61.5, pulse_s=2.0)
    assessment = bench(["s"], [("box/1", "s", 20.0)], [cue], igniters=igniters)
    outcome = assessment.cues[0]
    effect = outcome.igniters[0].effect
    assert effect is not None
    assert effect.typical == pytest.approx(61.5, abs=1e-3)
    assert outcome.switch_s == pytest.approx(
        61.5 - 6.0 - outcome.igniters[0].light.typical, abs=1e-3
    )
    assert effect.earliest < 61.5 - 0.9
    assert effect.latest > 61.5 + 1.4


def _on_capacitor(klass: str) -> tuple[float, float, float]:
    """Typical voltages at which three cues start: at 0 s, 0.3 s after the first, and much later."""
    igniters = [Igniter(f"s/{w}", klass, id=f"w{w}") for w in (1, 2, 3)]
    cues = [
        Cue(f"c{w}", fire=f"box/1/{w}", time_s=t, pulse_s=0.1)
        for w, t in ((1, 0.0), (2, 0.4), (3, 30.0))
    ]
    runs = [("box/1", "s", 10.0)]
    assessment = bench(["s"], runs, cues, igniters=igniters, box=CAPACITOR)
    first, soon, late = (c.start_V.typical for c in assessment.cues if c.start_V is not None)
    return first, soon, late


def test_a_capacitor_recharges_between_cues() -> None:
    # A slow igniter empties it (4 mF into some 3 ohm); charging is linear: 48 V in 1.5 s typical
    # (generic profile), 0.3 s after the pulse.
    first, soon, late = _on_capacitor(SLOW)
    assert first == late == 48.0
    assert soon == pytest.approx(48.0 / 1.5 * 0.3, rel=0.02)


def test_a_match_that_burns_open_at_once_leaves_the_capacitor_nearly_full() -> None:
    first, soon, _ = _on_capacitor(MATCH)
    assert soon > 0.99 * first


def test_the_battery_falls_with_the_charge_used() -> None:
    cues = [
        Cue(
            f"c{n}", fire="box/1/1", time_s=10.0 * n, pulse_s=4.0, repeat=Repeat(times=3, gap_s=1.0)
        )
        for n in range(6)
    ]
    assessment = bench(["s"], [("box/1", "s", 5.0)], cues)
    volts = [c.start_V.typical for c in assessment.cues if c.start_V is not None]
    assert volts == sorted(volts, reverse=True)
    assert volts[-1] < volts[0]


def test_a_missing_value_makes_the_verdict_unknown_not_sure() -> None:
    plain = chain(1, 5.0, 2.0)
    assert plain.cues[0].igniters[0].verdict is Verdict.SURE
    contacts = tuple(
        evolve(c, contact_ohm=None) if c.id == "8p8c" else c for c in generic().contact
    )
    unknown = with_kit(plain, evolve(generic(), contact=contacts))
    assert unknown.cues[0].igniters[0].verdict is Verdict.UNKNOWN
    assert unknown.cues[0].missing[0].item == "generic:8p8c"
    no_resistance = with_kit(
        plain, with_box("battery-matrix", lambda b: evolve(b, switch_ohm=None))
    )
    assert no_resistance.cues[0].verdict is Verdict.UNKNOWN


def test_what_fires_together_with_an_unknown_way_is_unknown_too() -> None:
    igniters = [
        Igniter("a/1", SLOW, id="a"),
        Igniter("b/1", SLOW, id="b", extra_lead_m=Band.exact(5.0)),
    ]
    cues = [
        Cue("a", fire="box/1/1", time_s=0.0, pulse_s=2.0),
        Cue("b", fire="box/2/1", time_s=1.0, pulse_s=2.0),
    ]
    assessment = bench(
        ["a", "b"], [("box/1", "a", 5.0), ("box/2", "b", 5.0)], cues, igniters=igniters
    )
    assert [c.verdict for c in assessment.cues] == [Verdict.UNKNOWN, Verdict.UNKNOWN]


def test_the_pulse_that_would_do_is_found_with_the_solver() -> None:
    assessment = chain(2, 20.0, 1.0)
    needed = assessment.cues[0].needed_pulse_s
    assert needed is not None
    assert 1.0 < needed < math.inf
    enough = chain(2, 20.0, needed * 1.001)
    assert {i.verdict for i in enough.cues[0].igniters} == {Verdict.SURE}
    short = chain(2, 20.0, needed * 0.98)
    assert short.cues[0].verdict is not Verdict.SURE


def test_below_the_all_fire_current_of_its_data_sheet_no_igniter_is_sure() -> None:
    # Class A bridges (1. SprengV Anlage 2 Nr. 1.2): 0.6 A must fire, 0.18 A must not; between the
    # two the data promise nothing.
    run = [("box/1", "s", 45.0), ("s", "t", 45.0), ("t", "u", 45.0)]
    cue = Cue("c", fire="box/1/1", time_s=0.0, pulse_s=2.0)
    igniters = [Igniter("u/1", "generic:bridge-a", id="u", count=8, connection="series")]
    outcome = bench(["s", "t", "u"], run, [cue], igniters=igniters).cues[0].igniters[0]
    assert outcome.worst_A is not None
    assert outcome.worst_A < 0.6
    assert outcome.verdict is not Verdict.SURE


def test_two_ways_of_a_matrix_together_fire_the_other_crossings_too() -> None:
    igniters = [Igniter(f"s/{w}", MATCH, id=f"w{w}") for w in (1, 2, 5, 6, 8)]
    cues = [
        Cue("c1", fire="box/1/1", time_s=0.0, pulse_s=0.05),
        Cue("c6", fire="box/1/6", time_s=0.01, pulse_s=0.05),
    ]
    assessment = bench(["s"], [("box/1", "s", 20.0)], cues, igniters=igniters)
    strays = {s.id: s for s in assessment.cues[0].strays}
    assert set(strays) == {"w2", "w5"}
    assert all(s.lights and not s.on_way for s in strays.values())


def test_a_matrix_without_diodes_has_sneak_paths() -> None:
    igniters = [Igniter(f"s/{w}", MATCH, id=f"w{w}") for w in (1, 2, 5, 6)]
    cue = Cue("c1", fire="box/1/1", time_s=0.0, pulse_s=0.05)
    plain = bench(["s"], [("box/1", "s", 20.0)], [cue], igniters=igniters)
    assert plain.cues[0].strays == ()
    bare = with_kit(
        plain, with_box("battery-matrix", lambda b: evolve(b, path=evolve(b.path, diode=None)))
    )
    strays = {s.id: s for s in bare.cues[0].strays}
    assert set(strays) == {"w2", "w5", "w6"}
    assert all(s.peak_A > 0.2 for s in strays.values())


def test_ways_over_one_common_return_starve_each_other() -> None:
    igniters = [Igniter(f"s/{w}", SLOW, id=f"w{w}") for w in (1, 2)]
    one = Cue("c1", fire="box/1/1", time_s=0.0, pulse_s=0.2)
    two = Cue("c2", fire="box/1/2", time_s=0.0, pulse_s=0.2)
    run = [("box/1", "s", 40.0)]
    alone = bench(["s"], run, [one], igniters=igniters, box=CAPACITOR)
    both = bench(["s"], run, [one, two], igniters=igniters, box=CAPACITOR)
    assert both.schedule.firings[0].meshed
    a, b = alone.cues[0].igniters[0].terminal_A, both.cues[0].igniters[0].terminal_A
    assert a is not None
    assert b is not None
    assert b < a


def test_a_stray_is_not_taken_for_one_that_an_overlapping_cue_had_lit() -> None:
    """Pulses of one cue may run beside different ways; each has its own order of bridges."""
    igniters = [
        Igniter("s/1", SLOW, id="bystander"),
        Igniter("s/1", SLOW, id="meant"),
        Igniter("s/2", SLOW, id="other"),
        Igniter("s/3", SLOW, id="load", count=8, connection="parallel"),
    ]
    cues = [
        Cue("earlier", fire="box/1/2", time_s=0.0, pulse_s=3.0),
        Cue("c", fire="box/1/1", time_s=60.0, pulse_s=0.5, lights=("meant",),
            repeat=Repeat(1, 5.0)),
        Cue("beside", fire="box/1/2", time_s=60.0, pulse_s=0.6),
        Cue("heavy", fire="box/1/3", time_s=60.0, pulse_s=0.6),
    ]  # fmt: skip
    assessment = bench(["s"], [("box/1", "s", 10.0)], cues, igniters=igniters)
    cue = assessment.cues[1]
    first, second = cue.results
    assert math.isfinite(times(assessment)["other"])
    assert (
        first.columns[int(first.component.targets[0])]
        != second.columns[int(second.component.targets[0])]
    )
    stray = next(s for s in cue.strays if s.id == "bystander")
    assert not stray.lit_before


def test_a_stray_that_the_first_pulse_lights_is_lit_whatever_the_second_one_does() -> None:
    igniters = [Igniter("s/1", SLOW, id="bystander"), Igniter("s/1", SLOW, id="meant")]
    cue = Cue(
        "c", fire="box/1/1", time_s=60.0, pulse_s=0.1, lights=("meant",), repeat=Repeat(1, 60.0)
    )
    assessment = bench(["s"], [("box/1", "s", 2.0)], [cue], igniters=igniters)
    first, second = assessment.cues[0].results
    lit = second.lit_before[:, 0]
    assert lit.any()
    assert not lit.all()
    # More current the second time, without effect.
    second = evolve(second, peak_A=first.peak_A + 1.0, light_s=np.full_like(second.light_s, np.nan))
    fired = [Fired(r, r.firing.pulses[0]) for r in (first, second)]
    (stray,) = strays(assessment.layout, assessment.layout.cues[0], {1}, fired)
    assert stray.lights
    assert stray.peak_A == pytest.approx(float(first.peak_A[:, 0].max()) + 1.0)
