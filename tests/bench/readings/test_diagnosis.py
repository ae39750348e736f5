"""Readings of shows with a fault put in: the fault is found, and what cannot be told is said."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from bridgewire.bench.meter.diagnosis import Diagnosis
from bridgewire.bench.meter.expected import MeterBench
from bridgewire.bench.meter.faults import WEIGHTS, log_grid
from bridgewire.bench.meter.probe import BOX
from bridgewire.bench.meter.swapped_parts import swapped
from bridgewire.bench.meter.tree_faults import clad_ratios
from bridgewire.bench.meter.view import Observation, make_view
from bridgewire.bench.meter.way_faults import way_faults
from bridgewire.circuit.layout import WayKey
from bridgewire.model.readings import Reading
from tests.bench.readings.shows import (
    IGNITERS,
    POND,
    assessed,
    igniter,
    readings_of,
    study,
)

BASE = POND + IGNITERS
AT_BOX = [(("teal-1", 1, w), BOX) for w in range(1, 7)]
ONE: WayKey = ("teal-1", 1, 2)


def _far(cable: str) -> str:
    return BASE.replace('to = "far"\ncable = "shore-cable"', f'to = "far"\ncable = "{cable}"')


SWAPPED = (
    BASE.replace('to = "near"', 'to = "X"').replace('to = "far"', 'to = "near"')
    .replace('to = "X"', 'to = "far"')
)  # fmt: skip

INJECTED = {
    "wrong class": (
        BASE.replace(igniter("near/2"), igniter("near/2", "clip-on-long")),
        ["'near 2' is of class generic:clip-on-long"],
    ),
    "one of two missing": (
        BASE.replace(igniter("far/6"), ""),
        ["'far 6' is open, or not connected"],
    ),
    "longer run": (
        BASE.replace("typical = 25, tol = 0.5", "typical = 60, tol = 0.5"),
        ["run mooring -> far is longer"],
    ),
    "shorter run": (
        BASE.replace("typical = 25, tol = 0.5", "typical = 11, tol = 0.5"),
        ["run mooring -> far is shorter", "run mooring -> far is of cable"],
    ),
    "thinner cable": (
        _far("generic:patch-28awg"),
        ["run mooring -> far is of cable generic:patch-28awg"],
    ),
    "clad cable everywhere": (
        BASE.replace('"shore-cable"', '"generic:patch-24awg-cca"'),
        ["all shore-cable here is copper-clad aluminium"],
    ),
    "strips swapped": (SWAPPED, ["near and far hang on each other's runs"]),
    "one more in parallel": (
        BASE + igniter("near/1").replace('id = "near 1"\n', ""),
        ["one igniter more in parallel at terminal near/1"],
    ),
}


def _first(diagnoses: tuple[Diagnosis, ...]) -> list[list[str]]:
    """Causes of the first rank, the three most probable of them."""
    return [[c.text for c in d.causes if c.rank == 1][:3] for d in diagnoses]


@pytest.mark.parametrize("name", INJECTED)
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_injected_fault_has_the_first_rank(name: str, seed: int, tmp_path: Path) -> None:
    """On most circuits that are off; a circuit at its tolerance's end may look otherwise."""
    text, wanted = INJECTED[name]
    rows = readings_of(assessed(text, tmp_path), np.random.default_rng(seed), AT_BOX)
    done = study(assessed(BASE, tmp_path), rows)
    assert done.diagnoses
    hits = [any(t.startswith(w) for t in texts for w in wanted) for texts in _first(done.diagnoses)]
    assert sum(hits) >= 0.7 * len(hits)
    assert sum(c.share for d in done.diagnoses for c in d.causes) <= len(done.diagnoses) + 1e-6


def _with(way: WayKey, place: str, ohm: float | None, tmp_path: Path) -> Diagnosis:
    a = assessed(BASE, tmp_path)
    rows = readings_of(a, np.random.default_rng(5), [p for p in AT_BOX if p[0] != way])
    rows.append(Reading(way, place, "before", ohm, ohm is None))
    (found,) = study(a, rows).diagnoses
    return found


def test_open(tmp_path: Path) -> None:
    found = _with(ONE, BOX, None, tmp_path)
    assert found.causes[0].text.startswith("'near 2' is open")
    assert {c.kind for c in found.causes} <= {"igniter open", "conductor open"}
    assert found.not_told_apart


