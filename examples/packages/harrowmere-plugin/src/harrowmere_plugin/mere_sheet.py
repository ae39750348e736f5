"""Reads the club's cue sheet: plain text, one cue a line.

::

    box heron-1
    # time    output/way  name
    0:10.0    1/1         twin comets    pulse 0.5  together
    0:26.5    1/2         lances         pulse 2

Two blanks or more part the columns. The option ``offset_s`` is added to every time.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from bridgewire.plugins import CueImportContext, CueImporter, ImportedCue, ImportProblem

_BOX = re.compile(r"box\s+(\S+)\s*")
_TIME = re.compile(r"(\d{1,3}):([0-5]\d(?:\.\d+)?)")
_WAY = re.compile(r"(\d{1,4})/(\d{1,4})")
_PULSE = re.compile(r"pulse (\d{1,4}(?:\.\d+)?)")
_EXPECTED = "0:10.0  1/1  twin comets  pulse 0.5"


def read(context: CueImportContext) -> Iterator[ImportedCue | ImportProblem]:
    """Yield the cues of a sheet, and what cannot be read."""
    box = ""
    for number, line in enumerate(context.text.splitlines(), 1):
        text = line.partition("#")[0].rstrip()
        if not text.strip():
            continue
        named = _BOX.fullmatch(text)
        if named:
            box = named[1]
        elif not box:
            message = "a cue comes before the first line 'box ...'"
            yield ImportProblem(number, message, 1, "box NAME")
        else:
            yield _cue(text, number, box, float(context.options.get("offset_s", 0.0)))


def _cue(text: str, number: int, box: str, offset_s: float) -> ImportedCue | ImportProblem:
    columns = [(m.start() + 1, m[0].strip()) for m in re.finditer(r"\S+(?: \S+)*", text)]
    if len(columns) < 3:
        return ImportProblem(number, "a cue has a time, a way and a name", None, _EXPECTED)
    (time_at, time), (way_at, way), (name_at, name), *more = columns
    clock, circuit = _TIME.fullmatch(time), _WAY.fullmatch(way)
    if clock is None:
        return ImportProblem(number, f"{time!r} is no time", time_at, "minutes:seconds, as 0:26.5")
    if circuit is None:
        return ImportProblem(number, f"{way!r} is no way", way_at, "output/way, as 1/2")
    fields: dict[str, Any] = {
        "id": name,
        "fire": f"{box}/{circuit[1]}/{circuit[2]}",
        "time_s": 60.0 * int(clock[1]) + float(clock[2]) + offset_s,
    }
    places = {"id": (number, name_at), "fire": (number, way_at), "time_s": (number, time_at)}
    for at, word in more:
        pulse = _PULSE.fullmatch(word)
        if pulse is not None:
            fields["pulse_s"] = float(pulse[1])
            places["pulse_s"] = (number, at)
        elif word == "together":
            fields["together"] = True
        else:
            message = f"{word!r} means nothing here"
            return ImportProblem(number, message, at, "pulse 0.5 or together")
    return ImportedCue(fields, number, time_at, places)


IMPORTER = CueImporter("mere-sheet", read, ("offset_s",), "the club's plain text cue sheet")
