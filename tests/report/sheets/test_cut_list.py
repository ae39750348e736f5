"""Pieces, their lengths, drums listed and not, and what is said of missing cable."""

from __future__ import annotations

import pytest

from bridgewire.circuit.layout import Layout
from bridgewire.diagnostics import Finding, Severity, format_path
from bridgewire.errors import InputError
from bridgewire.report.sheets.cut_list import cut_list
from bridgewire.report.sheets.cut_sheet import cut_sheet
from bridgewire.report.sheets.drums import cut_findings, plan_drums
from tests.report.sheets.shows import PARALLEL_AND_LEADS, loaded, midwinter, regatta

CUTTING = """
[cutting]
allowance_m = 0.5
step_m = 0.25
keep_from_m = 3
"""


def drum(ident: str, cable: str, length: float, count: int = 1) -> str:
    return f'[[drum]]\nid = "{ident}"\ncable = "{cable}"\nlength_m = {length}\ncount = {count}\n'


PLENTY = drum("shore", "shore-cable", 50, 2) + drum("pier", "pier-cable", 60)
LEAD_DRUM = drum("reed", "reed-lead", 50)


def test_pieces_of_parallel_cables_and_leads() -> None:
    pieces = cut_list(loaded(PARALLEL_AND_LEADS).layout)
    assert [(p.name, p.use, p.cable) for p in pieces] == [
        ("R1 (1 of 2)", "run", "harrowmere:shore-cable"),
        ("R1 (2 of 2)", "run", "harrowmere:shore-cable"),
        ("west -> east", "run", "harrowmere:pier-cable"),
        ("pair (1 of 2)", "lead", "harrowmere:reed-lead"),
        ("pair (2 of 2)", "lead", "harrowmere:reed-lead"),
        ("chain", "lead", "harrowmere:reed-lead"),
    ]
    # Upper end of the band, no allowance, rounded up to 0.1 m.
    lengths = [p.cut_m for p in pieces]
    assert lengths == pytest.approx([18.5, 18.5, 20.0, 2.4, 2.4, 4.0])


def test_allowance_and_step() -> None:
    pieces = cut_list(loaded(PARALLEL_AND_LEADS + CUTTING).layout)
    lengths = [p.cut_m for p in pieces]
    assert lengths == pytest.approx([19.0, 19.0, 20.5, 3.0, 3.0, 4.5])


def test_pieces_keep_the_circuit_reading_as_many_leads() -> None:
    """The circuit has as many lead elements as the list has leads."""
    from bridgewire.circuit.ways import CircuitBuilder
    from bridgewire.model.band import Band

    layout = loaded(PARALLEL_AND_LEADS).layout
    builder = CircuitBuilder(layout, Band.exact(20.0))
    found = sum(
        e.label.startswith("extra lead of")
        for key in layout.by_way
        for s in builder.way(key).strings
        for e in s.elements
    )
    assert found == sum(p.use == "lead" for p in cut_list(layout)) == 3


def test_listed_drums_are_used_and_nothing_is_missing() -> None:
    layout = loaded(PARALLEL_AND_LEADS + CUTTING + PLENTY + LEAD_DRUM).layout
    plans = plan_drums(layout, cut_list(layout))
    assert cut_findings(plans) == ()
    shore = plans[0]
    assert shore.basis == "listed"
    assert [d.name for d in shore.drums] == ["shore"]
    assert shore.drums[0].left_m == pytest.approx(12.0)
    assert shore.drums[0].keep
    assert shore.needed_m == pytest.approx(38.0)
    assert plans[1].drums[0].name == "pier"


def test_short_left_overs_are_waste() -> None:
    layout = loaded(
        PARALLEL_AND_LEADS
        + CUTTING
        + drum("shore", "shore-cable", 40)
        + PLENTY.split("\n\n")[0].replace('"shore"', '"other"')
    ).layout
    plans = plan_drums(layout, cut_list(layout))
    assert plans[0].waste_m == pytest.approx(2.0)
    assert plans[0].kept_m == 0.0