def test_open_at_the_box_but_whole_at_the_strip(tmp_path: Path) -> None:
    """The igniter is well, so a conductor on the way to the strip is broken."""
    a = assessed(BASE, tmp_path)
    rows = readings_of(a, np.random.default_rng(5), [p for p in AT_BOX if p[0] != ONE])
    rows += [Reading(ONE, BOX, "before", None, True), Reading(ONE, "near", "before", 1.72)]
    (found,) = study(a, rows).diagnoses
    assert {c.kind for c in found.causes if c.rank == 1} == {"conductor open"}
    assert sum(c.share for c in found.causes if c.kind == "conductor open") > 0.98


def test_short_at_terminal(tmp_path: Path) -> None:
    """From the box a short shows the resistance of the run: here about 1.55 ohm."""
    found = _with(ONE, BOX, 1.55, tmp_path)
    assert any("short" in c.text for c in found.causes[:2])
    assert _with(ONE, "near", 0.03, tmp_path).causes[0].kind == "terminal shorted"


def test_poor_contact_of_a_stated_size(tmp_path: Path) -> None:
    found = _with(ONE, "near", 1.716 + 7.0, tmp_path)
    assert found.causes[0].kind == "poor contact"
    assert found.causes[0].value in ("6.9 Ω extra", "7 Ω extra", "7.1 Ω extra")


def test_poor_contact_on_the_run_is_parted_from_the_igniter(tmp_path: Path) -> None:
    a = assessed(BASE, tmp_path)
    rows = readings_of(a, np.random.default_rng(5), AT_BOX)
    bad = next(r for r in rows if r.way == ONE)
    assert bad.ohm is not None
    rows.remove(bad)
    rows += [Reading(ONE, BOX, "before", bad.ohm + 5.0), Reading(ONE, "near", "before", 1.72)]
    (found,) = study(a, rows).diagnoses
    runs = [c for c in found.causes if "in the run or plugs" in c.text]
    assert sum(c.share for c in runs) > 0.95
    assert found.not_told_apart  # which of the two runs cannot be known


def test_meter_leads_left_in(tmp_path: Path) -> None:
    a = assessed(BASE, tmp_path)
    places = [(("teal-1", 1, w), s) for w, s in [(1, "near"), (2, "near"), (4, "far"), (5, "far")]]
    rows = [
        Reading(r.way, r.place, r.moment, (r.ohm or 0.0) + 0.8)
        for r in readings_of(a, np.random.default_rng(2), places)
    ]
    done = study(a, rows)
    assert len(done.diagnoses) == 4
    assert all(d.causes[0].kind == "meter leads" for d in done.diagnoses)
    # Where the row says that leads are taken off, that cannot be it.
    stated = [Reading(r.way, r.place, r.moment, (r.ohm or 0.0) + 0.1, False, 0.1) for r in rows]
    assert all(c.kind != "meter leads" for d in study(a, stated).diagnoses for c in d.causes)


def test_common_fault_and_a_fault_of_one_way(tmp_path: Path) -> None:
    """A longer run moves every way on it; one of them has a wrong igniter as well."""
    text = BASE.replace("typical = 25, tol = 0.5", "typical = 60, tol = 0.5").replace(
        igniter("far/5"), igniter("far/5", "clip-on-long")
    )
    places = [*AT_BOX, *((("teal-1", 1, w), "far") for w in (4, 5))]
    rows = readings_of(assessed(text, tmp_path), np.random.default_rng(4), places)
    found = {d.way[2]: d for d in study(assessed(BASE, tmp_path), rows).diagnoses}
    assert found[4].causes[0].text.startswith("run mooring -> far is longer")
    assert found[5].causes[0].text.startswith("'far 5' is of class generic:clip-on-long")


TWO_OUTPUTS = (
    BASE
    + """
[[strip]]
id = "bank"
kind = "jetty-strip-8"

[[run]]
from = "teal-1/2"
to = "bank"
cable = "pier-cable"
length_m = { typical = 40, tol = 0.5 }
"""
    + "".join(igniter(f"bank/{w}", "clip-on-short") for w in (1, 2, 3, 4, 5))
)


def test_plugs_in_each_others_outputs(tmp_path: Path) -> None:
    """From the box the outputs read each other's ways; at the strips all is well."""
    crossed = (
        TWO_OUTPUTS.replace('"teal-1/1"', '"X"').replace('"teal-1/2"', '"teal-1/1"')
        .replace('"X"', '"teal-1/2"')
    )  # fmt: skip
    wrong = assessed(crossed, tmp_path)
    rng = np.random.default_rng(6)
    rows = [
        Reading(("teal-1", 1, r.way[2]), BOX, "before", r.ohm)
        for r in readings_of(wrong, rng, [(("teal-1", 1, w), BOX) for w in (1, 2, 3, 4, 5)])
    ]
    rows.append(Reading(("teal-1", 1, 6), BOX, "before", None, True))
    a = assessed(TWO_OUTPUTS, tmp_path)
    rows += readings_of(a, rng, [(("teal-1", 1, 1), "near"), (("teal-1", 1, 6), "far")])
    done = study(a, rows)
    assert done.diagnoses
    for d in done.diagnoses:
        assert d.causes[0].text == "mooring and bank are plugged into each other's outputs"


