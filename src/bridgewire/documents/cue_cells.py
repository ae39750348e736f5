"""Cells of a cue list to plain data."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from attrs import frozen

from bridgewire.diagnostics import DocPath

_CLOCK = re.compile(r"(-?)(?:([0-9]{1,9}):)?([0-9]{1,9}):([0-9]{1,2}(?:\.[0-9]*)?)")
_NUMBER = re.compile(r"[-+]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][-+]?[0-9]{1,3})?")
_WHOLE = re.compile(r"[-+]?[0-9]{1,18}")
_TRUTH = {"true": True, "yes": True, "1": True, "false": False, "no": False, "0": False}


@frozen
class CellKind:
    """How the cells of one column are read; `read` takes the text with a decimal point."""

    expected: str
    read: Callable[[str], Any]
    """Raises ValueError."""
    has_decimals: bool = False


def read_seconds(text: str) -> float:
    """Read seconds, minutes:seconds or hours:minutes:seconds.

    Examples
    --------
    >>> read_seconds("1:02.5"), read_seconds("62.5"), read_seconds("1:00:00")
    (62.5, 62.5, 3600.0)
    """
    if ":" not in text:
        return read_number(text)
    found = _CLOCK.fullmatch(text)
    if found is None:
        raise ValueError(text)
    sign, hours, minutes, seconds = found.groups()
    if float(seconds) >= 60 or (hours is not None and int(minutes) >= 60):
        raise ValueError(text)
    total = 3600.0 * int(hours or 0) + 60.0 * int(minutes) + float(seconds)
    return -total if sign else total


def read_number(text: str) -> float:
    """Read a plain decimal number; no thousands separators, no words."""
    if _NUMBER.fullmatch(text) is None:
        raise ValueError(text)
    return float(text)


def read_whole(text: str) -> int:
    """Read a whole number of at most 18 digits."""
    if _WHOLE.fullmatch(text) is None:
        raise ValueError(text)
    return int(text)


def _truth(text: str) -> bool:
    try:
        return _TRUTH[text.lower()]
    except KeyError:
        raise ValueError(text) from None


def _names(text: str) -> list[str]:
    return [name.strip() for name in text.split(";") if name.strip()]


_TEXT = CellKind("a text", str)
_COUNT = CellKind("a whole number", read_whole)
_NUMBER_KIND = CellKind("a number", read_number, has_decimals=True)
_TIME = CellKind("seconds, or minutes:seconds such as 1:02.5", read_seconds, has_decimals=True)

COLUMNS: Mapping[str, tuple[DocPath, CellKind]] = {
    "id": (("id",), _TEXT),
    "fire": (("fire",), _TEXT),
    "box": (("box",), _TEXT),
    "output": (("output",), _COUNT),
    "way": (("way",), _COUNT),
    "target": (("target",), _TEXT),
    "time_s": (("time_s",), _TIME),
    "effect_at_s": (("effect_at_s",), _TIME),
    "pulse_s": (("pulse_s",), _NUMBER_KIND),
    "repeat_times": (("repeat", "times"), _COUNT),
    "repeat_gap_s": (("repeat", "gap_s"), _NUMBER_KIND),
    "lights": (("lights",), CellKind("ids with semicolons between", _names)),
    "together": (("together",), CellKind("true, false, yes, no, 1 or 0", _truth)),
    "spread_s": (("spread_s",), _NUMBER_KIND),
    "latest_light_s": (("latest_light_s",), _NUMBER_KIND),
}
"""What a column can hold: where it goes in a cue, and how its cells are read."""
