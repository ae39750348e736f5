"""Reading a CSV file of meter readings: what is understood, and what is wrong where."""

from __future__ import annotations

from pathlib import Path

import pytest

from bridgewire.documents.readings_csv import read_readings
from bridgewire.errors import InputError
from bridgewire.model.readings import Reading

PLACES = {
    ("heron-1", 1, 1): ("box", "west", "east"),
    ("heron-1", 1, 2): ("box", "west"),
    ("=1+1", 1, 1): ("box", "<script>"),
    ("灯", 1, 1): ("box",),
}
HEAD = "circuit,place,moment,reading_ohm,lead_ohm,remark\n"


def _read(text: str | bytes, folder: Path) -> tuple[Reading, ...]:
    file = folder / "r.csv"
    file.write_bytes(text.encode() if isinstance(text, str) else text)
    return read_readings(file, PLACES).rows


def _wrong(text: str | bytes, folder: Path) -> list[tuple[int, int, str]]:
    with pytest.raises(InputError) as caught:
        _read(text, folder)
    found = []
    for f in caught.value.findings:
        assert f.location is not None
        found.append((f.location.line, f.location.column, f.message))
    return found


def _one_wrong(text: str | bytes, folder: Path) -> tuple[int, int, str]:
    (one,) = _wrong(text, folder)
    return one


def test_a_whole_row(tmp_path: Path) -> None:
    (row,) = _read(HEAD + "heron-1/1/1,west,after,1.75,0.12,damp\n", tmp_path)
    assert row == Reading(("heron-1", 1, 1), "west", "after", 1.75, False, 0.12, "damp")
    assert row.location is not None
    assert (row.location.line, row.location.column) == (2, 24)


