"""What the wiring and pulse sheets say, and that they leave nothing out."""

from __future__ import annotations

import pytest

from bridgewire.model.kit import PulseChoice
from bridgewire.report.contents import Checked
from bridgewire.report.sheets.contents import Column, Grid
from bridgewire.report.sheets.pulse_sheet import pulse_sheet
from bridgewire.report.sheets.pulses import PulseRow, pulse_rows, setting_text
from bridgewire.report.sheets.wiring import Place, TerminalRow, wiring
from bridgewire.report.sheets.wiring_sheet import wiring_sheet
from bridgewire.timeline.outcomes import Assessment
from tests.report.sheets.shows import PARALLEL_AND_LEADS, checked, parallel_and_leads, regatta


def assessed(report: Checked) -> Assessment:
    assert report.assessment is not None
    return report.assessment


def places(report: Checked) -> dict[str, Place]:
    a = assessed(report)
    return {p.name: p for p in wiring(a.layout, a.cues)}


def terminals(report: Checked) -> dict[str, TerminalRow]:
    return {r.igniter: r for p in places(report).values() for _, rows in p.strips for r in rows}


def test_places_are_positions_and_parts_without_one() -> None:
    found = places(parallel_and_leads())
    assert list(found) == ["shed", "east"]
    assert found["shed"].title == "behind the shed"
    assert found["east"].at_m == (30.0, 40.0)
    assert [s.id for s, _ in found["shed"].strips] == ["west"]


def test_both_ends_of_every_run_are_somewhere() -> None:
    found = places(parallel_and_leads())
    feeds = [(f.position, f.part, f.side, f.run, f.other_end) for f in found["shed"].feeds]
    assert feeds == [
        ("shed", "heron-1", "output 1", "R1", "west"),
        ("shed", "west", "inlet", "R1", "heron-1/1"),
        ("shed", "west", "outlet", "west -> east", "east"),
    ]
    (far,) = found["east"].feeds
    assert (far.side, far.other_end, far.length_m) == ("inlet", "west", "20")
    assert found["shed"].feeds[0].length_m == "17.5 to 18.4"
    assert (found["shed"].feeds[0].parallel, found["shed"].feeds[0].joints) == (2, 1)


def test_terminals_say_how_igniters_are_joined_and_fired() -> None:
    found = terminals(parallel_and_leads())
    pair = found["pair"]
    assert (pair.strip, pair.way, pair.joined) == ("west", 1, "2 in parallel")
    assert (pair.fired_by, pair.cues, pair.batch) == ("heron-1/1/1", "pair cue", "spring box")
    assert (pair.extra_lead_m, pair.lead_cable) == ("2 to 2.31", "reed-lead")
    assert found["chain"].joined == "3 in series"
    slow = found["slow a"]
    assert slow.joined == "string s, in series with slow b"
    assert slow.path == "heron-1/1 -> west -> east"
    # Way 1 of the next strip fires with the cue of way 1.
    assert slow.cues == "pair cue"


def test_igniters_beside_one_another_are_called_parallel() -> None:
    text = PARALLEL_AND_LEADS.replace('string = "s"', 'string = "t"', 1)
    found = terminals(checked(text))
    assert found["slow a"].joined == "in parallel with slow b"


def test_nothing_of_the_full_size_show_is_left_out() -> None:
    report = regatta()
    layout = assessed(report).layout
    found = places(report)
    rows = [r for p in found.values() for _, rows in p.strips for r in rows]
    assert sorted(r.igniter for r in rows) == sorted(p.id for p in layout.igniters)
    assert sum(len(p.feeds) for p in found.values()) == 2 * len(layout.show.run)
    assert sum(len(p.strips) for p in found.values()) == len(layout.show.strip)
    assert all(r.cues for r in rows)
    pulses = pulse_rows(layout, assessed(report).cues)
    assert sorted(r.cue for r in pulses) == sorted(c.id for c in layout.show.cue)


def test_an_igniter_without_a_cue_is_marked() -> None:
    report = checked(PARALLEL_AND_LEADS.replace('fire = "heron-1/1/2"', 'fire = "heron-1/2/2"'))
    a = assessed(report)
    cells = [
        row for s in wiring_sheet(a.layout, a.cues).sections for g in s.grids for row in g.rows
    ]
    chain = next(row for row in cells if "chain" in row)
    assert chain[-1] == "no cue"


