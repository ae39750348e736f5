"""Edits written into a show's own files."""

from __future__ import annotations

import difflib
import shutil
import tomllib
from pathlib import Path
from typing import Any

import pytest

from bridgewire.documents.loader import load_show
from bridgewire.remedies.edits import Append, Edit, Remove, Set, edited
from bridgewire.remedies.plain import plain_show
from bridgewire.remedies.write_back import WriteBackError, toml_with, write_back
from tests.remedies.cases import EXAMPLES

SHOWS = [f for f in sorted(EXAMPLES.glob("*.toml")) if "\n[[run]]" in f.read_text(encoding="utf-8")]


def changed_lines(before: str, after: str) -> list[str]:
    return [
        line for line in difflib.ndiff(before.splitlines(), after.splitlines()) if line[:1] in "+-"
    ]


@pytest.mark.parametrize("file", SHOWS, ids=lambda f: f.stem)
def test_only_what_is_edited_changes(file: Path) -> None:
    text = file.read_text(encoding="utf-8")
    assert toml_with(text, []) == text
    after = toml_with(text, [Set(("run", 0, "parallel"), 2)])
    assert changed_lines(text, after) == ["+ parallel = 2"]
    longer = toml_with(text, [Append(("run",), {"from": "a", "to": "b", "cable": "c"})])
    added = changed_lines(text, longer)
    assert [line for line in added if line.startswith("-")] == []
    assert [line for line in added if line.strip() != "+"] == [
        "+ [[run]]",
        '+ from = "a"',
        '+ to = "b"',
        '+ cable = "c"',
    ]


def test_the_comment_beside_a_value_stays() -> None:
    text = '[[run]]\nlength_m = { min = 1, max = 2 }  # by tape\nto = "b"\n'
    after = toml_with(text, [Set(("run", 0, "length_m"), 7.5)])
    assert after == '[[run]]\nlength_m = 7.5  # by tape\nto = "b"\n'


def test_the_last_item_of_a_list_takes_the_list_with_it() -> None:
    text = 'title = "x"\n\n[[splitter]]\nid = "s"\n\n[[run]]\nto = "b"\n'
    after = toml_with(text, [Remove(("splitter", 0))])
    assert "splitter" not in after
    assert after.endswith('[[run]]\nto = "b"\n')


def test_line_ends_of_windows_stay() -> None:
    text = 'title = "x"\r\n[[run]]\r\nto = "b"\r\n'
    after = toml_with(text, [Set(("run", 0, "parallel"), 2)])
    assert after.count("\r\n") == after.count("\n") == 4


def copied(tmp_path: Path) -> Path:
    shutil.copytree(EXAMPLES / "regatta-night", tmp_path / "show")
    return tmp_path / "show" / "show.toml"


def applied(file: Path, edits: list[Edit]) -> tuple[dict[str, Any], dict[str, Any]]:
    """The show after the edits were written, and what it should be, as plain data."""
    show, document = load_show(file)
    own = len(document.data.get("cue", []))
    wanted = edited(plain_show(show, document.data), edits)
    for path, raw in write_back(file, show, own, edits).items():
        path.write_bytes(raw)
    again, document = load_show(file)
    return plain_show(again, document.data), wanted


def test_cells_of_a_cue_list_change_and_nothing_else(tmp_path: Path) -> None:
    file = copied(tmp_path)
    before = (file.parent / "cues.csv").read_text(encoding="utf-8")
    found, wanted = applied(
        file, [Set(("cue", 3, "pulse_s"), 0.1), Set(("cue", 5, "time_s"), 61.5)]
    )
    assert found == wanted
    after = (file.parent / "cues.csv").read_text(encoding="utf-8")
    assert len(changed_lines(before, after)) == 4


def test_a_column_that_the_cue_list_lacks_is_added(tmp_path: Path) -> None:
    file = copied(tmp_path)
    found, wanted = applied(
        file,
        [
            Set(("cue", 3, "repeat"), {"times": 2, "gap_s": 0.5}),
            Set(("cue", 7, "repeat"), {"times": 1, "gap_s": 0.25}),
            Set(("cue", 9, "spread_s"), 0.2),
        ],
    )
    assert found == wanted


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_rows_of_a_cue_list_go_whole(ends: str, tmp_path: Path) -> None:
    file = copied(tmp_path)
    table = file.parent / "cues.csv"
    before = table.read_text(encoding="utf-8").splitlines()
    table.write_bytes((ends.join(before) + ends).encode())
    last = len(before) - 2
    edits: list[Edit] = [Remove(("cue", 3)), Remove(("cue", last)), Set(("cue", 4, "pulse_s"), 0.1)]
    found, wanted = applied(file, edits)
    assert found == wanted
    after = table.read_bytes().decode()
    assert len(after.splitlines()) == len(before) - 2
    assert after.count(ends) == len(before) - 2
    assert after.endswith(ends)


