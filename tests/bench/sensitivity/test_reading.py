"""Files of trials: what is read, and every problem with its place."""

from __future__ import annotations

from pathlib import Path

import pytest

from bridgewire.bench.sensitivity.reading import TrialFile, read_trial_files
from bridgewire.bench.sensitivity.trial_table import UNITS
from bridgewire.errors import InputError


def read(tmp_path: Path, text: str, *, positive: bool = False, in_order: bool = False) -> TrialFile:
    file = tmp_path / "trial.csv"
    file.write_text(text, encoding="utf-8")
    return read_trial_files([str(file)], positive=positive, in_order=in_order)[0]


def problems(
    tmp_path: Path, text: str, *, positive: bool = False, in_order: bool = False
) -> list[tuple[int, int, str, str]]:
    with pytest.raises(InputError) as caught:
        read(tmp_path, text, positive=positive, in_order=in_order)
    found = []
    for f in caught.value.findings:
        assert f.location is not None
        found.append((f.location.line, f.location.column, f.code, f.message))
    return found


def test_single_shots_keep_their_order(tmp_path: Path) -> None:
    found = read(tmp_path, "shot,level_A,result,note\n1,0.4,lit,\n2,0.3,not,damp\n3,0.4,1,x\n")
    assert found.unit == "A"
    assert found.trials.order == ((0.4, True), (0.3, False), (0.4, True))
    assert found.trials.level.tolist() == [0.3, 0.4]
    assert len(found.sha256) == 64


def test_counts(tmp_path: Path) -> None:
    found = read(tmp_path, "level_mJ_per_ohm,tried,lit\n1,10,2\n2,10,9\n")
    assert found.trials.order is None
    assert (found.trials.shots, found.trials.shots_lit) == (20, 11)
    assert found.shown_unit == "mJ/Ω"


@pytest.mark.parametrize(
    ("word", "lit"),
    [("1", 1), ("lit", 1), ("YES", 1), ("Go", 1), ("0", 0), ("not", 0), ("no", 0), ("Not lit", 0)],
)
def test_words_for_results(tmp_path: Path, word: str, lit: int) -> None:
    assert read(tmp_path, f"level_V,result\n9,{word}\n").trials.shots_lit == lit


@pytest.mark.parametrize("text", ["level_s;result\n0,5;1\n", "level_s\tresult\r\n0,5\t1\r\n"])
def test_other_delimiters_take_a_decimal_comma(tmp_path: Path, text: str) -> None:
    assert read(tmp_path, text).trials.level.tolist() == [0.5]


@pytest.mark.parametrize("unit", UNITS)
def test_every_unit_of_the_list_is_read(tmp_path: Path, unit: str) -> None:
    assert read(tmp_path, f"level_{unit},result\n1,1\n").unit == unit


def test_a_byte_order_mark_and_quotes_are_fine(tmp_path: Path) -> None:
    assert read(tmp_path, '\ufefflevel_A,result,note\n"0.4","lit","a, b"\n').trials.shots == 1


def test_every_problem_at_once_with_its_place(tmp_path: Path) -> None:
    text = "level_A,result\n0.4,perhaps\nabc,lit\n0.3,\n0.3,lit,more\n1e12,not\n0.31,not\n"
    assert problems(tmp_path, text) == [
        (2, 5, "DOC006", "the result is neither lit nor not lit"),
        (3, 1, "DOC006", "the level is no number"),
        (4, 5, "DOC005", 'the row has nothing under "result"'),
        (5, 9, "DOC002", "the row has more cells than there are headings"),
        (6, 1, "DOC007", "the level is out of range"),
    ]


def test_every_file_is_read_before_anything_is_said(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("level_A,result\nx,1\n")
    (tmp_path / "b.csv").write_text("level_A,result\n1,y\n1,maybe\n")
    names = [str(tmp_path / n) for n in ("a.csv", "b.csv", "none.csv")]
    with pytest.raises(InputError) as caught:
        read_trial_files(names)
    places = [str(f.location).removeprefix(str(tmp_path)) for f in caught.value.findings]
    assert places == ["/a.csv:2:1", "/b.csv:3:3", "/none.csv:1:1"]


@pytest.mark.parametrize(
    ("text", "code", "word"),
    [
        ("level,result\n1,1\n", "DOC005", "unit"),
        ("level_parsec,result\n1,1\n", "DOC006", "no unit"),
        ("level_A,outcome\n1,1\n", "DOC004", "no column"),
        ("result\n1\n", "DOC005", "levels"),
        ("level_A\n1\n", "DOC005", "results"),
        ("level_A,tried\n1,1\n", "DOC005", "results"),
        ("level_A,result,tried,lit\n1,1,1,1\n", "DOC002", "at once"),
        ("level_A,level_V,result\n1,1,1\n", "DOC003", "two columns"),
        ("level_A,result,result\n1,1,1\n", "DOC003", "two columns"),
        ("level_A,result\n", "DOC005", "no shot"),
        ("level_A,result\n1\n", "DOC005", "nothing under"),
        ("level_A,tried,lit\n1,0,0\n", "DOC007", "nothing was tried"),
        ("level_A,tried,lit\n1,2,3\n", "DOC007", "more lit"),
        ("level_A,tried,lit\n1,2.5,1\n", "DOC006", "whole number"),
        ("level_A,tried,lit\n1,2,-1\n", "DOC006", "whole number"),
        ("level_A,result\nnan,1\n", "DOC006", "no number"),
        ("level_A,result\ninf,1\n", "DOC006", "no number"),
        ("level_A,result\n1_0,1\n", "DOC006", "no number"),
        ("level_A,result\n=1+1,1\n", "DOC006", "no number"),
        ('level_A,result\n"1,1\n', "DOC002", "quote"),
        ("", "DOC001", "empty"),
        ("a\0b", "DOC001", "zero byte"),
    ],
)
def test_bad_files(tmp_path: Path, text: str, code: str, word: str) -> None:
    found = problems(tmp_path, text)
    assert any(c == code and word in message for _, _, c, message in found), found


def test_a_logarithmic_scale_needs_levels_above_zero(tmp_path: Path) -> None:
    text = "level_C,result\n-5,0\n0,1\n5,1\n"
    assert read(tmp_path, text).trials.shots == 3
    found = problems(tmp_path, text, positive=True)
    assert [(line, column) for line, column, _, _ in found] == [(2, 1), (3, 1)]


def test_a_method_that_needs_order_refuses_counts(tmp_path: Path) -> None:
    found = problems(tmp_path, "level_A,tried,lit\n1,2,1\n", in_order=True)
    assert "order" in found[0][3]


def test_hostile_cells_are_quoted_and_cut(tmp_path: Path) -> None:
    nasty = "<script>\x1b[31m" + "z" * 5000
    with pytest.raises(InputError) as caught:
        read(tmp_path, f"level_A,result\n{nasty},1\n")
    got = caught.value.findings[0].got
    assert len(got) < 100
    assert "\x1b" not in got
