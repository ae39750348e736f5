"""Cue lists in CSV files."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any

import pytest

from bridgewire.documents.csv_text import split_rows
from bridgewire.documents.cue_cells import COLUMNS, read_seconds
from bridgewire.documents.fields import keys_of
from bridgewire.documents.loader import load_show
from bridgewire.errors import InputError
from bridgewire.model.show import Cue, Repeat
from bridgewire.report.problems import problems_text
from tests.documents.formats import write

COLUMN_NAMES = {"id": "Name", "fire": "Circuit", "time_s": "When"}


def show_with(
    folder: Path, text: str | bytes, *, columns: dict[str, str] | None = None, **more: Any
) -> Path:
    raw = text.encode() if isinstance(text, str) else text
    (folder / "cues.csv").write_bytes(raw)
    cue_list = {"file": "cues.csv", "columns": columns or COLUMN_NAMES, **more}
    data = {"format": 1, "title": "Boathouse Proms", "kits": [], "cue_list": cue_list}
    return write(folder, "show", data, "toml")


def test_every_column(tmp_path: Path) -> None:
    columns = {
        key: f"col {key}" for key in COLUMNS if key not in ("box", "output", "way", "target")
    }
    cells = {
        "id": "twin comets", "fire": "heron-1/1/4", "time_s": "1:02.5", "effect_at_s": "63",
        "pulse_s": "2", "repeat_times": "2", "repeat_gap_s": ".5", "lights": "a; b ;",
        "together": "Yes", "spread_s": "0.1", "latest_light_s": "1.5",
    }  # fmt: skip
    text = ",".join(columns.values()) + "\n" + ",".join(cells[k] for k in columns) + "\n"
    show, _ = load_show(show_with(tmp_path, text, columns=columns))
    assert show.cue == (
        Cue(
            "twin comets", fire="heron-1/1/4", time_s=62.5, effect_at_s=63.0, pulse_s=2.0,
            repeat=Repeat(2, 0.5), lights=("a", "b"), together=True, spread_s=0.1,
            latest_light_s=1.5,
        ),
    )  # fmt: skip


def test_a_heading_with_blanks_is_asked_about(tmp_path: Path) -> None:
    show = show_with(
        tmp_path, "Name,Circuit,Fire Time\na,heron-1/1/1,5\n",
        columns={"id": "Name", "fire": "Circuit", "time_s": "Fire Tiem"},
    )  # fmt: skip
    with pytest.raises(InputError) as caught:
        load_show(show)
    told = problems_text(caught.value.findings)
    assert '  hint:     did you mean "Fire Time"?' in told


def test_columns_cover_all_keys_of_a_cue() -> None:
    assert {path[0] for path, _ in COLUMNS.values()} == set(keys_of(Cue))


def test_box_output_way_columns(tmp_path: Path) -> None:
    columns = {"id": "N", "box": "B", "output": "O", "way": "W", "time_s": "T"}
    show, _ = load_show(show_with(tmp_path, "T,W,O,B,N\n1,4,1,heron-1,a\n", columns=columns))
    assert show.cue == (Cue("a", box="heron-1", output=1, way=4, time_s=1.0),)


@pytest.mark.parametrize(
    ("delimiter", "decimal", "encoding"),
    [(";", ",", "utf-8"), ("\t", ".", "utf-16"), (",", ",", "latin-1"), ("|", ",", "cp1252")],
)
def test_delimiters_decimal_signs_and_encodings(
    tmp_path: Path, delimiter: str, decimal: str, encoding: str
) -> None:
    rows = [["Name", "Circuit", "When"], ["fusée", "heron-1/1/1", f'"1{decimal}5"']]
    text = "\r\n".join(delimiter.join(r) for r in rows)
    file = show_with(
        tmp_path, text.encode(encoding), delimiter=delimiter, decimal=decimal, encoding=encoding
    )
    show, document = load_show(file)
    assert show.cue == (Cue("fusée", fire="heron-1/1/1", time_s=1.5),)
    assert str(document.spans.locate(("cue", 0, "id"))).endswith("cues.csv:2:1")


def test_cues_of_both_files_with_their_places(tmp_path: Path) -> None:
    text = '\ufeffWhen,Name,Circuit,Remark\n\n,,,\n1,"one, two",a/1/1,"x\ny"\n2,three,a/1/2,\n'
    file = show_with(tmp_path, text)
    file.write_text(
        file.read_text() + '[[cue]]\nid = "zero"\nfire = "a/1/8"\ntime_s = 0\n', encoding="utf-8"
    )
    show, document = load_show(file)
    assert [c.id for c in show.cue] == ["zero", "one, two", "three"]
    locate = document.spans.locate
    assert str(locate(("cue", 0, "id"))).endswith("show.toml:6:6")
    assert str(locate(("cue", 1, "id"))).endswith("cues.csv:4:3")
    assert str(locate(("cue", 2, "time_s"))).endswith("cues.csv:6:1")
    assert str(locate(("cue", 2, "pulse_s"))).endswith("cues.csv:6:1")
    assert str(locate(("cue", 3))).endswith("show.toml:5:1")
    digest = hashlib.sha256((tmp_path / "cues.csv").read_bytes()).hexdigest()
    assert document.included == ((str(tmp_path / "cues.csv"), digest),)


@pytest.mark.parametrize(
    ("text", "value"),
    [("0", 0.0), ("62.5", 62.5), ("-1.5", -1.5), ("1:02.5", 62.5), ("0:05", 5.0),
     ("90:00", 5400.0), ("1:30:00.25", 5400.25), ("-0:10", -10.0), ("1e2", 100.0)],
)  # fmt: skip
def test_times(text: str, value: float) -> None:
    assert read_seconds(text) == value


@pytest.mark.parametrize(
    "text",
    ["", ":", "1:", "1:60", "1:75:00", "1:2:3:4", "nan", "inf", "1,5", "1 000", "0x10", "1_0",
     "٣", "--1"],
)  # fmt: skip
def test_what_is_no_time(text: str) -> None:
    with pytest.raises(ValueError):
        # Digits of other scripts are numbers to Python, not to a cue list.
        read_seconds(text)


def test_quotes() -> None:
    rows, problems = split_rows('"a ""b""";c\n"d;\ne" ;f', ";")
    assert [[c.text for c in r] for r in rows] == [['a "b"', "c"], ["d;\ne", "f"]]
    assert not problems