def test_a_value_of_a_cue_list_can_be_taken_away(tmp_path: Path) -> None:
    file = copied(tmp_path)
    show, _ = load_show(file)
    index = next(i for i, c in enumerate(show.cue) if c.latest_light_s is not None)
    found, wanted = applied(file, [Remove(("cue", index, "latest_light_s"))])
    assert found == wanted


def test_own_cues_and_those_of_the_list_can_change_together(tmp_path: Path) -> None:
    file = copied(tmp_path)
    table = file.parent / "cues.csv"
    before = table.read_text(encoding="utf-8")
    own = '\n[[cue]]\nid = "own"\nfire = "heron-1/1/1"\ntime_s = 1\npulse_s = 0.05  # mine\n'
    file.write_text(file.read_text(encoding="utf-8") + own, encoding="utf-8")
    found, wanted = applied(
        file,
        [
            Set(("cue", 0, "pulse_s"), 0.1),
            Set(("cue", 1, "pulse_s"), 0.2),
            Set(("run", 0, "parallel"), 2),
            Append(("position",), {"id": "new one", "at_m": [1, 2]}),
        ],
    )
    assert found == wanted
    assert "pulse_s = 0.1  # mine" in file.read_text(encoding="utf-8")
    assert len(changed_lines(before, table.read_text(encoding="utf-8"))) == 2


def test_other_formats_are_refused(tmp_path: Path) -> None:
    show, _ = load_show(EXAMPLES / "midwinter-small.toml")
    with pytest.raises(WriteBackError, match="only TOML"):
        write_back(tmp_path / "show.yaml", show, 0, [Set(("title",), "x")])


def test_what_a_cue_list_cannot_hold_is_refused(tmp_path: Path) -> None:
    file = copied(tmp_path)
    show, _ = load_show(file)
    with pytest.raises(WriteBackError, match="no lists in it"):
        write_back(file, show, 0, [Append(("cue", 3, "lights"), {"x": 1})])
    with pytest.raises(WriteBackError, match="no column for nonsense"):
        write_back(file, show, 0, [Set(("cue", 3, "nonsense"), 1)])


INTERLEAVED = """\
format = 1  # head
[site]
ambient_C = 10

# the west
[[strip]]
id = "a"  # one

[[run]]
to = "a"
[run.more]
x = [
  1,
]

# the east <script>
[[strip]]
id = "b"

[[run]]  # second
to = "b"
text = '''
# no comment
'''
# the end
"""


@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize(
    ("edit", "lines"),
    [
        (Set(("run", 1, "to"), "c"), ['- to = "b"', '+ to = "c"']),
        (Set(("strip", 0, "id"), "c"), ['- id = "a"  # one', '+ id = "c"  # one']),
        (Set(("format",), 2), ["- format = 1  # head", "+ format = 2  # head"]),
        (Set(("site", "ambient_C"), 5), ["- ambient_C = 10", "+ ambient_C = 5"]),
        (Set(("run", 0, "more", "y"), 3), ["+ y = 3"]),
        (Append(("strip",), {"id": "c"}), ["+ ", "+ [[strip]]", '+ id = "c"']),
        (Append(("cue",), {"id": "c"}), ["+ ", "+ [[cue]]", '+ id = "c"']),
        (Remove(("strip", 1)), ["- [[strip]]", '- id = "b"']),
    ],
    ids=str,
)
def test_interleaved_tables_stay_where_they_stand(edit: Edit, lines: list[str], end: str) -> None:
    text = INTERLEAVED.replace("\n", end)
    assert toml_with(text, []) == text
    after = toml_with(text, [edit])
    assert sorted(changed_lines(text, after)) == sorted(lines)
    meant = edited(tomllib.loads(INTERLEAVED), [edit])
    assert tomllib.loads(after) == meant


def test_several_edits_of_interleaved_tables() -> None:
    edits: list[Edit] = [
        Remove(("strip", 0)),
        Append(("run",), {"to": "d"}),
        Append(("run",), {"to": "e"}),
        Set(("strip", 1, "kind"), "k"),
        Remove(("run", 1, "text")),
    ]
    after = toml_with(INTERLEAVED, edits)
    assert tomllib.loads(after) == edited(tomllib.loads(INTERLEAVED), edits)
    assert [c for c in ("# head", "# the west", "# the east", "# the end") if c not in after] == []


def test_the_full_size_show_keeps_its_layout() -> None:
    text = (EXAMPLES / "regatta-night" / "show.toml").read_text(encoding="utf-8")
    after = toml_with(text, [Set(("run", 40, "parallel"), 2)])
    assert changed_lines(text, after) == ["+ parallel = 2"]
    assert tomllib.loads(after)["run"][40]["parallel"] == 2