def test_a_strip_without_igniters_is_said_to_be_empty() -> None:
    more = '[[strip]]\nid = "spare"\nkind = "jetty-strip-8"\nposition = "shed"\n'
    a = assessed(checked(PARALLEL_AND_LEADS + more))
    lines = [x for s in wiring_sheet(a.layout, a.cues).sections for x in s.lines]
    assert any("Strip spare" in x and "not wired" in x and "No igniter" in x for x in lines)


def test_every_table_names_its_place_or_box_as_a_page_may_begin_with_it() -> None:
    a = assessed(parallel_and_leads())
    for section in wiring_sheet(a.layout, a.cues).sections:
        name = section.title.split(":")[0]
        assert section.grids
        assert all(name in g.caption for g in section.grids)
    (box,) = pulse_sheet(a.layout, a.cues).sections
    assert [g.caption for g in box.grids] == ["heron-1, by time", "heron-1, by output and way"]


def pulses(report: Checked) -> dict[str, PulseRow]:
    a = assessed(report)
    return {r.cue: r for r in pulse_rows(a.layout, a.cues)}


def test_pulses_in_the_steps_of_the_box() -> None:
    found = pulses(parallel_and_leads())
    assert list(found) == ["chain cue", "pair cue"]
    pair = found["pair cue"]
    assert (pair.setting, pair.offered) == ("10 × 0.05 s", True)
    assert (pair.repeats, pair.gap_s, pair.hold_off) == (2, 0.25, "way 0.5 s")
    # Three pulses of 0.5 s, two gaps of 0.25 s, 0.5 s of hold-off.
    assert pair.free_at_s == pytest.approx(10.0 + 1.5 + 0.5 + 0.5)
    assert pair.igniters == "pair, slow a, slow b"
    assert pair.lights == "gold comet"


def test_a_pulse_that_cannot_be_set_is_called_out() -> None:
    report = parallel_and_leads()
    row = pulses(report)["chain cue"]
    assert (row.offered, row.setting) == (False, "NOT OFFERED; next longer 0.1 s")
    a = assessed(report)
    (section,) = pulse_sheet(a.layout, a.cues).sections
    assert any(x.startswith("CANNOT BE SET") and "chain cue" in x for x in section.alerts)


def test_a_way_that_does_not_exist_cannot_be_set() -> None:
    report = checked(PARALLEL_AND_LEADS.replace('fire = "heron-1/1/2"', 'fire = "heron-1/9/2"'))
    row = pulses(report)["chain cue"]
    assert (row.offered, row.setting, row.igniters) == (False, "NO SUCH WAY", "")
    a = assessed(report)
    (section,) = pulse_sheet(a.layout, a.cues).sections
    assert any(x.startswith("CANNOT BE SET") and "chain cue" in x for x in section.alerts)


@pytest.mark.parametrize(
    ("pulses", "pulse_s", "offered", "text"),
    [
        (None, 0.5, None, "steps not known"),
        (PulseChoice(offered_s=(1.0, 2.0)), None, None, "PULSE NOT STATED"),
        (PulseChoice(offered_s=(2.0, 1.0)), 2.0, True, "no. 2 of 2"),
        (PulseChoice(offered_s=(1.0, 2.0)), 2.5, False, "NOT OFFERED; none is longer"),
        (PulseChoice(min_s=0.1, max_s=1.0), 0.333, True, "any, 0.1 to 1 s"),
        (PulseChoice(min_s=0.1, max_s=1.0), 0.05, False, "NOT OFFERED; next longer 0.1 s"),
        (PulseChoice(min_s=0.02, max_s=1.0, step_s=0.05), 0.02, True, "0.02 s + 0 × 0.05 s"),
        (PulseChoice(min_s=0.05, max_s=4.0, step_s=0.05), 4.0, True, "80 × 0.05 s"),
    ],
)
def test_settings(
    pulses: PulseChoice | None, pulse_s: float | None, offered: bool | None, text: str
) -> None:
    assert setting_text(pulses, pulse_s) == (offered, text)


def test_a_grid_refuses_rows_that_do_not_fit() -> None:
    with pytest.raises(ValueError, match="1 cell"):
        Grid((Column("a"), Column("b", write=True)), (("x", "y"),))


def test_empty_optional_columns_go_and_others_stay() -> None:
    columns = (Column("a", optional=True), Column("b"), Column("c", write=True))
    grid = Grid(columns, (("", ""), ("", "x")))
    assert [c.heading for c in grid.without_empty_columns().columns] == ["b", "c"]
    assert grid.without_empty_columns().rows == (("",), ("x",))
    kept = Grid(columns, (("", ""), ("y", ""))).without_empty_columns()
    assert [c.heading for c in kept.columns] == ["a", "b", "c"]
