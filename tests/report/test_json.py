from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from attrs import evolve

import bridgewire
from bridgewire.report.comparison import Column
from bridgewire.report.json_report import comparison_data, report_data, reports_json
from tests.report.fixtures import small_report

SCHEMA = json.loads(
    (Path(bridgewire.__file__).parent / "schemas" / "report-1.json").read_text(encoding="utf-8")
)


def validate(text: str) -> Any:
    data = json.loads(text, parse_constant=lambda word: pytest.fail(f"{word} is no JSON"))
    jsonschema.Draft202012Validator(SCHEMA).validate(data)
    return data


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$id"] == "urn:bridgewire:schema:report:1"


def test_a_report_fits_the_schema() -> None:
    data = validate(reports_json([small_report()], "0"))
    (show,) = data["shows"]
    assert show["title"] == "Boathouse Proms, rehearsal"
    assert sum(show["verdict_counts"].values()) == 5
    assert len(show["findings"]) == len(small_report().findings)


def test_never_is_null() -> None:
    (show,) = json.loads(reports_json([small_report()], "0"))["shows"]
    igniters = [i for c in show["cues"] for i in c["igniters"]]
    nevers = [i for i in igniters if i["light_s"]["latest"] is None]
    found = [i for c in small_report().cues for i in c.igniters if math.isinf(i.light.latest)]
    assert len(nevers) == len(found) > 0


def test_infinite_numbers_of_findings_are_null() -> None:
    findings = tuple(evolve(f, measured=math.inf, limit=math.nan) for f in small_report().findings)
    data = validate(reports_json([evolve(small_report(), findings=findings)], "0"))
    assert all(f["measured"] is None for f in data["shows"][0]["findings"])


def test_a_comparison_fits_the_schema() -> None:
    report = small_report()
    columns = [Column("one", report), Column("other", None, report.findings[:2])]
    data = validate(reports_json([], "0", [comparison_data("f", "t", columns)]))
    assert [c["fires_the_show"] for c in data["comparisons"][0]["kit_lists"]][1] == "lacks parts"


def test_the_schema_refuses_what_is_not_in_it() -> None:
    show = report_data(small_report()) | {"surprise": 1}
    data = json.loads(reports_json([], "0")) | {"shows": [show]}
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft202012Validator(SCHEMA).validate(data)


def test_every_object_of_the_schema_is_closed() -> None:
    def objects(node: Any) -> list[dict[str, Any]]:
        found = [node] if isinstance(node, dict) and node.get("type") == "object" else []
        children = node.values() if isinstance(node, dict) else node
        if isinstance(node, (dict, list)):
            for child in children:
                found += objects(child)
        return found

    for item in objects(SCHEMA):
        assert item["additionalProperties"] is False
        assert sorted(item["required"]) == sorted(item["properties"])