def test_a_link_out_of_the_folder_is_refused(tmp_path: Path) -> None:
    outside = tmp_path / "outside.csv"
    outside.write_text("Name,Circuit,When\n", encoding="utf-8")
    folder = tmp_path / "show"
    folder.mkdir()
    file = show_with(folder, "")
    (folder / "cues.csv").unlink()
    (folder / "cues.csv").symlink_to(outside)
    with pytest.raises(InputError) as caught:
        load_show(file)
    (finding,) = caught.value.findings
    assert finding.code == "DOC016"
    assert finding.message == "the cue list is not inside the show's folder"


@pytest.mark.parametrize(
    "name", ["..\\cues.csv", "C:\\cues.csv", "C:cues.csv", "a\0b", "", " ", "."]
)
def test_odd_file_names_are_refused(tmp_path: Path, name: str) -> None:
    file = show_with(tmp_path, "")
    data = {"format": 1, "title": "x", "kits": [], "cue_list": {"file": name, "columns": {}}}
    file = write(tmp_path, "odd", data, "json")
    with pytest.raises(InputError) as caught:
        load_show(file)
    assert [f.code for f in caught.value.findings] == ["DOC016"]


def test_50_megabytes_are_refused(tmp_path: Path) -> None:
    file = show_with(tmp_path, "")
    with (tmp_path / "cues.csv").open("wb") as stream:
        stream.truncate(50_000_000)
    with pytest.raises(InputError) as caught:
        load_show(file)
    (finding,) = caught.value.findings
    assert finding.code == "DOC016"
    assert "too large: 50.0 MB" in finding.message


@pytest.mark.parametrize(
    ("text", "more", "message", "remedy"),
    [
        ("Name;Circuit;When\na;b/1/1;1\n", {}, 'parted by ","', 'State delimiter = ";"'),
        ("Name\tCircuit\tWhen\na\tb/1/1\t1\n", {}, 'parted by ","', 'State delimiter = "\\t"'),
        ("Name;Circuit;When\na;b/1/1;1,5\n", {"delimiter": ";"}, '"1,5"', 'State decimal = ","'),
        ("Name,Circuit,When\na,b/1/1,1,5\n", {}, "more cells", "A decimal comma needs"),
        ("Name,Circuit,When\na,b/1/1,1,late\n", {}, "more cells", ""),
        ("Name,Circuit,When,Note\na,b/1/1,1,5,\n", {}, "1,5 may be one", "A decimal comma needs"),
        ("Name,Circuit,When,Note\na,b/1/1,1:02,50,\n", {}, "1:02,50 may be", "A decimal comma"),
        ("Name,Circuit,When\na,b/1/1,soon\n", {}, '"soon"', ""),
    ],
)
def test_a_list_written_another_way_is_told_how_to_be_read(
    tmp_path: Path, text: str, more: dict[str, Any], message: str, remedy: str
) -> None:
    """One finding, not one for every column."""
    with pytest.raises(InputError) as caught:
        load_show(show_with(tmp_path, text, **more))
    (finding,) = caught.value.findings
    assert finding.code == "DOC016"
    assert message in finding.message
    assert finding.remedy.startswith(remedy)
    assert bool(finding.remedy) == bool(remedy)


@pytest.mark.parametrize("row", ["a,b/1/1,1,5", "a,b/1/1,1.5,,,", "a,b/1/1,1,late,,"])
def test_blank_cells_at_the_end_are_passed_over(tmp_path: Path, row: str) -> None:
    show, _ = load_show(show_with(tmp_path, f"Name,Circuit,When,Note\n{row}\n"))
    assert show.cue[-1].id == "a"


def test_text_of_a_spreadsheet_names_its_encoding(tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        load_show(show_with(tmp_path, "Name,Circuit,When\n".encode("utf-16")))
    assert '"utf-16"' in caught.value.findings[0].remedy
