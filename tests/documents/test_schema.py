"""The shipped JSON Schemas are fresh and agree with the loaders."""

from __future__ import annotations

import copy
import json
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bridgewire.documents.cue_cells import COLUMNS
from bridgewire.documents.formats import to_current
from bridgewire.documents.problems import Problem
from bridgewire.documents.schema import (
    DOCUMENTS,
    key_notes,
    main,
    schema_file,
    schema_of,
    schema_text,
)
from bridgewire.documents.structure import structure

HERE = Path(__file__).parent
VALIDATORS = {n: jsonschema.Draft202012Validator(schema_of(n)) for n in DOCUMENTS}


@pytest.mark.parametrize("name", list(DOCUMENTS))
def test_the_shipped_schema_is_fresh(name: str) -> None:
    text = schema_file(name).read_text(encoding="utf-8")
    assert text == schema_text(name), "run: python -m bridgewire.documents.schema --write"


def test_the_command_tells_stale_from_fresh(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("bridgewire.documents.schema.schemas_dir", lambda: tmp_path / "s")
    assert main([]) == 1
    assert "stale" in capsys.readouterr().out
    assert main(["--write"]) == 0
    assert main([]) == 0


@pytest.mark.parametrize("name", list(DOCUMENTS))
def test_the_schema_is_a_schema(name: str) -> None:
    schema = schema_of(name)
    jsonschema.Draft202012Validator.check_schema(schema)
    assert schema["$id"] == f"urn:bridgewire:schema:{name}:1"
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    references = {v for k, v in walk(schema) if k == "$ref"}
    assert references == {f"#/$defs/{n}" for n in schema["$defs"]}


def walk(value: Any) -> Iterator[tuple[str, Any]]:
    if isinstance(value, dict):
        for key, item in value.items():
            if isinstance(item, str):
                yield key, item
            yield from walk(item)
    elif isinstance(value, list):
        for item in value:
            yield from walk(item)


def test_the_columns_of_a_cue_list_can_be_completed() -> None:
    columns = schema_of("show")["$defs"]["CueList"]["properties"]["columns"]
    assert columns["propertyNames"]["enum"] == list(COLUMNS)


def test_every_key_is_described() -> None:
    """Editors show what a key means; the tables of the documentation say the same."""
    for name in DOCUMENTS:
        schema = schema_of(name)
        tables = [schema, *(d for d in schema["$defs"].values() if "required" in d)]
        described = [p for table in tables for p in table["properties"].values()]
        assert len(described) > 50
        assert all(p["description"] for p in described)
    run = schema_of("show")["$defs"]["Run"]["properties"]
    assert run["from"]["description"] == key_notes()["Run"]["from"]


def data_of(file: Path) -> dict[str, Any]:
    return tomllib.loads(file.read_text(encoding="utf-8"))


GOOD = {
    "show": [data_of(HERE / "good" / "sketch.toml"), data_of(HERE / "good" / "band-forms.toml")],
    "kit": [data_of(HERE / "good" / "kit-all-supplies.toml")]
    + [data_of(f) for f in sorted((HERE.parents[1] / "profiles").glob("*.toml"))],
    "bench": [
        data_of(HERE / "good" / "bench-every-key.toml"),
        data_of(HERE.parents[1] / "examples" / "bench-evening" / "record.toml"),
    ],
    "site": [
        data_of(HERE / "good" / "site-every-key.toml"),
        data_of(HERE.parents[1] / "examples" / "regatta-plan" / "site.toml"),
    ],
}
BEYOND_SCHEMA = {
    # Rising order, ends of a tolerance, keys that need or exclude one another, and the model's
    # whole numbers (JSON Schema takes 1.0 for one) are beyond the schemas.
    "toml-bad-bands",
    "toml-contradictions",
    "toml-nested-paths",
}


@pytest.mark.parametrize(
    ("name", "data"), [(n, d) for n, all_data in GOOD.items() for d in all_data]
)
def test_both_take_good_documents(name: str, data: dict[str, Any]) -> None:
    VALIDATORS[name].validate(data)
    problems: list[Problem] = []
    assert structure(data, DOCUMENTS[name], problems) is not None
    assert not problems


SHAPE = {"DOC004", "DOC005", "DOC006", "DOC007", "DOC019"}
"""Codes of what the structure alone tells, without parsing or the cue list."""


def bad_documents() -> Iterator[tuple[str, str, dict[str, Any]]]:
    for case in sorted((HERE / "bad").iterdir()):
        file = case / "input.toml"
        expected = tomllib.loads((case / "expected.toml").read_text(encoding="utf-8"))
        codes = {f["code"] for f in expected["finding"]}
        in_document = all("file" not in f for f in expected["finding"])
        codes -= {"DOC004"} if case.name == "csv-unknown-key" else set()
        if file.exists() and in_document and codes and codes <= SHAPE:
            yield case.name, expected["loads"], tomllib.loads(file.read_bytes().decode("utf-8-sig"))


@pytest.mark.parametrize(
    ("case", "name", "data"), list(bad_documents()), ids=lambda v: v if isinstance(v, str) else ""
)
def test_both_refuse_bad_documents(case: str, name: str, data: dict[str, Any]) -> None:
    data = json.loads(json.dumps(data, default=str))
    problems: list[Problem] = []
    assert structure(data, DOCUMENTS[name], problems) is None
    assert problems
    assert not VALIDATORS[name].is_valid(data) or case in BEYOND_SCHEMA


ODD: list[Any] = [None, True, -1, 0, 1, 1.5, 1e6, 500, "", "x", "battery", "a/b", [], {}, [1, 2],
                  {"min": 1, "max": 2}, {"typical": 1, "tol": -1}, {"typical": 3},
                  {"kind": "regulated"}, ["a"], [{"id": "a"}]]  # fmt: skip


def spots(value: Any) -> Iterator[tuple[Any, Any]]:
    """Yield every container and key below a value."""
    items = value.items() if isinstance(value, dict) else enumerate(value)
    for key, item in items:
        yield value, key
        if isinstance(item, (dict, list)):
            yield from spots(item)


@settings(max_examples=250, deadline=None)
@given(data=st.data())
def test_what_the_schema_refuses_the_loader_refuses(data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(list(DOCUMENTS)))
    document = copy.deepcopy(data.draw(st.sampled_from(GOOD[name])))
    container, key = data.draw(st.sampled_from(list(spots(document))))
    action = data.draw(st.sampled_from(["replace", "remove", "add"]))
    if action == "replace":
        container[key] = data.draw(st.sampled_from(ODD))
    elif action == "remove":
        del container[key]
    elif isinstance(container, dict):
        container[data.draw(st.sampled_from(["id", "kind", "x", "rows", "min"]))] = 1
    problems: list[Problem] = []
    current = to_current(document, problems)
    taken = current is not None and structure(current, DOCUMENTS[name], problems) is not None
    valid = VALIDATORS[name].is_valid(document)
    if taken:
        assert valid
    if not valid:
        assert problems
    # The schema takes what the loader refuses only for reasons that it cannot express.
    if valid and not taken:
        assert {p.code for p in problems} <= {"DOC005", "DOC007", "DOC019"}
        for problem in problems:
            if problem.code == "DOC007":
                assert "order" in problem.message or "of the band" in problem.got
