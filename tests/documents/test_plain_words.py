"""What people type wrong is told in plain words, with what to do about it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from bridgewire.diagnostics import Finding
from bridgewire.documents.json_format import parse_json
from bridgewire.documents.loader import load_bench, load_kit, load_show
from bridgewire.documents.site_loader import load_site
from bridgewire.documents.toml_format import parse_toml
from bridgewire.documents.yaml_format import parse_yaml
from bridgewire.errors import InputError

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize(
    ("line", "words", "do"),
    [
        ("time_s = 30,5", "decimal comma", "Write a decimal point: 30.5."),
        ("x = { min = -4,5, max = 5 }", "decimal comma", "Write a decimal point: -4.5."),
        ("time_s = 0:30", "colons", "Write seconds: 30."),
        ("time_s = 1:02:03.5", "colons", "Write seconds: 3723.5."),
        ("pulse_s = 2 s", "unit", "in the unit that the key names"),
        ("x = { typical = 18 m, tol = 1 }", "unit", "in the unit that the key names"),
        ("temperature_C = -4 °C", "unit", "in the unit that the key names"),
        ("pulse_s = 02", "nought", "leading noughts"),
        ("pulse_s = .5", "point", "0.5"),
        ("ambient_C = −4", "minus sign", '"-"'),
        ("id = lances", "no quotes", '"lances"'),
        ("id = west lances # the slow ones", "no quotes", '"west lances"'),
        ("id = “lances”", "typographic", "straight quotes"),
        ('id = "lances', "never closed", "closing quote"),
        ("id = 'lances", "never closed", "closing quote"),
        ('id = "one" two', "after the closing quote", "one pair of quotes"),
        ('file = "C:\\Users\\crew"', "escape", '"/"'),
        ("together = True", "no value", "true or false"),
        ("pulse_s = null", "no value", "Leave out"),
        ("pulse_s =", "no value after", "remove the key"),
        ("pulse_s: 2.0", '":" between', '"="'),
        ("pulse_s 2.0", 'no "="', "one key"),
        ("länge = 2.0", '"ä"', "quotes"),
        ("[[cue]", "heading is not closed", '"]]"'),
        ("[site", "heading is not closed", '"]"'),
        ("x = { typical = 18, }", "comma before", "Remove the comma"),
        ("x = { typical = 18,", "over the end of its line", "one line"),
        ("x = [1 2]", "no comma between", '","'),
        ("until = 31.12.2026", "date", "2026-12-31"),
        ("until = 2026-13-40", "no such day", "2026-12-31"),
        ("a = 1 b = 2", "more on this line", "one key"),
    ],
)
def test_slips_in_toml(line: str, words: str, do: str) -> None:
    problem = parse_toml(f'format = 1\n{line}\ntitle = "x"\n').problems[0]
    assert problem.message.startswith("not valid TOML: ")
    assert words in problem.message
    assert do in problem.expected + problem.remedy
    assert problem.span is not None
    assert 11 <= problem.span[0] <= 11 + len(line)


def test_no_word_of_the_parsers_own_tongue_is_left() -> None:
    for line in ("x = @", "= 1", "[]", "x = \x01", "a.b.c", "x = [", "x = {", '"', "x = 1 2", "?"):
        for problem in parse_toml(line).problems:
            for word in ("statement", "declaration", "namespace", "key/value", "initial", "hex"):
                assert word not in problem.message


def findings_of(folder: Path, more: str, *, top: str = "") -> tuple[Finding, ...]:
    file = folder / "night.toml"
    text = f'{top}format = 1\ntitle = "x"\nkits = ["club"]\n{more}'
    file.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_show(file)
    return caught.value.findings


CUE = '[[cue]]\nid = "a"\nfire = "b/1/1"\ntime_s = 1\n'
RUN = '[[run]]\nfrom = "b/1"\nto = "s"\ncable = "c"\n'


@pytest.mark.parametrize(
    ("line", "suggestion"),
    [
        ('pulse_s = "2 s"', "2 (without quotes and unit)"),
        ('pulse_s = "2,5"', "2.5 (without quotes)"),
        # Another unit is another number: nobody is told to write 500 s for 500 ms.
        ('pulse_s = "500 ms"', "write the number alone, in the unit that the key names"),
        ('pulse_s = "1,500"', "write a decimal point, and nothing between thousands"),
        ('effect_at_s = "1:02.5"', "62.5 (seconds, as a number)"),
        ("effect_at_s = 00:01:02", "62 (seconds, as a number)"),
        ('pulse_s = "soon"', ""),
        ('pulse_s = "1e999"', ""),
    ],
)
def test_which_number_a_text_is_meant_to_be(tmp_path: Path, line: str, suggestion: str) -> None:
    (finding,) = findings_of(tmp_path, CUE + line + "\n")
    assert (finding.code, finding.suggestion) == ("DOC006", suggestion)


def test_a_tolerance_in_per_cent_has_a_key_of_its_own(tmp_path: Path) -> None:
    (finding,) = findings_of(tmp_path, RUN + 'length_m = { typical = 18, tol = "3 %" }\n')
    assert finding.suggestion == "for per cent write tol_pct = 3"


def test_a_key_of_another_unit_is_not_just_renamed(tmp_path: Path) -> None:
    first, second = findings_of(tmp_path, RUN + "length_cm = 1800\nparralel = 2\n")
    assert (first.suggestion, second.suggestion) == ("length_m", "parallel")
    assert first.remedy == "The key names the unit: convert the value too."
    assert second.remedy == ""


def test_a_key_under_the_wrong_heading_is_told_where_it_belongs(tmp_path: Path) -> None:
    (top,) = findings_of(tmp_path, CUE, top="pulse_s = 2\n")
    assert top.remedy == "'pulse_s' belongs under [[cue]]."
    (below,) = findings_of(tmp_path, CUE + "cue_list = {}\n")
    assert below.remedy == ("'cue_list' belongs at the top of the file, before the first heading.")
    (nested,) = findings_of(tmp_path, CUE + 'reason = "late"\n')
    assert nested.remedy == "'reason' belongs under [[checks.ignore]]."


@pytest.mark.parametrize(
    ("file", "is_a", "loaded_as"),
    [
        ("profiles/generic.toml", "a kit profile", "a show"),
        ("profiles/generic.toml", "a kit profile", "a bench record"),
        ("profiles/harrowmere.toml", "a kit profile", "a plan site"),
        ("examples/regatta-plan/site.toml", "a plan site", "a show"),
        ("examples/regatta-plan/site.toml", "a plan site", "a bench record"),
        ("examples/bench-evening/record.toml", "a bench record", "a show"),
        ("examples/bench-evening/record.toml", "a bench record", "a plan site"),
        ("examples/midwinter-small.toml", "a show", "a bench record"),
        ("examples/midwinter-small.toml", "a show", "a plan site"),
        ("examples/midwinter-small.toml", "a show", "a kit profile"),
        ("examples/regatta-plan/site.toml", "a plan site", "a kit profile"),
        ("examples/bench-evening/record.toml", "a bench record", "a kit profile"),
    ],
)
def test_a_file_of_another_kind_gets_one_answer(file: str, is_a: str, loaded_as: str) -> None:
    loaders: dict[str, Callable[[Path], object]] = {
        "a show": load_show,
        "a kit profile": load_kit,
        "a bench record": load_bench,
        "a plan site": load_site,
    }
    with pytest.raises(InputError) as caught:
        loaders[loaded_as](ROOT / file)
    (finding,) = caught.value.findings
    assert finding.message == f"this is {is_a}, not {loaded_as}"
    assert "bridgewire" in finding.remedy


HEAD = "format: 1\ntitle: Boathouse Proms\nkits: []\n"


@pytest.mark.parametrize(
    ("text", "line", "words", "do"),
    [
        (HEAD + "site:\n\tambient_C: 5\n", 5, "a tab", "spaces"),
        ("title: Proms: at the Boathouse\n" + HEAD, 1, '":" cannot stand', "in quotes"),
        # The place is where the slip is, not where the parser gives up.
        (HEAD + "time_s:30.0\nother: 1\n", 4, 'no ":" after this key', "space after"),
        ("format: 1\ntitle: \"Proms\nkits: []\nsite: 'x'\n", 2, "never closed", "Close"),
        (HEAD + "cue: - id: a\n", 4, '"-" cannot stand', "line of its own"),
        (HEAD + "box: @heron\n", 4, "cannot start a value", "in quotes"),
        (HEAD + "cue:\n  - id: a\n   fire: b/1/1\n", 6, "list above", '"-"'),
    ],
)
def test_slips_in_yaml(text: str, line: int, words: str, do: str) -> None:
    problem = parse_yaml(text).problems[0]
    assert problem.message.startswith("not valid YAML: ")
    assert words in problem.message
    assert do in problem.remedy
    assert problem.span is not None
    assert text.count("\n", 0, problem.span[0]) + 1 == line


@pytest.mark.parametrize(
    ("text", "lines", "words", "do"),
    [
        ('{"format": 1\n "title": "x",\n "kits": []\n}', [2], "no comma", ""),
        ('{"format": 1\n "title": "x"\n "kits": [1,]\n}', [2, 3, 3], "no comma", ""),
        ('{"format": 1,\n // ours\n "title": "x"}', [2], "a remark", "TOML or YAML"),
        ('{"format": 1,\n "title": \'x\'}', [2], "single quotes", "double quotes"),
        ('{"format": 1,\n "title": "C:\\Users"}', [2], "escape", '"/"'),
        ('{"format": 1,\n "title": "Boat\nhouse"}', [2], "not closed on its line", "Close"),
        ('{"format": True}', [1], "no value", "true, false"),
        ('{"format" = 1}', [1], 'no ":"', ""),
        ('{"format": 1}}', [1], "after the end", ""),
    ],
)
def test_slips_in_json(text: str, lines: list[int], words: str, do: str) -> None:
    """One missing comma is one problem: what follows it is not called wrong as well."""
    problems = parse_json(text).problems
    assert problems[0].message.startswith("not valid JSON: ")
    assert words in problems[0].message
    assert do in problems[0].remedy
    assert [text.count("\n", 0, (p.span or (0, 0))[0]) + 1 for p in problems] == lines
