"""The filled-in trial form of a bench record."""

from __future__ import annotations

from pathlib import Path

import pytest

from bridgewire.documents.loader import load_bench
from bridgewire.errors import InputError
from bridgewire.model.show import Repeat

RECORD = """\
format = 1
title = "Evening"
kits = []
[results]
file = "form.csv"
[meter]
time_tol_s = 0.1
[[trial]]
id = "1"
box = [{ id = "heron-1", kind = "heron" }]
strip = [{ id = "a", kind = "strip" }]
run = [{ from = "heron-1/1", to = "a", cable = "c" }]
"""
HEAD = "trial,shot,igniter,class,place,pulse_s,repeat_times,repeat_gap_s,lit\n"
NEAR, FAR = "1,1,near,clip,a/1,0.5,", "1,1,far,clip,a/1,0.5,"


def record(folder: Path, rows: str, head: str = HEAD) -> Path:
    (folder / "form.csv").write_text(head + rows, encoding="utf-8")
    file = folder / "evening.toml"
    file.write_text(RECORD, encoding="utf-8")
    return file


def messages(folder: Path, rows: str, head: str = HEAD) -> list[tuple[str, str]]:
    with pytest.raises(InputError) as caught:
        load_bench(record(folder, rows, head))
    return [(f.code, f.message) for f in caught.value.findings]


def test_rows_of_one_shot_are_put_together(tmp_path: Path) -> None:
    rows = f"{NEAR}2,0.05,yes\n{FAR},,no\n"  # the second row leaves the repeats to the first
    loaded, _ = load_bench(record(tmp_path, rows))
    (shot,) = loaded.trial[0].shot
    assert (shot.fire, shot.pulse_s, shot.repeat) == ("heron-1/1/1", 0.5, Repeat(2, 0.05))
    assert [(s.igniter, s.lit) for s in shot.seen] == [("near", True), ("far", False)]


def test_rows_that_disagree_about_the_repeats_of_a_shot_are_named(tmp_path: Path) -> None:
    assert messages(tmp_path, f"{NEAR}2,0.05,yes\n{FAR}3,0.05,no\n") == [
        ("DOC019", '"times" of shot "1" is another here than before')
    ]
    assert messages(tmp_path, f"{NEAR}2,0.05,yes\n{FAR}2,0.06,no\n") == [
        ("DOC019", '"gap_s" of shot "1" is another here than before')
    ]


def test_a_cell_that_cannot_be_read_names_its_column(tmp_path: Path) -> None:
    assert messages(tmp_path, f"{NEAR}twice,0.05,maybe\n") == [
        ("DOC007", '"twice" cannot be read as "repeat_times"'),
        ("DOC007", '"maybe" cannot be read as "lit"'),
    ]


def test_headings_that_are_wanted_together(tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        load_bench(record(tmp_path, " \n", head=""))
    assert caught.value.findings  # an empty file is no form
    found = messages(tmp_path, "", head="trial,shot,igniters,lit\n")
    assert ("DOC004", 'the form has no column "igniters"') in found
    assert ("DOC005", 'there is no column headed "igniter"') in found


def test_an_igniter_that_moves_between_rows_is_named(tmp_path: Path) -> None:
    found = messages(tmp_path, f"{NEAR}2,0.05,no\n1,2,near,clip,a/2,0.5,,,yes\n")
    assert found == [("DOC019", 'the place of igniter "near" is another here than before')]