def test_a_circuit_in_its_band_can_be_out_of_line(tmp_path: Path) -> None:
    """Every way of the far strip has a longer run; one of them hides that it lacks 1.7 ohm."""
    pairs = POND + "".join(
        igniter(f"far/{w}", more='count = 2\nconnection = "series"\n') for w in range(1, 7)
    )
    places = [(("teal-1", 1, w), BOX) for w in range(1, 7)]
    longer = assessed(pairs.replace("typical = 25, tol = 0.5", "typical = 39, tol = 0.5"), tmp_path)
    rows = readings_of(longer, np.random.default_rng(3), places)
    a = assessed(pairs, tmp_path)
    assert study(a, rows).out_of_line == ()
    last = rows.pop()
    assert last.ohm is not None
    rows.append(Reading(last.way, BOX, "before", last.ohm - 1.7))
    done = study(a, rows)
    assert not done.judged[-1].off
    (found,) = done.out_of_line
    assert found.way == last.way
    assert found.own > 0.9


def test_next_measurement_tells_the_first_two_apart(tmp_path: Path) -> None:
    rows = readings_of(
        assessed(INJECTED["one of two missing"][0], tmp_path), np.random.default_rng(1), AT_BOX
    )
    a = assessed(BASE, tmp_path)
    (found,) = study(a, rows).diagnoses
    assert found.next is not None
    assert (found.next.way, found.next.place) == (("teal-1", 1, 6), "far")
    # Make it: the igniter on the far strip is open.
    rows.append(Reading(("teal-1", 1, 6), "far", "before", None, True))
    (after,) = study(a, rows).diagnoses
    assert after.causes[0].text.startswith("'far 6' is open")
    assert after.causes[0].share > 0.98


def test_what_no_reading_can_tell_is_said(tmp_path: Path) -> None:
    """At the terminal, a class of 3.4 ohm and 1.7 ohm of poor contact look the same."""
    a = assessed(BASE, tmp_path)
    (found,) = study(a, [Reading(ONE, "near", "before", 3.46)]).diagnoses
    assert {c.kind for c in found.causes[:2]} == {"wrong class", "poor contact"}
    assert found.next is not None
    assert found.next.way is None
    assert found.next.place == "igniter"


def test_nonsense_is_something_else(tmp_path: Path) -> None:
    """At the strip 1.7 ohm, from the box 0.5 ohm less: no single fault does that."""
    a = assessed(BASE, tmp_path)
    rows = [Reading(ONE, BOX, "before", 0.4), Reading(ONE, "near", "before", 900.0)]
    (found,) = study(a, rows).diagnoses
    assert found.causes[0].kind == "other"


def test_matrix_without_diodes_is_not_diagnosed_and_says_so(tmp_path: Path) -> None:
    from tests.bench.readings.test_expected import MATRIX_KIT

    (tmp_path / "grid.toml").write_text(MATRIX_KIT, encoding="utf-8")
    show = POND.replace('"harrowmere",', '"harrowmere", "grid",').replace(
        'kind = "teal"', 'kind = "grid:grid"'
    )
    a = assessed(show + "".join(igniter(f"near/{w}") for w in (1, 2, 3, 4)), tmp_path)
    done = study(a, [Reading(("teal-1", 1, 1), "near", "before", 30.0)])
    assert done.judged[0].status == "outside"
    assert done.diagnoses[0].causes == ()
    assert "no diodes" in done.diagnoses[0].note


def test_swapped_layout_changes_only_the_two(tmp_path: Path) -> None:
    layout = assessed(BASE, tmp_path).layout
    other = swapped(layout, "near", "far")
    assert other.parts["near"].run == layout.parts["far"].run
    assert other.parts["mooring"].run == layout.parts["mooring"].run
    assert layout.parts["near"].run != other.parts["near"].run
    back = swapped(other, "near", "far")
    assert {k: [p.id for p in v] for k, v in back.by_way.items()} == {
        k: [p.id for p in v] for k, v in layout.by_way.items()
    }
    assert {p.id: (p.run, p.depth, p.output) for p in back.parts.values()} == {
        p.id: (p.run, p.depth, p.output) for p in layout.parts.values()
    }


