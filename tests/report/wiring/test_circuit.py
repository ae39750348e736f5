"""The circuit of a way."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from attrs import evolve

from bridgewire.api import Report, check, load_show
from bridgewire.report.wiring.circuit import way_svg
from bridgewire.report.wiring.steps import steps_of
from bridgewire.report.wiring.symbols import symbol_defs
from tests.report.wiring.shows import (
    HERON,
    NAMES,
    NASTY,
    SVG,
    assert_sound,
    chain,
    cue,
    everything,
    example,
    hostile,
    igniter,
    in_order,
    layout_of,
    parsed,
    report_of,
    run,
    strip,
    uses,
    words,
)

CASES = Path(__file__).parents[2] / "rules" / "cases"
KITS = Path(__file__).parents[2] / "rules" / "kits"
RUNGS = ("rung", "rungd")


def case(name: str) -> Report:
    return check(load_show(CASES / name, kit_dirs=[KITS]))


def rungs(svg: str) -> int:
    return sum(name in RUNGS for name in uses(svg))


@pytest.mark.parametrize("name", NAMES)
def test_every_cue_can_be_drawn(name: str) -> None:
    report = example(name)
    names = layout_of(report).names
    fired = [c for c in report.cues if c.way is not None]
    for outcome in fired if len(fired) < 20 else fired[::40]:
        assert outcome.way is not None
        svg = way_svg(report, outcome.way, outcome)
        assert_sound(svg)
        for i in outcome.igniters:
            assert names[i.igniter] in everything(svg)
        assert svg == way_svg(report, outcome.way, outcome)


@pytest.mark.parametrize("name", NAMES)
def test_the_steps_of_lit_igniters_add_up_to_the_supply(name: str) -> None:
    """Kirchhoff's voltage law, with the drops that the check found."""
    report = example(name)
    assert report.assessment is not None
    layout = report.assessment.layout
    seen = 0
    for outcome in report.cues[::11] if len(report.cues) > 20 else report.cues:
        if outcome.way is None or len(outcome.igniters) != 1 or outcome.start_V is None:
            continue
        (one,) = outcome.igniters
        if not math.isfinite(one.light.typical) or one.lit_before:
            continue
        circuit = report.assessment.simulation.ways[outcome.way]
        capacitor = layout.boxes[outcome.way[0]][1].supply.kind == "capacitor"
        steps = steps_of(circuit, outcome, capacitor=capacitor)
        assert steps.supply is not None
        path = circuit.path_to(0)
        along = [steps.after[n].low for n in path]
        assert along == sorted(along)
        assert steps.after[path[0]].low == one.terminal_V
        whole = along[0] + sum(steps.lost[n].low for n in path)
        assert whole == pytest.approx(steps.supply.low, rel=1e-9)
        inner = sum(d.volts for d in one.drops if d.label.startswith("supply of"))
        if capacitor:
            assert steps.supply.low + inner < outcome.start_V.typical
        else:
            assert steps.supply.low + inner == pytest.approx(outcome.start_V.typical, rel=1e-3)
        seen += 1
    assert seen or name == "jetty-trial"


def test_currents_and_voltages_stand_at_their_igniters() -> None:
    report = example("jetty-trial")
    outcome = report.cues[0]
    lines = words(way_svg(report, ("heron-1", 1, 1), outcome))
    assert lines[0] == "Way heron-1/1/1, cue chain"
    assert in_order(lines, ["near", "sure", "2.91 A, 5.43 V"])
    assert in_order(lines, ["middle", "marginal", "1.79 A, 3.35 V"])
    assert in_order(lines, ["far", "no", "1.70 A, 3.07 V"])
    assert "battery 21.2 V" in lines
    assert "row 1 + column 1" in lines
    near = outcome.igniters[0]
    assert (near.id, round(near.terminal_A or 0.0, 2)) == ("near", 2.91)


def test_without_a_cue_nothing_is_claimed_about_verdicts() -> None:
    svg = way_svg(example("jetty-trial"), ("heron-1", 1, 1))
    lines = words(svg)
    assert rungs(svg) == 3
    assert not any(w.endswith(" A") or w in ("sure", "marginal", "no") for w in lines)
    assert not set(uses(svg)) & {"sure", "marginal", "no", "unknown"}
    assert not any(w.startswith(("loses", "gives")) for w in lines)
    assert "20 m, 3.28 Ω" in lines