def test_too_little_cable_is_said_with_what_is_missing() -> None:
    text = PARALLEL_AND_LEADS + CUTTING + drum("shore", "shore-cable", 30) + LEAD_DRUM
    show = loaded(text)
    sheet = cut_sheet(show.layout)
    found = {f.subjects[0]: f for f in show.located(sheet.findings)}
    first = found["R1 (2 of 2)"] if "R1 (2 of 2)" in found else found["R1 (1 of 2)"]
    assert first.code == "CUT001"
    assert first.severity is Severity.ERROR
    assert "19.0 m of harrowmere:shore-cable are missing of the 38.0 m needed" in first.message
    assert "hold 30.0 m" in first.message
    assert (first.measured, first.limit) == (30.0, 38.0)
    assert first.location is not None
    other = found["west -> east"]
    assert "no drum of it is listed" in other.message
    assert len(sheet.findings) == 2


def test_a_pinned_run_comes_from_its_drum() -> None:
    text = PARALLEL_AND_LEADS.replace("parallel = 2\n", 'parallel = 2\ndrum = "old"\n')
    drums = drum("new", "shore-cable", 60) + drum("old", "shore-cable", 40) + PLENTY
    layout = loaded(text + drums.replace('"shore"', '"third"') + LEAD_DRUM).layout
    plans = plan_drums(layout, cut_list(layout))
    assert [d.name for d in plans[0].drums] == ["old"]


def test_a_drum_shorter_than_a_step_is_of_no_use() -> None:
    text = (
        PARALLEL_AND_LEADS
        + CUTTING
        + drum("end", "shore-cable", 0.2)
        + LEAD_DRUM
        + drum("pier", "pier-cable", 60)
    )
    sheet = cut_sheet(loaded(text).layout)
    assert [f.code for f in sheet.findings] == ["CUT001"]


def test_without_drums_the_longest_piece_of_the_kit_is_the_drum() -> None:
    layout = loaded(PARALLEL_AND_LEADS).layout
    plans = plan_drums(layout, cut_list(layout))
    assert {p.basis for p in plans} == {"kit"}
    assert [d.length_m for d in plans[0].drums] == [50.0]
    too_long = loaded(PARALLEL_AND_LEADS.replace("length_m = 20\n", "length_m = 120\n")).layout
    (finding,) = cut_findings(plan_drums(too_long, cut_list(too_long)))
    assert "no single piece in the kit is so long" in finding.message


def test_without_any_drum_length_only_totals_are_given() -> None:
    kit = """
format = 1
id = "shed"
[[cable]]
id = "old rope"
metal = "copper"
stranding = "solid"
conductors = 8
"""
    text = PARALLEL_AND_LEADS.replace('"pier-cable"', '"shed:old rope"')
    layout = loaded(text, kit=kit).layout
    plan = plan_drums(layout, cut_list(layout))[1]
    assert (plan.basis, plan.drums, plan.needed_m) == ("none", (), 20.0)
    sheet = cut_sheet(layout)
    assert any("only the total" in line for s in sheet.sections for line in s.lines)


def test_a_piece_of_unknown_length_is_listed_and_found() -> None:
    text = PARALLEL_AND_LEADS.replace("length_m = 20\n", "")
    sheet = cut_sheet(loaded(text).layout)
    (finding,) = sheet.findings
    assert (finding.code, finding.severity) == ("CUT003", Severity.WARNING)
    assert format_path(finding.path) == "run[1]"
    grids = [g for s in sheet.sections for g in s.grids]
    assert any("not known" in row for g in grids for row in g.rows)


def test_the_sheet_says_when_no_allowance_is_stated() -> None:
    assert any("without any allowance" in line for line in cut_sheet(midwinter_layout()).lines)
    lines = cut_sheet(loaded(PARALLEL_AND_LEADS + CUTTING).layout).lines
    assert any("plus an allowance of 0.5 m" in line for line in lines)


