"""What tests of bench records set up alike: wirings and shots as TOML, findings, valid JSON."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import jsonschema
import pytest

from bridgewire.diagnostics import Finding
from bridgewire.documents.schema import schemas_dir
from bridgewire.errors import InputError


def wiring(
    table: str, box: tuple[str, str], strip: tuple[str, str], cable: str, length_m: float
) -> str:
    """One strip on one run: id and kind of box and strip, as tables under `table`."""
    return f"""\
[[{table}.box]]
id = "{box[0]}"
kind = "{box[1]}"
[[{table}.strip]]
id = "{strip[0]}"
kind = "{strip[1]}"
[[{table}.run]]
from = "{box[0]}/1"
to = "{strip[0]}"
cable = "{cable}"
length_m = {length_m:g}
"""


def fresh(ident: str, at: str, klass: str) -> str:
    """A fresh igniter of a trial."""
    return f'[[trial.igniter]]\nid = "{ident}"\nat = "{at}"\nclass = "{klass}"\n'


def shot(fire: str, pulse_s: float) -> str:
    """A shot of a trial."""
    return f'[[trial.shot]]\nfire = "{fire}"\npulse_s = {pulse_s}\n'


def seen(*lines: str) -> str:
    """What was seen of an igniter in the shot before it."""
    return "[[trial.shot.seen]]\n" + "\n".join(lines) + "\n"


def with_trials(record: str, *trials: str) -> str:
    """A record that has these trials in the place of ``trial = []``."""
    assert "trial = []\n" in record
    return record.replace("trial = []\n", "") + "".join(trials)


def findings_of(call: Callable[..., object], *arguments: Any, **more: Any) -> list[Finding]:
    """All that keeps a call from its input."""
    with pytest.raises(InputError) as caught:
        call(*arguments, **more)
    return list(caught.value.findings)


def valid(text: str, kind: str) -> dict[str, Any]:
    """JSON that a command wrote, held against the schema of that name."""
    data: dict[str, Any] = json.loads(text)
    schema = json.loads((schemas_dir() / f"{kind}-1.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(data)
    return data