def test_four_rungs_fit_into_three_kilobytes(tmp_path: Path) -> None:
    report = report_of(tmp_path, *chain(4))
    svg = way_svg(report, ("heron-1", 1, 1), report.cues[0], with_symbols=False)
    assert rungs(svg) == 4
    assert len(svg.encode()) <= 3200
    assert "<defs>" not in svg
    assert "<style>" not in svg
    bare = way_svg(report, ("heron-1", 1, 1), with_symbols=False)
    assert len(bare.encode()) <= 3000


def test_symbols_come_from_the_page_or_with_the_drawing() -> None:
    report = example("jetty-trial")
    page = {e.attrib["id"] for e in parsed(symbol_defs()).iter() if "id" in e.attrib}
    svg = way_svg(report, ("heron-1", 2, 1), report.cues[1], with_symbols=False)
    assert {f"bw-{n}" for n in uses(svg)} <= page


def test_a_long_chain_goes_on_below_at_a_letter(tmp_path: Path) -> None:
    report = report_of(tmp_path, *chain(8))
    svg = way_svg(report, ("heron-1", 1, 1), report.cues[0])
    lines = words(svg)
    assert rungs(svg) == 8
    assert uses(svg).count("run") == 8
    assert lines.count("A") == 4  # feed and return, where it breaks off and where it goes on
    assert lines.count("B") == 4
    assert_sound(svg)
    width = float(parsed(svg).attrib["viewBox"].split()[2])
    assert width <= 900.0


def test_a_splitter_is_drawn_with_all_its_branches() -> None:
    report = example("jetty-trial")
    svg = way_svg(report, ("heron-1", 2, 1), report.cues[1])
    assert rungs(svg) == 3
    assert uses(svg).count("run") == 4
    assert {"mooring", "star-1", "star-2", "star-3"} <= set(words(svg))


def test_splitters_on_splitters(tmp_path: Path) -> None:
    pieces = [HERON, '[[splitter]]\nid = "m"\nkind = "mooring-2"\n', run("heron-1/1", "m")]
    for a in "ab":
        pieces += [f'[[splitter]]\nid = "{a}"\nkind = "mooring-2"\n', run("m", a)]
        for b in "xy":
            name = a + b
            pieces += [strip(name), run(a, name), igniter(f"i-{name}", f"{name}/1")]
            pieces += [strip(f"{name}2"), run(name, f"{name}2"), igniter(f"j-{name}", f"{name}2/1")]
    report = report_of(tmp_path, *pieces, cue("go", "heron-1/1/1"))
    svg = way_svg(report, ("heron-1", 1, 1), report.cues[0])
    assert rungs(svg) == 8
    assert uses(svg).count("run") == 11
    assert_sound(svg)
    for name in ("ax", "by2", "i-ay", "j-bx"):
        assert name in words(svg)


def test_series_and_parallel_are_told(tmp_path: Path) -> None:
    report = report_of(
        tmp_path,
        HERON,
        strip("s"),
        run("heron-1/1", "s"),
        igniter("row", "s/1", 'count = 3\nconnection = "series"'),
        igniter("heap", "s/2", 'count = 3\nconnection = "parallel"'),
        igniter("one", "s/3", 'string = "x"'),
        igniter("two", "s/3", 'string = "x"'),
        igniter("other", "s/3"),
        *(cue(f"c{w}", f"heron-1/1/{w}", 10.0 * w) for w in (1, 2, 3)),
    )
    drawn = [way_svg(report, ("heron-1", 1, w), report.cues[w - 1]) for w in (1, 2, 3)]
    assert [rungs(svg) for svg in drawn] == [1, 1, 2]
    assert "3 in series" in words(drawn[0])
    heap = report.cues[1].igniters[0]
    assert heap.terminal_A is not None
    assert in_order(
        words(drawn[1]), ["heap", "sure", "3 parallel, each", f"{heap.terminal_A:.2f} A, 2.73 V"]
    )
    assert in_order(words(drawn[2]), ["one + two", "sure", "2 in series", "other"])


def test_many_igniters_on_one_terminal_wrap(tmp_path: Path) -> None:
    report = report_of(
        tmp_path,
        HERON,
        strip("s"),
        run("heron-1/1", "s"),
        *(igniter(f"i{n}", "s/1") for n in range(20)),
        cue("go", "heron-1/1/1"),
    )
    svg = way_svg(report, ("heron-1", 1, 1), report.cues[0])
    assert rungs(svg) == 20
    assert_sound(svg)
    assert "and 8 more" in everything(svg)