APART = (
    POND.replace('[[splitter]]\nid = "mooring"\nkind = "mooring-2"\n\n', "")
    .replace(
        'from = "teal-1/1"\nto = "mooring"\ncable = "raft-cable"\n'
        "length_m = { typical = 3, tol = 0.1 }\n\n[[run]]\n",
        "",
    )
    .replace('from = "mooring"\nto = "near"', 'from = "teal-1/1"\nto = "near"')
    .replace('from = "mooring"\nto = "far"', 'from = "teal-1/2"\nto = "far"')
    + IGNITERS
    + "".join(igniter(f"far/{w}").replace("far ", "second far ") for w in (4, 5))
)
BOTH_AT_BOX = [(("teal-1", 1, w), BOX) for w in (1, 2, 3, 6)] + [
    (("teal-1", 2, w), BOX) for w in (4, 5, 6)
]


@pytest.mark.parametrize(
    ("swap", "wanted"),
    [
        ("to", "near and far hang on each other's runs"),
        ("from", "near and far are plugged into each other's outputs"),
    ],
)
def test_strips_of_two_outputs_swapped_at_either_end(
    swap: str, wanted: str, tmp_path: Path
) -> None:
    """Two runs from one box, changed over at the strips, or at the box: a walk tells which."""
    one, two = ("near", "far") if swap == "to" else ("teal-1/1", "teal-1/2")
    text = (
        APART.replace(f'{swap} = "{one}"', "X").replace(f'{swap} = "{two}"', f'{swap} = "{one}"')
    ).replace("X\n", f'{swap} = "{two}"\n')
    bench = MeterBench(assessed(text, tmp_path))
    rows = []
    for way, place in BOTH_AT_BOX:
        band = None
        if way in bench.assessment.layout.by_way:
            band = bench.expected(way, place, "before").band
        ohm = None if band is None else band.typical
        rows.append(Reading(way, place, "before", ohm, ohm is None))
    done = study(assessed(APART, tmp_path), rows)
    assert len(done.diagnoses) >= 5
    assert [texts[0] for texts in _first(done.diagnoses)] == [wanted] * len(done.diagnoses)


def test_swapped_runs_of_two_outputs(tmp_path: Path) -> None:
    layout = assessed(APART, tmp_path).layout
    runs = {keep: swapped(layout, "near", "far", keep_runs=keep).parts for keep in (True, False)}
    for parts in runs.values():
        assert parts["near"].output == ("teal-1", 2)
        assert parts["far"].output == ("teal-1", 1)
    assert runs[True]["near"].run == layout.parts["near"].run
    assert runs[False]["near"].run == layout.parts["far"].run


def test_prior_weights_are_probabilities() -> None:
    assert WEIGHTS["none"] == 1.0
    assert all(0.0 < w < 0.1 for k, w in WEIGHTS.items() if k != "none")


def test_bands_are_read_with_the_band_sigma_of_the_show(tmp_path: Path) -> None:
    """The scatter of another class is its band over as many deviations as that of all else."""
    spreads = []
    for sigma in (3, 1):
        text = POND.replace("[site]", f"[scatter]\nband_sigma = {sigma}\n\n[site]", 1) + IGNITERS
        faults = way_faults(MeterBench(assessed(text, tmp_path)), ONE)
        spreads.append([f.string_sd for f in faults if f.kind == "wrong class"])
    assert spreads[0]
    assert spreads[1] == pytest.approx([3.0 * s for s in spreads[0]])


def test_a_cable_may_state_what_its_drum_has_in_common(tmp_path: Path) -> None:
    """`drum_share` 0.2 in the place of the usual 0.8: half the common standard deviation."""
    own = '[[cable]]\nid = "shore-cable"\nextends = "harrowmere:shore-cable"\ndrum_share = 0.2\n'
    (tmp_path / "own.toml").write_text(f'format = 1\nid = "own"\n{own}', encoding="utf-8")
    common = []
    for cable in ("harrowmere:shore-cable", "own:shore-cable"):
        text = BASE.replace('kits = ["', 'kits = ["own", "').replace('"shore-cable"', f'"{cable}"')
        bench = MeterBench(assessed(text, tmp_path))
        view = make_view(bench, Observation(("teal-1", 1, 4), BOX, 5.0, 0.1, True))
        common.append(view.cable_sd.max())
    assert common[1] == pytest.approx(0.5 * common[0])


def test_log_grid_is_even_in_factors() -> None:
    grid = log_grid(0.2, 20.0, 40)
    assert np.allclose(np.diff(np.log(grid)), np.log(100.0) / 40)
    assert 0.2 < grid[0] < grid[-1] < 20.0


