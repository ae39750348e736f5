"""What a meter should read: by hand, by another solver, and by drawing values within tolerances."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bridgewire.api import check
from bridgewire.bench.meter.end_states import PossibleEnds
from bridgewire.bench.meter.expected import (
    THROUGH_DIODE,
    ExpectedResistance,
    MeterBench,
    expected_resistances,
)
from bridgewire.bench.meter.probe import BOX
from bridgewire.bench.meter.probe_mesh import ProbeMesh, mesh_probe
from bridgewire.bench.meter.rises import solve
from bridgewire.circuit.layout import WayKey
from bridgewire.timeline.outcomes import Assessment, EndState
from tests.bench.readings.shows import IGNITERS, POND, Draw, assessed, igniter, independent_ohm

MIDWINTER = "examples/midwinter-small.toml"

MATRIX_KIT = """\
format = 1
id = "grid"
title = "Matrix without diodes, invented"

[[box]]
id = "grid"
outputs = 1
ways = 4
output_contact = "harrowmere:lake-plug"
switch_ohm = { min = 0.01, typical = 0.03, max = 0.06 }
path = { map = "matrix", rows = 2, columns = 2 }
supply = { kind = "regulated", open_circuit_V = 24, internal_ohm = 0.2 }
pulses = { offered_s = [0.5] }
"""


def _of(
    assessment: Assessment | None, way: WayKey, place: str, moment: str = "before"
) -> ExpectedResistance:
    assert assessment is not None
    (one,) = [
        e
        for e in expected_resistances(assessment)
        if (e.way, e.place, e.moment) == (way, place, moment)
    ]
    return one


def test_terminal_by_hand() -> None:
    """A lantern match behind two clamp contacts: 1.42 + 0.15 + 2 * 0.002, and so on."""
    one = _of(check(MIDWINTER).assessment, ("heron-1", 1, 1), "west")
    assert one.band is not None
    assert one.band.min == pytest.approx(1.42 + 0.15 + 2 * 0.002)
    assert one.band.typical == pytest.approx(1.5 + 0.2 + 2 * 0.008)
    assert one.band.max == pytest.approx(1.58 + 0.25 + 2 * 0.04)
    assert one.reads_open == "no"


def test_box_by_hand(tmp_path: Path) -> None:
    """Typical loop of near/1: plug, raft cable, splitter, shore cable, strip, clamp, match.

    The return of the box's common-return map has two conductors, so that leg counts half.
    """
    show = POND.replace("min = 5, typical = 10, max = 15", "min = 20, typical = 20, max = 20")
    one = _of(assessed(show + igniter("near/1"), tmp_path), ("teal-1", 1, 1), BOX)
    plugs = 4 * 0.008
    legs = plugs + 3 * 0.0185 + 0.01 + 10 * 0.0842 + 0.015
    clamp_and_match = 2 * 0.008 + 1.5 + 0.2
    assert one.band is not None
    assert one.band.typical == pytest.approx(1.5 * legs + clamp_and_match)


def test_mated_pair_at_the_box_counts_from_nothing(tmp_path: Path) -> None:
    bench = MeterBench(assessed(POND + IGNITERS, tmp_path))
    first = bench.probe(("teal-1", 1, 1), BOX).nodes[1].elements[0]
    assert (first.feed_ohm.min, first.feed_ohm.max) == (0.0, 0.025)


def test_switch_of_the_box_is_not_in_a_reading(tmp_path: Path) -> None:
    bench = MeterBench(assessed(POND + IGNITERS, tmp_path))
    probe = bench.probe(("teal-1", 1, 1), BOX)
    assert all(e.kind != "switch" for n in probe.nodes for e in n.elements)


def test_box_behind_diode_has_no_band() -> None:
    one = _of(check(MIDWINTER).assessment, ("heron-1", 1, 1), BOX)
    assert (one.band, one.reads_open, one.note) == (None, "may", THROUGH_DIODE)


def test_diode_hides_what_is_beyond_a_strip(tmp_path: Path) -> None:
    """Two strips in a chain share a way: behind diodes each sees only its own igniter."""
    chain = POND.replace('kind = "teal"', 'kind = "heron"').replace(
        'from = "mooring"\nto = "far"', 'from = "near"\nto = "far"'
    )
    a = assessed(chain + igniter("near/1") + igniter("far/1"), tmp_path)
    plain = assessed(
        chain.replace('kind = "heron"', 'kind = "teal"') + igniter("near/1") + igniter("far/1"),
        tmp_path,
    )
    with_diode = _of(a, ("teal-1", 1, 1), "near").band
    without = _of(plain, ("teal-1", 1, 1), "near").band
    assert with_diode is not None
    assert without is not None
    assert with_diode.typical == pytest.approx(1.716)
    onward = 2.85 + 1.716  # about 25 m of loop behind the second match
    assert without.typical == pytest.approx(1 / (1 / 1.716 + 1 / onward), rel=0.05)


def test_after_show_reads_open_where_every_bridge_parts() -> None:
    one = _of(check(MIDWINTER).assessment, ("heron-1", 1, 1), "west", "after")
    assert (one.band, one.reads_open) == (None, "yes")


def test_after_show_unfired_igniter_reads_as_before(tmp_path: Path) -> None:
    a = assessed(POND + IGNITERS, tmp_path)
    before, after = _of(a, ("teal-1", 1, 1), BOX), _of(a, ("teal-1", 1, 1), BOX, "after")
    assert before.band == after.band
    assert after.reads_open == "no"


@pytest.mark.parametrize(("pulse", "opens"), [(0.02, "yes"), (0.05, "yes")])
def test_after_show_of_fired_way(tmp_path: Path, pulse: float, opens: str) -> None:
    cue = f'\n[[cue]]\nid = "c"\nfire = "teal-1/1/1"\ntime_s = 1.0\npulse_s = {pulse}\n'
    a = assessed(POND + IGNITERS + cue, tmp_path)
    assert _of(a, ("teal-1", 1, 1), BOX, "after").reads_open == opens


def test_after_show_is_not_known_where_the_cue_is_not(tmp_path: Path) -> None:
    cue = '\n[[cue]]\nid = "c"\nfire = "teal-1/1/1"\ntime_s = 1.0\npulse_s = 0.05\n'
    kit = '[[igniter_class]]\nid = "bare"\nkind = "electric-match"\nbridge_ohm = 1.5\n'
    kit += "lead_ohm = 0.2\n"
    (tmp_path / "bare.toml").write_text(f'format = 1\nid = "bare"\n{kit}', encoding="utf-8")
    show = POND.replace('kits = ["harrowmere"', 'kits = ["bare", "harrowmere"')
    a = assessed(show + igniter("near/1", "bare:bare") + cue, tmp_path)
    before = _of(a, ("teal-1", 1, 1), BOX)
    assert before.band is not None  # heating data are not needed for a reading
    after = _of(a, ("teal-1", 1, 1), BOX, "after")
    assert (after.band, after.reads_open) == (None, "may")
    assert after.note


def test_missing_value_upstream_does_not_matter_at_the_strip(tmp_path: Path) -> None:
    show = POND.replace(
        'to = "near"\ncable = "shore-cable"\nlength_m = { typical = 10, tol = 0.3 }',
        'to = "near"\ncable = "shore-cable"',
    )
    a = assessed(show + IGNITERS, tmp_path)
    box, strip = _of(a, ("teal-1", 1, 1), BOX), _of(a, ("teal-1", 1, 1), "near")
    assert [m.key for m in box.missing] == ["length_m"]
    assert box.band is None
    assert box.reads_open == "may"
    assert strip.missing == ()
    assert strip.band is not None


@st.composite
def _networks(draw: st.DrawFn) -> str:
    """A random tree: a chain or star of strips with series and parallel igniters."""
    chained = draw(st.booleans())
    text = (
        POND
        if not chained
        else POND.replace('from = "mooring"\nto = "far"', 'from = "near"\nto = "far"')
    )
    for n in range(draw(st.integers(1, 4))):
        at = draw(st.sampled_from(["near/1", "far/1", "near/2", "far/2"]))
        klass = draw(st.sampled_from(["lantern-match", "clip-on-short", "generic:bridge-a"]))
        count = draw(st.integers(1, 3))
        join = draw(st.sampled_from(["series", "parallel"]))
        more = f'count = {count}\nconnection = "{join}"\n' if count > 1 else ""
        text += igniter(at, klass, more).replace(f'id = "{at.replace("/", " ")}"', f'id = "i{n}"')
    return text


@settings(
    max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(text=_networks(), seed=st.integers(0, 2**32 - 1))
def test_drawn_values_stay_in_the_band_and_reach_near_its_ends(
    text: str, seed: int, tmp_path: Path
) -> None:
    """The band holds every draw; the draw with all values at their ends is its end exactly."""
    a = assessed(text, tmp_path)
    bench = MeterBench(a)
    rng = np.random.default_rng(seed)
    found = [e for e in expected_resistances(a) if e.moment == "before"]
    assert found
    for e in found:
        assert e.band is not None
        for _ in range(5):
            ohm = Draw(bench, rng, extreme=True).ohm(e.way, e.place)
            assert e.band.min - 1e-9 <= ohm <= e.band.max + 1e-9
        probe = bench.probe(e.way, e.place)
        owner = bench.builder.way(e.way).bridge_igniter
        for row, end in ((0, e.band.min), (2, e.band.max)):
            strings = probe.lead_ohm()[row].copy()
            for i, s in enumerate(probe.strings):
                for b in s.bridges:
                    band = bench.placed[owner[b]].klass.bridge_ohm
                    assert band is not None
                    strings[i] += (band.min, band.typical, band.max)[row]
            assert independent_ohm(probe, probe.node_ohm()[row], strings) == pytest.approx(end)


@settings(
    max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(text=_networks(), seed=st.integers(0, 2**32 - 1))
def test_rise_with_each_resistance_is_the_square_of_its_share(
    text: str, seed: int, tmp_path: Path
) -> None:
    """The analytic slopes of `solve` agree with differences of the independent solver."""
    bench = MeterBench(assessed(text, tmp_path))
    rng = np.random.default_rng(seed)
    for way in bench.assessment.layout.by_way:
        probe = bench.probe(way, BOX)
        node = np.concatenate([[0.0], rng.uniform(0.1, 3.0, len(probe.nodes) - 1)])
        string = rng.uniform(1.0, 4.0, len(probe.strings))
        cross = np.where(rng.uniform(size=node.size) < 0.2, 0.5, 0.0)
        cross[0] = 0.0
        ohm, node_rise, string_rise = solve(probe, node, cross, string)
        assert float(ohm) == pytest.approx(independent_ohm(probe, node, string, cross), rel=1e-6)
        step = 1e-4
        for i in range(1, node.size):
            more = node.copy()
            more[i] += step
            slope = (independent_ohm(probe, more, string, cross) - float(ohm)) / step
            assert float(node_rise[i]) == pytest.approx(slope, abs=1e-3)
        for i in range(string.size):
            more = string.copy()
            more[i] += step
            slope = (independent_ohm(probe, node, more, cross) - float(ohm)) / step
            assert float(string_rise[i]) == pytest.approx(slope, abs=1e-3)


def _grid(tmp_path: Path) -> Assessment:
    (tmp_path / "grid.toml").write_text(MATRIX_KIT, encoding="utf-8")
    show = POND.replace('"harrowmere",', '"harrowmere", "grid",').replace(
        'kind = "teal"', 'kind = "grid:grid"'
    )
    return assessed(show + "".join(igniter(f"near/{w}") for w in (1, 2, 3, 4)), tmp_path)


def test_matrix_without_diodes_sees_other_ways(tmp_path: Path) -> None:
    """Way 1 of 2 x 2 alike crossings: its igniter beside three others in series, 3/4 of one."""
    a = _grid(tmp_path)
    one = _of(a, ("teal-1", 1, 1), "near")
    assert one.band is not None
    assert one.band.typical == pytest.approx(0.75 * 1.716, rel=0.02)
    box = _of(a, ("teal-1", 1, 1), BOX)
    assert box.band is not None
    assert box.band.typical > one.band.typical + 1.5  # the run and the plugs


def test_matrix_band_holds_drawn_values(tmp_path: Path) -> None:
    bench = MeterBench(_grid(tmp_path))
    rng = np.random.default_rng(7)
    for place in (BOX, "near"):
        mesh = mesh_probe(bench.builder, ("teal-1", 1, 2), place)
        assert isinstance(mesh, ProbeMesh)
        band = bench.expected(("teal-1", 1, 2), place, "before").band
        assert band is not None
        for _ in range(50):
            cut = np.isinf(mesh.high_ohm)
            low, high = np.where(cut, 1.0, mesh.low_ohm), np.where(cut, 1.0, mesh.high_ohm)
            drawn = np.where(rng.integers(0, 2, low.size) == 1, low, high)
            branches = np.where(cut, np.inf, drawn)
            strings = rng.uniform(mesh.string_low + 1.42, mesh.string_high + 1.58)
            assert band.min - 1e-9 <= mesh.seen_ohm(branches, strings) <= band.max + 1e-9


def test_matrix_without_diodes_and_without_igniter_there(tmp_path: Path) -> None:
    (tmp_path / "grid.toml").write_text(MATRIX_KIT, encoding="utf-8")
    show = (
        POND.replace('"harrowmere",', '"harrowmere", "grid",')
        .replace('kind = "teal"', 'kind = "grid:grid"')
        .replace('from = "mooring"\nto = "far"', 'from = "near"\nto = "far"')
    )
    a = assessed(show + igniter("far/1"), tmp_path)
    one = _of(a, ("teal-1", 1, 1), "near")
    assert one.band is None
    assert one.note


def test_example_show_of_full_size_is_whole() -> None:
    from bridgewire.api import load_show
    from bridgewire.timeline.assess import assess

    a = assess(load_show("examples/regatta-night/show.toml").layout)
    found = expected_resistances(a)
    assert {e.way for e in found} == set(a.layout.by_way)
    assert all(e.band or e.reads_open == "yes" or e.note or e.missing for e in found)


def _bench_with_ends(tmp_path: Path, states: list[set[EndState]]) -> MeterBench:
    """Two matches in parallel on way 6, with stated possible ends."""
    bench = MeterBench(assessed(POND + igniter("near/6") + igniter("far/6"), tmp_path))
    for index, possible in enumerate(states):
        typical = sorted(possible, key=lambda s: s.value)[0]
        bench.ends[index] = PossibleEnds(frozenset(possible), typical)
    return bench


@pytest.mark.parametrize(
    ("states", "opens"),
    [
        ([{EndState.OPEN}, {EndState.OPEN}], "yes"),
        ([{EndState.OPEN}, {EndState.CLOSED}], "no"),
        ([{EndState.OPEN, EndState.CLOSED}, {EndState.CLOSED}], "no"),
        ([{EndState.OPEN, EndState.CLOSED}, {EndState.OPEN}], "may"),
        ([{EndState.OPEN, EndState.CLOSED}, {EndState.OPEN, EndState.UNLIT}], "may"),
    ],
)
def test_band_after_the_show_is_over_all_possible_ends(
    states: list[set[EndState]], opens: str, tmp_path: Path
) -> None:
    """The band's ends are those of the single cases: both closed, one alone, the other alone."""
    bench = _bench_with_ends(tmp_path, states)
    way: WayKey = ("teal-1", 1, 6)
    found = bench.expected(way, BOX, "after")
    assert found.reads_open == opens
    single = []
    for first in states[0]:
        for second in states[1]:
            one = _bench_with_ends(tmp_path, [{first}, {second}]).expected(way, BOX, "after").band
            if one is not None:
                single.append(one)
    if not single:
        assert found.band is None
    else:
        assert found.band is not None
        assert found.band.min == pytest.approx(min(b.min for b in single))
        assert found.band.max == pytest.approx(max(b.max for b in single))


def test_unknown_end_gives_no_band(tmp_path: Path) -> None:
    bench = _bench_with_ends(tmp_path, [{EndState.UNKNOWN}, {EndState.OPEN}])
    found = bench.expected(("teal-1", 1, 6), BOX, "after")
    assert (found.band, found.reads_open) == (None, "may")
