"""A document path leads to the text of its value, in every format."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bridgewire.diagnostics import DocPath
from bridgewire.documents.json_format import parse_json
from bridgewire.documents.loader import load_document
from bridgewire.documents.source import SourceMap, SpanTable
from bridgewire.documents.toml_format import parse_toml
from bridgewire.documents.yaml_format import parse_yaml
from tests.documents.formats import ENDINGS, toml_text, write

GOOD = Path(__file__).parent / "good"


def leaves(value: Any, path: DocPath = ()) -> Iterator[tuple[DocPath, Any]]:
    if isinstance(value, dict):
        for key, item in value.items():
            yield from leaves(item, (*path, key))
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from leaves(item, (*path, index))
    else:
        yield path, value


def marked(spans: SourceMap, path: DocPath) -> str:
    place = spans.locate(path)
    return place.snippet[place.column - 1 :][: place.width]


@pytest.mark.parametrize("name", ["sketch", "band-forms", "kit-all-supplies"])
def test_places_in_hand_written_toml(name: str) -> None:
    document = load_document(GOOD / f"{name}.toml")
    found = list(leaves(document.data))
    assert len(found) > 30
    for path, value in found:
        assert tomllib.loads(f"x = {marked(document.spans, path)}") == {"x": value}, path


@pytest.mark.parametrize("name", ["sketch", "band-forms", "kit-all-supplies"])
@pytest.mark.parametrize("ending", ENDINGS)
def test_places_in_written_documents(tmp_path: Path, name: str, ending: str) -> None:
    data = tomllib.loads((GOOD / f"{name}.toml").read_text(encoding="utf-8"))
    text = write(tmp_path, "x", data, ending).read_text(encoding="utf-8")
    parse = {"toml": parse_toml, "yaml": parse_yaml, "json": parse_json}[ending]
    parsed = parse(text)
    table = parsed.build()
    assert parsed.data == data
    for path, value in leaves(data):
        start, end = table.characters(table.values[path])
        assert again(text[start:end], ending) == value, path


def again(text: str, ending: str) -> Any:
    if ending == "toml":
        return tomllib.loads(f"x = {text}")["x"]
    return json.loads(text) if ending == "json" else (parse_yaml(f"x: {text}").data or {})["x"]


KEYS = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), min_size=1, max_size=6
)
VALUES = st.recursive(
    st.integers(-99, 99) | st.booleans() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=3),
    max_leaves=12,
)


@settings(max_examples=60, deadline=None)
@given(st.dictionaries(KEYS, VALUES, max_size=4))
def test_places_of_any_data(data: dict[str, Any]) -> None:
    texts = {"toml": toml_text(data), "json": json.dumps(data, ensure_ascii=False)}
    for ending, text in texts.items():
        parsed = (parse_toml if ending == "toml" else parse_json)(text)
        assert parsed.data == data
        table = parsed.build()
        for path, value in leaves(data):
            start, end = table.characters(table.values[path])
            assert again(text[start:end], ending) == value


def test_headers_and_keys() -> None:
    text = (
        "a.b = 1\n[[run]]\nx = 1\n[[run]]\n[run.fuse]\ny = 2\n"
        '["q u".sub]\nz = 3\n[run.fuse.deep.er]\nw = 4\n'
    )
    spans = SourceMap("x.toml", text, parse_toml(text).build)
    assert str(spans.locate(("a",))) == "x.toml:1:1"
    assert str(spans.locate(("run",))) == "x.toml:2:1"
    assert str(spans.locate(("run", 0))) == "x.toml:2:1"
    assert str(spans.locate(("run", 1))) == "x.toml:4:1"
    assert marked(spans, ("run", 1, "fuse")) == "[run.fuse]"
    assert str(spans.locate(("run", 1, "fuse", "y"))) == "x.toml:6:5"
    assert str(spans.locate_key(("run", 1, "fuse", "y"))) == "x.toml:6:1"
    assert str(spans.locate(("q u", "sub", "z"))) == "x.toml:8:5"
    assert str(spans.locate(("run", 1, "fuse", "deep", "er", "w"))) == "x.toml:10:5"


def test_what_is_not_there_leads_to_the_nearest_above() -> None:
    text = "[site]\nambient_C = 1\n"
    spans = SourceMap("x.toml", text, parse_toml(text).build)
    assert spans.locate(("site", "cable_slack_pct")) == spans.locate(("site",))
    assert str(spans.locate(("nothing", 3, "of", "this"))) == "x.toml:1:1"


def test_an_included_file_answers_for_what_it_knows() -> None:
    own = SourceMap("show.toml", "cue = []", lambda: SpanTable({(): (0, 1), ("cue",): (6, 8)}, {}))
    other = SourceMap("cues.csv", "id\none", lambda: SpanTable({("cue", 0): (3, 6)}, {}))
    both = own.including(other)
    assert str(both.locate(("cue", 0, "time_s"))) == "cues.csv:2:1"
    assert str(both.locate(("cue",))) == "show.toml:1:7"


def test_a_place_stays_within_its_line() -> None:
    spans = SourceMap("x", "ab\r\ncd\x1b\r\n", lambda: SpanTable({}, {}))
    place = spans.locate_span((5, 99))
    assert (place.line, place.column, place.width) == (2, 2, 2)
    assert place.snippet == "cd\ufffd"
    assert str(spans.locate_span((500, 501))) == "x:2:4"