def test_copper_clad_ratio() -> None:
    """63 and 67 % IACS: 1/0.63 to 1/0.67 of copper (ASTM B566, classes 10 and 15)."""
    assert clad_ratios() == pytest.approx([1 / 0.6667, 1 / 0.6288], rel=0.06)


BROAD = """\
format = 1
id = "broad"
title = "A box for more strips, invented"

[[box]]
id = "broad"
extends = "harrowmere:teal"
max_strips = 8
"""


def _random_tree(rng: np.random.Generator) -> tuple[str, list[str]]:
    """A tree with three strips in a chain or star, and its igniter entries."""
    start = str(rng.choice(["mooring", "near"]))
    length = [float(x) for x in rng.integers(6, 40, 2)]
    text = POND.replace("mooring-2", "mooring-4").replace('kind = "teal"', 'kind = "broad:broad"')
    text = text.replace('kits = ["', 'kits = ["broad", "')
    text = text.replace("typical = 10, tol", f"typical = {length[0]:g}, tol")
    text += f"""
[[strip]]
id = "bank"
kind = "jetty-strip-8"

[[run]]
from = "{start}"
to = "bank"
cable = "pier-cable"
length_m = {{ typical = {length[1]:g}, tol = 0.3 }}
"""
    entries = [
        igniter(f"{strip}/{way}")
        for way in range(1, 7)
        for strip in rng.choice(["near", "far", "bank"], int(rng.integers(1, 3)), replace=False)
    ]
    return text, entries


@pytest.mark.parametrize("seed", range(6))
def test_random_trees_with_a_random_igniter_fault(seed: int, tmp_path: Path) -> None:
    """With readings at the box and at each strip, the true fault is in the first two ranks."""
    rng = np.random.default_rng(100 + seed)
    text, entries = _random_tree(rng)
    (tmp_path / "broad.toml").write_text(BROAD, encoding="utf-8")
    a = assessed(text + "".join(entries), tmp_path)
    victim = int(rng.integers(0, len(entries)))
    at = entries[victim].split('at = "')[1].split('"')[0]
    ident = at.replace("/", " ")
    strip, number = at.split("/")
    way: WayKey = ("teal-1", 1, int(number))
    places = [(w, p) for w, ps in _places(a) for p in ps]
    good = readings_of(a, rng, places)
    kind = ["class", "open"][seed % 2]
    if kind == "class":
        changed = [igniter(at, "clip-on-long") if i == victim else e for i, e in enumerate(entries)]
        bad = assessed(text + "".join(changed), tmp_path)
        wanted = f"'{ident}' is of class generic:clip-on-long"
        of_way = readings_of(bad, rng, [p for p in places if p[0] == way])
    else:
        bad = assessed(text + "".join(e for i, e in enumerate(entries) if i != victim), tmp_path)
        wanted = f"'{ident}' is open"
        still = {p for w, ps in _places(bad) if w == way for p in ps}
        of_way = readings_of(bad, rng, [p for p in places if p[0] == way and p[1] in still])
        of_way += [
            Reading(way, p, "before", None, True) for w, p in places if w == way and p not in still
        ]
    rows = [r for r in good if r.way != way] + of_way
    done = study(a, rows)
    assert {d.way for d in done.diagnoses} == {way}
    ranked = [c.text for c in done.diagnoses[0].causes if c.rank <= 2]
    assert any(t.startswith(wanted) for t in ranked), (strip, ranked)


def _places(a: object) -> list[tuple[WayKey, tuple[str, ...]]]:
    from bridgewire.bench.meter.readings import places_of
    from bridgewire.timeline.outcomes import Assessment

    assert isinstance(a, Assessment)
    return list(places_of(a).items())


def test_a_full_show_of_faults_takes_seconds() -> None:
    """All 624 circuits of the full-size show off at once, some 960 readings."""
    from time import process_time

    from bridgewire.api import load_show
    from bridgewire.bench.meter.expected import MeterBench
    from bridgewire.timeline.assess import assess

    a = assess(load_show("examples/regatta-night/show.toml").layout)
    bench = MeterBench(a)
    places = [(w, p) for w, ps in _places(a) for p in ps if not bench.probe(w, p).diode]
    rows = [
        Reading(r.way, r.place, r.moment, 1.6 * (r.ohm or 0.0))
        for r in readings_of(a, np.random.default_rng(1), places)
    ]
    begun = process_time()
    done = study(a, rows)
    assert process_time() - begun < 30.0
    assert len(done.diagnoses) == len(a.layout.by_way)
