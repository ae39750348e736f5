from __future__ import annotations

import pytest

from bridgewire.diagnostics import Finding, Location
from bridgewire.report.problems import problem_lines, problems_text

PLACE = Location("club/regatta.toml", 12, 10, 'lenght_m = "20"', 4)


def test_a_problem_shows_place_snippet_path_and_hints() -> None:
    finding = Finding(
        "DOC004",
        "the key 'lenght_m' is not known here",
        path=("run", 2, "lenght_m"),
        expected="a key of a run",
        got='"lenght_m"',
        suggestion="length_m",
        location=PLACE,
    )
    assert problem_lines(finding) == [
        "club/regatta.toml:12:10: DOC004 the key 'lenght_m' is not known here",
        '    12 | lenght_m = "20"',
        "       |          ^^^^",
        "  at:       run[2].lenght_m",
        "  expected: a key of a run",
        '  got:      "lenght_m"',
        "  hint:     did you mean length_m?",
    ]


def test_all_problems_are_shown_and_counted() -> None:
    text = problems_text([Finding("DOC001", f"problem {n}") for n in range(37)])
    assert text.count("DOC001") == 37
    assert text.endswith("37 problems; nothing was checked.\n")


def test_the_file_is_named_where_others_are_gone_on_with() -> None:
    text = problems_text([Finding("DOC001", "there is no such file")], file="a\x1b.toml")
    assert text.endswith("1 problem in a\\x1b.toml: it was not checked.\n")


@pytest.mark.parametrize("column", [1, 40, 200, 399])
def test_a_long_line_is_cut_round_the_place(column: int) -> None:
    line = "".join(chr(ord("a") + n % 26) for n in range(400))
    place = Location("a.toml", 3, column, line, 5)
    _, source, caret, *_ = problem_lines(Finding("DOC002", "m", location=place), width=80)
    assert len(source) <= 80
    at = caret.index("^")
    assert source[at] == line[column - 1]


def test_the_caret_stands_under_its_place_after_escapes() -> None:
    place = Location("a.toml", 1, 4, "ab\x1bcd", 2)
    _, source, caret, *_ = problem_lines(Finding("DOC002", "m", location=place))
    assert "\x1b" not in source
    assert source[caret.index("^")] == "c"


def test_a_place_at_the_end_of_a_line_has_one_caret() -> None:
    place = Location("a.toml", 1, 8, "title =", 1)
    _, source, caret, *_ = problem_lines(Finding("DOC002", "m", location=place))
    assert caret.count("^") == 1
    assert caret.index("^") == len(source)


def test_names_cannot_act_on_the_terminal() -> None:
    place = Location("\x1b]0;x\x07.toml", 1, 1, "\x1b[2J", 1)
    finding = Finding(
        "DOC004", "key '\x1b[2J'", path=("\x1b[H",), got="\x9b2J", remedy="\u202e", location=place
    )
    text = problems_text([finding])
    assert text.replace("\n", "").isprintable()