def test_supplies_and_path_maps_differ() -> None:
    capacitor = way_svg(example("boathouse-troubles"), ("teal-1", 1, 1))
    assert "capacitor" in uses(capacitor)
    assert "rung" in uses(capacitor)
    assert uses(capacitor).count("contact") == 1
    assert "All ways of this output share the return." in words(capacitor)
    matrix = way_svg(example("boathouse-troubles"), ("heron-1", 1, 4))
    assert "battery" in uses(matrix)
    assert "rungd" in uses(matrix)
    assert uses(matrix).count("contact") == 2
    grid = case("SAF003/fail_matrix_without_diodes.toml")
    svg = way_svg(grid, ("a", 1, 1), grid.cues[0])
    assert "regulated" in uses(svg)
    assert "Matrix without diodes: current also sneaks through other ways, not drawn." in words(svg)


def test_a_way_with_nothing_on_it() -> None:
    report = example("boathouse-troubles")
    empty, beyond = report.cues[7], report.cues[8]
    assert (empty.way, beyond.way) == (("heron-1", 3, 1), ("heron-1", 1, 17))
    svg = way_svg(report, ("heron-1", 3, 1), empty)
    assert rungs(svg) == 0
    assert "No igniter is on this way, so no current flows." in words(svg)
    assert "A box of this kind has 8 outputs of 16 ways." not in words(svg)
    svg = way_svg(report, ("heron-1", 1, 17), beyond)
    assert "A box of this kind has 8 outputs of 16 ways." in words(svg)


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("KIT001/fail_cable_without_size.toml", "ohm_per_m"),
        ("KIT001/fail_class_without_bridge.toml", "bridge_ohm"),
        ("KIT001/fail_strip_without_terminal_contact.toml", "terminal_contact"),
        ("KIT001/fail_supply_without_resistance.toml", None),
    ],
)
def test_missing_values_are_said_and_give_unknown(name: str, told: str | None) -> None:
    report = case(name)
    outcome = next(c for c in report.cues if c.way is not None)
    assert outcome.way is not None
    svg = way_svg(report, outcome.way, outcome)
    lines = words(svg)
    assert "unknown" in uses(svg)
    assert "unknown" in lines
    assert "Voltages along the way are not known for this cue." in lines
    if told is not None:
        assert any(w.startswith("Not known: ") and told in w for w in lines)
    else:
        assert "inner Ω unknown" in lines


def test_what_was_lit_before_has_no_voltages() -> None:
    report = example("boathouse-troubles")
    again = next(c for c in report.cues if c.id == "comet again")
    svg = way_svg(report, ("heron-1", 2, 3), again)
    assert "lit before" in words(svg)
    assert "All igniters on it were lit before this cue." in words(svg)
    assert not any(w.startswith("loses") for w in words(svg))
    assert not set(uses(svg)) & {"sure", "marginal", "no", "unknown"}


def test_hostile_names_stay_text(tmp_path: Path) -> None:
    report = hostile(
        tmp_path,
        ("灯" * 60, "=1+1/1"),
        ("<svg onload=alert(1)>", "=1+1/1"),
        fired="<text><script>",
    )
    svg = way_svg(report, (NASTY, 1, 1), report.cues[0])
    assert_sound(svg)
    assert "\u202e" not in svg
    assert "灯" * 60 in everything(svg)
    assert "<svg onload=alert(1)>" in everything(svg)
    assert "=1+1" in words(svg)


def test_misuse_is_refused() -> None:
    report = example("jetty-trial")
    with pytest.raises(ValueError, match="not on"):
        way_svg(report, ("heron-1", 2, 1), report.cues[0])
    with pytest.raises(KeyError):
        way_svg(report, ("heron-9", 1, 1))
    with pytest.raises(ValueError, match="without an assessment"):
        way_svg(evolve(report, assessment=None), ("heron-1", 1, 1))


def test_text_does_not_run_over_the_right_edge(tmp_path: Path) -> None:
    """By the generous width of a letter that the drawings count with."""
    report = report_of(tmp_path, *chain(8))
    for outcome in report.cues:
        assert outcome.way is not None
        root = parsed(way_svg(report, outcome.way, outcome))
        width = float(root.attrib["viewBox"].split()[2])
        for e in root.iter(f"{SVG}text"):
            end = float(e.attrib["x"]) + 6.0 * len("".join(e.itertext()))
            assert end <= width + 6.0, e.text
