"""Shows, kits and records whose every name tries something."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from itertools import cycle
from pathlib import Path
from typing import Any

from attrs import frozen

from tests.documents.formats import write

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "examples"

IDS = (
    '<img src=x onerror=document.title="hit">',
    "=1+1",
    '"><svg onload=document.title="hit">',
    "@SUM(1)",
    "a;=1+1",
    "\u202egnp",
    "\x9b31mred",
    "`code`|cell|",
    "{{7*7}}{%raw%}",
    "]]>",
    "--><b>",
    "%0A%0Derror",
    "+1\x7f",
    "'); document.title='hit'; ('",
    "![x](y)&amp;",
)
"""Ids: no slash, colon or control character below a space can be in one."""
TEXTS = (
    "</title><script>document.title='hit'</script>",
    "javascript:document.title='hit'",
    "\x1b]0;owned\x07\x1b[31m",
    "http://192.0.2.1/x.png",
    "\r\n::error file=x::y\n::stop-commands::z",
    "=cmd|' /C calc'!A0",
    "</style><style>@import 'http://192.0.2.1/x.css'</style>",
    "*/ url(http://192.0.2.1/y.png)",
)


@frozen
class Files:
    """What commands are run on."""

    folder: Path
    show: str
    troubles: str
    short: str
    """The small show with one pulse that is too short."""
    kits: str
    record: str
    site: str
    answers: str
    trials: str
    baseline: str
    kit_id: str
    box: str
    igniter_class: str
    cable: str
    cue: str
    igniter: str
    trial: str


def plain_files(folder: Path) -> Files:
    """The examples, as they are."""
    return _files(folder, {}, ())


def hostile_files(folder: Path) -> Files:
    """The examples with other names."""
    show, kit = _read("midwinter-small.toml"), _kit()
    names = cycle(IDS)
    old = [*_ids(show), *_ids(_read("boathouse-troubles.toml")), *_ids(kit), "first"]
    new = {name: f"{next(names)}{n}" for n, name in enumerate(dict.fromkeys(old))}
    return _files(folder, new, TEXTS)


def _read(name: str) -> dict[str, Any]:
    return tomllib.loads((EXAMPLES / name).read_text(encoding="utf-8"))


def _kit() -> dict[str, Any]:
    return tomllib.loads((ROOT / "profiles" / "harrowmere.toml").read_text(encoding="utf-8"))


def _ids(data: Any) -> list[str]:
    if isinstance(data, dict):
        own = [data["id"]] if isinstance(data.get("id"), str) and data["id"] != "generic" else []
        return own + [i for v in data.values() for i in _ids(v)]
    return [i for v in data for i in _ids(v)] if isinstance(data, list) else []


def _files(folder: Path, new: dict[str, str], texts: Iterable[str]) -> Files:
    folder.mkdir(parents=True, exist_ok=True)
    kits = folder / "kits"
    kits.mkdir()
    words = cycle(texts or ("plain",))

    def renamed(value: Any, key: str = "") -> Any:
        if isinstance(value, dict):
            return {k: renamed(v, k) for k, v in value.items()}
        if isinstance(value, list):
            return [renamed(v, key) for v in value]
        if not isinstance(value, str):
            return value
        if texts and key in ("title", "lights", "remark", "note", "reason"):
            return f"{next(words)} {value}"
        head, slash, rest = value.partition("/")
        kit, colon, entry = value.partition(":")
        if colon and kit in new:
            return f"{new[kit]}:{new.get(entry, entry)}"
        return new.get(value, new.get(head, head) + slash + rest)

    def name(old: str) -> str:
        return new.get(old, old)

    kit_id = "harrowmere"
    if new:
        write(kits, "own", renamed(_kit()), "toml")
        kit_id = new["harrowmere"]
    show = write(folder, "show", renamed(_read("midwinter-small.toml")), "toml")
    troubles = write(folder, "troubles", renamed(_read("boathouse-troubles.toml")), "toml")
    small = _read("midwinter-small.toml")
    small["cue"][2]["pulse_s"] = 0.01
    short = write(folder, "short", renamed(small), "toml")
    site = write(folder, "site", renamed(SITE), "toml")
    record = write(folder, "record", renamed(RECORD), "toml")
    answers = EXAMPLES / "kit-evening" / "answers.toml"
    return Files(
        folder, str(show), str(troubles), str(short), str(kits), str(record), str(site),
        str(answers),
        str(EXAMPLES / "go-no-go" / "lantern-match.csv"), str(folder / "baseline.toml"), kit_id,
        name("heron"), name("lantern-match"), name("shore-cable"), name("lances"),
        name("west comet"), name("first"),
    )  # fmt: skip


SITE: dict[str, Any] = {
    "format": 1,
    "title": "Lake",
    "kits": ["harrowmere", "generic"],
    "box_places": ["boathouse"],
    "site": {"ambient_C": 4},
    "position": [{"id": "boathouse", "at_m": [0, 0]}, {"id": "west-bank", "at_m": [-14, 6]}],
    "wanted": [
        {"id": "west comet", "position": "west-bank", "class": "lantern-match", "time_s": 10}
    ],
    "stock": [
        {"item": "heron", "count": 1, "supply_V": {"typical": 21.2, "tol": 0.2}, "standby_s": 600},
        {"item": "jetty-strip-8", "count": 2},
        {"item": "shore-cable", "count": 1, "length_m": 100},
    ],
}
RECORD: dict[str, Any] = {
    "format": 1,
    "title": "Evening",
    "kits": ["harrowmere", "generic"],
    "site": {"ambient_C": {"typical": 14, "tol": 1}},
    "meter": {"voltage_tol_V": 0.05, "resistance_tol_ohm": 0.05, "time_tol_s": 0.1},
    "trial": [
        {
            "id": "first",
            "title": "one on a short run",
            "box": [{"id": "heron-1", "kind": "heron", "standby_s": 0}],
            "strip": [{"id": "west", "kind": "jetty-strip-8"}],
            "run": [
                {"from": "heron-1/1", "to": "west", "cable": "shore-cable", "length_m": 18},
            ],
            "igniter": [{"id": "west comet", "at": "west/1", "class": "lantern-match"}],
            "shot": [
                {
                    "id": "1",
                    "fire": "heron-1/1/1",
                    "pulse_s": 0.5,
                    "supply_V": 21.2,
                    "seen": [{"igniter": "west comet", "lit": True}],
                }
            ],
        }
    ],
}
