"""A show that cannot be read whole still has its references checked, without guessing."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bridgewire import InputError, load_show
from bridgewire.diagnostics import Finding, format_path

HEAD = 'format = 1\ntitle = "a"\nkits = ["generic"]\n'
BOX = '[[box]]\nid = "b"\nkind = "battery-matrix"\n'
STRIP = '[[strip]]\nid = "s"\nkind = "strip-8"\n'
RUN = '[[run]]\nfrom = "b/1"\nto = "s"\ncable = "pair-24awg-solid"\nlength_m = 5\n'
IGNITER = '[[igniter]]\nid = "i"\nat = "s/1"\nclass = "electric-match"\n'
CUE = '[[cue]]\nid = "c"\nfire = "b/1/1"\ntime_s = 1\n'
BAD_CUE = '[[cue]]\nid = "d"\nfire = "b/1/2"\ntime_s = "soon"\n'


def problems(folder: Path, *parts: str) -> set[tuple[str, str]]:
    file = folder / "show.toml"
    file.write_text("".join(parts), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_show(file)
    assert all(f.location is not None for f in caught.value.findings)
    return {(f.code, format_path(f.path)) for f in caught.value.findings}


def test_wrong_types_do_not_hide_dangling_references(tmp_path: Path) -> None:
    wrong = IGNITER.replace("electric-match", "electric-mach")
    found = problems(tmp_path, HEAD, BOX, STRIP, RUN, BAD_CUE, wrong, CUE.replace("b/1", "x/1"))
    assert found == {
        ("DOC006", "cue[0].time_s"),
        ("DOC011", "igniter[0].class"),
        ("DOC011", "cue[1].fire"),
    }


def test_what_a_broken_item_would_have_defined_is_not_missed(tmp_path: Path) -> None:
    broken = STRIP + "first_way = -1\n"
    found = problems(tmp_path, HEAD, BOX, broken, RUN, IGNITER, CUE)
    assert found == {("DOC007", "strip[0].first_way")}


def test_an_item_without_a_readable_id_may_be_any(tmp_path: Path) -> None:
    nameless = STRIP.replace('id = "s"', "id = 7")
    assert problems(tmp_path, HEAD, BOX, nameless, RUN, IGNITER) == {("DOC006", "strip[0].id")}


def test_a_strip_whose_run_is_broken_is_not_called_unwired(tmp_path: Path) -> None:
    run = RUN.replace("length_m = 5", "length_m = -5")
    cue = CUE.replace('fire = "b/1/1"', 'target = "i"')
    assert problems(tmp_path, HEAD, BOX, STRIP, run, IGNITER, cue) == {
        ("DOC007", "run[0].length_m")
    }


def test_an_unknown_kit_does_not_hide_faults_of_the_wiring(tmp_path: Path) -> None:
    head = HEAD.replace('["generic"]', '["generic", "genric"]')
    wrong = BOX.replace("battery-matrix", "of-the-other-kit")
    found = problems(tmp_path, head, wrong, STRIP, RUN, RUN, CUE, CUE)
    assert found == {("DOC011", "kits[1]"), ("DOC013", "run[1].to"), ("DOC010", "cue[1].id")}


def test_an_unknown_kit_and_a_wrong_type_are_told_together(tmp_path: Path) -> None:
    head = HEAD.replace('["generic"]', '[7, "genric"]')
    assert problems(tmp_path, head, BOX, BAD_CUE) == {
        ("DOC006", "kits[0]"),
        ("DOC006", "cue[0].time_s"),
        ("DOC011", "kits[1]"),
    }


def test_kits_that_are_no_list_say_nothing_of_references(tmp_path: Path) -> None:
    head = HEAD.replace('["generic"]', "3")
    assert problems(tmp_path, head, BOX, STRIP, RUN, RUN) == {
        ("DOC006", "kits"),
        ("DOC013", "run[1].to"),
    }


def test_messages_speak_of_places_in_the_whole_file(tmp_path: Path) -> None:
    file = tmp_path / "show.toml"
    file.write_text(HEAD + BOX + BAD_CUE + CUE + CUE, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_show(file)
    twice = next(f for f in caught.value.findings if f.code == "DOC010")
    assert format_path(twice.path) == "cue[2].id"
    first = (HEAD + BOX + BAD_CUE).count("\n") + 2  # under its heading
    assert twice.message == f"cue 'c' is already at line {first}"


@pytest.mark.parametrize("text", ["", "format = 1\n", "cue = 3\n", 'kits = ["generic"\n', "x"])
def test_nothing_useful_left_is_no_trouble(tmp_path: Path, text: str) -> None:
    assert problems(tmp_path, text)


PIECES = (HEAD, BOX, STRIP, RUN, IGNITER, CUE, BAD_CUE)
LINES = [line for piece in PIECES for line in piece.splitlines()]


@settings(
    max_examples=150,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    order=st.lists(st.sampled_from(PIECES), max_size=8),
    edits=st.lists(
        st.tuples(
            st.integers(0, 60),
            st.sampled_from([*LINES, "", "x = 1", "id = 7", "at_m = 3", "kits = 3", "box = 3"]),
        ),
        max_size=4,
    ),
)
def test_whatever_is_wrong_every_finding_has_its_place(
    tmp_path: Path, order: list[str], edits: list[tuple[int, str]]
) -> None:
    lines = "".join([HEAD, *order]).splitlines()
    for at, line in edits:
        lines[at % len(lines)] = line
    file = tmp_path / "show.toml"
    file.write_text("\n".join(lines), encoding="utf-8")
    found: tuple[Finding, ...] = ()
    try:
        load_show(file)
    except InputError as error:
        found = error.findings
    for finding in found:
        assert finding.location is not None
        assert 1 <= finding.location.line <= len(lines) + 1


@pytest.mark.parametrize("name", ["the crew's", "s'", "'s'"])
def test_an_apostrophe_in_a_name_makes_no_dangling_reference(tmp_path: Path, name: str) -> None:
    strip = STRIP.replace('"s"', f'"{name}"') + "position = 7\n"
    igniter = IGNITER.replace("s/1", f"{name}/1")
    cue = CUE.replace('fire = "b/1/1"', f'target = "{name}/1"')
    run = RUN.replace('"s"', f'"{name}"')
    found = problems(tmp_path, HEAD, BOX, strip, run, igniter, cue)
    assert found == {("DOC006", "strip[0].position")}