@pytest.mark.parametrize("start", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize(("delimiter", "number"), [(",", "1.5"), (";", "1,5"), ("\t", "1,5")])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_delimiters_marks_and_decimal_signs(
    start: bytes, delimiter: str, number: str, end: str, tmp_path: Path
) -> None:
    text = delimiter.join(["circuit", "place", "reading_ohm"]) + end
    text += delimiter.join(["heron-1/1/1", "box", number]) + end
    (row,) = _read(start + text.encode(), tmp_path)
    assert row.ohm == 1.5


def test_decimal_point_is_understood_with_semicolons(tmp_path: Path) -> None:
    (row,) = _read("circuit;place;reading_ohm\nheron-1/1/1;box;1.5\n", tmp_path)
    assert row.ohm == 1.5


@pytest.mark.parametrize("word", ["open", "OL", "o.l", "Over", "over-range"])
def test_open_words(word: str, tmp_path: Path) -> None:
    (row,) = _read(HEAD + f"heron-1/1/1,west,before,{word},,\n", tmp_path)
    assert (row.ohm, row.over_range, row.measured) == (None, True, True)


def test_blank_is_not_measured_and_before_is_meant(tmp_path: Path) -> None:
    (row,) = _read(HEAD + "heron-1/1/1,west,,,,\n", tmp_path)
    assert (row.measured, row.moment) == (False, "before")


def test_zero_is_a_reading(tmp_path: Path) -> None:
    (row,) = _read(HEAD + "heron-1/1/1,west,,0,,\n", tmp_path)
    assert (row.ohm, row.measured) == (0.0, True)


def test_columns_of_the_template_and_their_order_do_not_matter(tmp_path: Path) -> None:
    text = "high_ohm,Reading_Ohm,PLACE,low_ohm,circuit\nopen,2,box,=1+1,heron-1/1/01\n"
    (row,) = _read(text, tmp_path)
    assert (row.way, row.place, row.ohm) == (("heron-1", 1, 1), "box", 2.0)


def test_hostile_and_foreign_names(tmp_path: Path) -> None:
    rows = _read(HEAD + "'=1+1/1/1,<script>,,1,,\n=1+1/1/1,box,,1,,\n灯/1/1,Box,,1,,\n", tmp_path)
    assert [r.way[0] for r in rows] == ["=1+1", "=1+1", "灯"]


@pytest.mark.parametrize(
    ("cell", "words"),
    [
        ("1.5 ohm", "cannot be read as a reading"),
        ("1.2k", "cannot be read as a reading"),
        ("nan", "cannot be read as a reading"),
        ("inf", "cannot be read as a reading"),
        ("1e999999", "cannot be read as a reading"),
        ("٣", "cannot be read as a reading"),
        ('"1,5"', "cannot be read as a reading"),
        ("-0.2", "a reading cannot be -0.2"),
        ("1e9", "a reading cannot be 1e9"),
        ("1e999", "a reading cannot be 1e999"),
    ],
)
def test_bad_readings(cell: str, words: str, tmp_path: Path) -> None:
    line, column, message = _one_wrong(HEAD + f"heron-1/1/1,west,before,{cell},,\n", tmp_path)
    assert (line, column) == (2, 25)
    assert words in message


def test_every_problem_at_once(tmp_path: Path) -> None:
    text = HEAD + (
        "heron-1/1/3,west,before,1.5,,\n"
        "heron-1/1/1,wset,before,1.5,,\n"
        "heron-1/1/1,west,bevor,x,-1,\n"
        ",west,before,1.5,,\n"
        "heron-1/1/2,,before,1.5,,\n"
        "heron-1/1/1,west,before,1.5,,\n"
        "heron-1/1/1,west,,1.6,,\n"
        "heron-1/1/1,box,before,1.5,,,,9\n"
    )
    found = _wrong(text, tmp_path)
    assert [(line, column) for line, column, _ in found] == [
        (2, 1), (3, 13), (4, 18), (4, 24), (4, 26), (5, 1), (6, 1), (8, 1), (9, 31)
    ]  # fmt: skip
    assert "already in line 7" in found[7][2]


def test_did_you_mean(tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        _read(HEAD + "herron-1/1/1,west,,1,,\nheron-1/1/1,wset,,1,,\n", tmp_path)
    assert [f.suggestion for f in caught.value.findings] == ["heron-1/1/1", "west"]
    assert {f.code for f in caught.value.findings} == {"REC001"}


@pytest.mark.parametrize(
    ("head", "words"),
    [
        ("circuit,place\n", 'the column "reading_ohm" is missing'),
        ("circuit,place,reading_ohm,circuit\n", "two columns"),
        ("circuit,place,reading_ohm,readng\n", 'no column "readng"'),
        (";;;\n", "no headings"),
    ],
)
def test_bad_headings(head: str, words: str, tmp_path: Path) -> None:
    assert any(words in m for _, _, m in _wrong(head, tmp_path))


def test_decimal_comma_without_quotes_is_explained(tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        _read("circuit,place,reading_ohm\nheron-1/1/1,west,1,5\n", tmp_path)
    (one,) = caught.value.findings
    assert "semicolons" in one.remedy


@pytest.mark.parametrize("cells", ["2,5,,1.5,1.9,", "2,05", "12,3,remark"])
def test_a_decimal_comma_is_not_taken_for_the_leads(cells: str, tmp_path: Path) -> None:
    head = "circuit,place,reading_ohm,lead_ohm,low_ohm,high_ohm,remark\n"
    text = f"{head}heron-1/1/1,west,{cells}\n"
    line, column, message = _one_wrong(text, tmp_path)
    assert (line, column) == (2, 18)
    assert "decimal comma" in message


def test_a_decimal_comma_is_not_taken_for_the_remark(tmp_path: Path) -> None:
    text = "circuit,place,reading_ohm,remark\nheron-1/1/1,west,2,5,\n"
    assert "decimal comma" in _one_wrong(text, tmp_path)[2]
    assert len(_read(text.replace("2,5,", "2,5"), tmp_path)) == 1  # a remark of "5"


@pytest.mark.parametrize("cells", ["2.0,5", "2,0.5", "2,0", "2,", "OL,"])
def test_leads_of_their_own_stay_leads(cells: str, tmp_path: Path) -> None:
    head = "circuit,place,reading_ohm,lead_ohm\n"
    assert len(_read(f"{head}heron-1/1/1,west,{cells}\n", tmp_path)) == 1


def test_a_table_of_another_sort_is_not_told_of_each_column(tmp_path: Path) -> None:
    found = _wrong("box,output,way,place,before_min_ohm\n", tmp_path)
    assert len(found) == 2
    assert all("is missing" in message for _, _, message in found)


@pytest.mark.parametrize(
    ("heads", "meant"),
    [
        ("circuit,place,moment,ohm", ""),  # not low_ohm: reading_ohm is what lacks
        ("circuit,place,readings_ohm", "reading_ohm"),
        ("circuit,place,reading_ohm,low_ohms", "low_ohm"),
    ],
)
def test_a_strange_heading_is_taken_for_what_lacks(heads: str, meant: str, tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        _read(f"{heads}\n", tmp_path)
    (strange,) = (f for f in caught.value.findings if "there is no column" in f.message)
    assert strange.suggestion == meant


@pytest.mark.parametrize(
    ("raw", "code"),
    [
        (b"", "DOC001"),
        (b"\xff\xfec\x00", "DOC001"),
        (b"circuit,place\xe9,reading_ohm\n", "DOC001"),
        (b"circuit,place,reading_ohm\n\x00", "DOC001"),
        (b'circuit,place,reading_ohm\n"heron', "REC001"),
        (b"," * 1_000_001, "DOC009"),
    ],
)
def test_files_that_are_no_readings(raw: bytes, code: str, tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        _read(raw, tmp_path)
    assert code in {f.code for f in caught.value.findings}


def test_no_such_file(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="1 problem"):
        read_readings(tmp_path / "none.csv", PLACES)


def test_very_long_names_are_cut_in_messages(tmp_path: Path) -> None:
    _, _, message = _one_wrong(HEAD + "x" * 5000 + "/1/1,west,,1,,\n", tmp_path)
    assert len(message) < 200