def midwinter_layout() -> Layout:
    assessment = midwinter().assessment
    assert assessment is not None
    return assessment.layout


def test_the_full_size_show_is_planned_to_the_proven_best() -> None:
    assessment = regatta().assessment
    assert assessment is not None
    plans = plan_drums(assessment.layout, cut_list(assessment.layout))
    assert all(p.proven and p.tidy and not p.uncut for p in plans)
    pieces = [id(q) for p in plans for d in p.drums for q in d.pieces]
    assert len(pieces) == len(set(pieces)) == len(assessment.layout.show.run)
    for plan in plans:
        cut = sum(d.length_m for d in plan.drums) - plan.waste_m - plan.kept_m
        assert cut == pytest.approx(plan.needed_m)


@pytest.mark.parametrize(
    ("more", "code", "path", "words"),
    [
        (drum("a", "shore-cable", 9) * 2, "DOC010", "drum[1].id", "already at line "),
        (drum("a", "shoer-cable", 9), "DOC011", "drum[0].cable", "no kit has a cable"),
        (drum("reel 2", "shore-cable", 9), "DOC011", "run[0].drum", "there is no drum 'reel 1'"),
        (drum("reel 1", "pier-cable", 9), "DOC007", "run[0].drum", "holds harrowmere:pier-cable"),
        (drum("a", "shore-cable", 0), "DOC007", "drum[0].length_m", "out of range"),
        (drum("a", "shore-cable", 9, 0), "DOC007", "drum[0].count", "out of range"),
    ],
)
def test_wrong_drums_are_refused_with_their_place(
    more: str, code: str, path: str, words: str
) -> None:
    text = PARALLEL_AND_LEADS.replace("joints = 1\n", 'joints = 1\ndrum = "reel 1"\n')
    if "reel" not in more:
        text = PARALLEL_AND_LEADS
    with pytest.raises(InputError) as raised:
        loaded(text + more)
    found = [f for f in raised.value.findings if format_path(f.path) == path]
    assert found, [(f.code, format_path(f.path), f.message) for f in raised.value.findings]
    assert words in found[0].message
    assert found[0].location is not None
    if words != "out of range":
        assert found[0].code == code


def test_a_near_name_is_suggested() -> None:
    text = PARALLEL_AND_LEADS.replace("joints = 1\n", 'joints = 1\ndrum = "reel 1"\n')
    with pytest.raises(InputError) as raised:
        loaded(text + drum("reel 2", "shore-cable", 9))
    (finding,) = raised.value.findings
    assert finding.suggestion == "did you mean 'reel 2'?"


def test_a_drum_that_is_wrong_in_itself_is_not_called_missing_as_well() -> None:
    text = PARALLEL_AND_LEADS.replace("joints = 1\n", 'joints = 1\ndrum = "reel 1"\n')
    with pytest.raises(InputError) as raised:
        loaded(text + drum("reel 1", "shore-cable", 0) + drum("reel 2", "shore-cable", 9))
    assert [format_path(f.path) for f in raised.value.findings] == ["drum[0].length_m"]


def test_a_show_without_drums_names_them_as_it_likes() -> None:
    text = PARALLEL_AND_LEADS.replace("joints = 1\n", 'joints = 1\ndrum = "reel 1"\n')
    layout = loaded(text).layout
    assert all(p.drum is None for p in cut_list(layout))


def test_a_search_cut_short_is_said_to_be() -> None:
    assessment = regatta().assessment
    assert assessment is not None
    sheet = cut_sheet(assessment.layout, time_limit_s=1e-9)
    codes = {f.code for f in sheet.findings}
    assert codes == {"CUT002"}
    finding: Finding = sheet.findings[0]
    assert finding.severity is Severity.INFO
    assert "may not be the best" in " ".join(line for s in sheet.sections for line in s.lines)
