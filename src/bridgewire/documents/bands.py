"""Reads a band: a number, a number with a tolerance, or min/typical/max."""

from __future__ import annotations

import datetime
import math
import re
from typing import Any

from attrs import evolve

from bridgewire.diagnostics import DocPath
from bridgewire.documents.cue_cells import read_seconds
from bridgewire.documents.problems import (
    CONTRADICTION,
    MISSING_KEY,
    OUT_OF_RANGE,
    UNKNOWN_KEY,
    WRONG_TYPE,
    Problem,
    closest,
    one_of,
    shown,
)
from bridgewire.documents.ranges import Range
from bridgewire.model.band import Band

KEYS = ("min", "typical", "max", "tol", "tol_pct")
EXPECTED = (
    "a number, or a band: { typical = …, tol = … }, { typical = …, tol_pct = … } or "
    "{ min = …, typical = …, max = … }"
)
_NUMBER_AND_UNIT = re.compile(
    r"([+-]?[0-9]+(?:[.,][0-9]+)?(?:[eE][+-]?[0-9]+)?)\s*([a-zA-Z°Ωµ%/²]{0,8})", re.ASCII
)
_UNITS = {"Ω": "ohm", "Ohm": "ohm", "ohms": "ohm", "°C": "C", "%": "pct", "mm²": "mm2"}
"""Other ways to write the unit at the end of a key."""
_LONGEST = 60


def number(value: Any, path: DocPath, problems: list[Problem], expected: str) -> float | None:
    """Read a finite number; a whole number is fine, a text or a truth value is not."""
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        problems.append(_wrong_number(value, path, expected))
        return None
    try:
        found = float(value)
    except OverflowError:
        found = math.inf
    if not math.isfinite(found):
        problems.append(
            Problem(
                OUT_OF_RANGE,
                "the number is not finite",
                path=path,
                expected="a finite number",
                got=shown(value),
            )
        )
        return None
    return found


def _wrong_number(value: Any, path: DocPath, expected: str) -> Problem:
    steps = [step for step in path if isinstance(step, str)]
    in_band = steps[-1] if steps and steps[-1] in KEYS else ""
    named = [step for step in steps if step not in KEYS]
    return Problem(
        WRONG_TYPE,
        f"this is {shown(value)}, not a number",
        path=path,
        expected=expected,
        got=shown(value),
        suggestion=_number_meant(value, named[-1] if named else "", in_band),
    )


def _number_meant(value: Any, key: str, in_band: str) -> str:
    """Say which number a text or a time of day is meant to be; empty where nobody can tell.

    A unit is taken off only where it is the one that the key names: ``500 ms`` is not 500 s.
    """
    unit = "pct" if in_band == "tol_pct" else key.rpartition("_")[2]
    if isinstance(value, datetime.time):
        return _seconds_meant(value.isoformat()) if unit == "s" else ""
    if not isinstance(value, str) or len(value) > _LONGEST:
        return ""
    text = value.strip()
    found = _NUMBER_AND_UNIT.fullmatch(text)
    if found is None or not math.isfinite(float(found[1].replace(",", "."))):
        return _seconds_meant(text) if unit == "s" else ""
    number, stated = found[1], _UNITS.get(found[2], found[2])
    if stated == "pct" and in_band == "tol":
        return f"for per cent write tol_pct = {number.replace(',', '.')}"
    if stated and stated != unit:
        return "write the number alone, in the unit that the key names"
    if re.fullmatch("[+-]?[0-9]{1,3},[0-9]{3}", number):  # a decimal comma, or thousands
        return "write a decimal point, and nothing between thousands"
    return f"{number.replace(',', '.')} (without quotes{' and unit' if stated else ''})"


def _seconds_meant(text: str) -> str:
    if ":" not in text:
        return ""
    try:
        return f"{read_seconds(text):.10g} (seconds, as a number)"
    except ValueError:
        return ""


def short(value: float) -> str:
    """Write a number of a document for a person.

    >>> short(0.1 + 0.2), short(1234567.0), short(10**30)
    ('0.3', '1234567', 'a very large whole number')
    """
    if isinstance(value, int):
        return str(value) if abs(value) < 10**20 else "a very large whole number"
    return f"{value:.10g}"


def out_of_range(value: float, path: DocPath, within: Range) -> Problem:
    """Make the problem of a number that lies outside its range."""
    return Problem(
        OUT_OF_RANGE,
        f"{short(value)} is out of range",
        path=path,
        expected=within.words(),
        got=short(value),
    )


def read_band(value: Any, path: DocPath, problems: list[Problem], within: Range) -> Band | None:
    """Read a band and hold its ends to a range.

    An end that is left out mirrors the other about `typical`, as far as the range goes; a typical
    value that is left out is the middle.

    Examples
    --------
    >>> read_band({"min": 19, "max": 21}, (), [], Range(0))
    Band(min=19.0, typical=20.0, max=21.0)
    >>> read_band({"typical": 95, "min": 80}, (), [], Range(0, 100))
    Band(min=80.0, typical=95.0, max=100.0)
    """
    if not isinstance(value, dict):
        bare = number(value, path, problems, EXPECTED)
        band = None if bare is None else Band.exact(bare)
    else:
        band = _from_table(value, path, problems, within)
    if band is not None and not within.accepts_band(band):
        low_end_out = not within.accepts(band.min)
        worst = band.min if low_end_out else band.max
        end = ("min" if low_end_out else "max") if isinstance(value, dict) else ""
        problem = out_of_range(worst, (*path, end) if end and end in value else path, within)
        if end:
            which = "lower" if low_end_out else "upper"
            message = f"the {which} end of this band, {short(worst)}, is out of range"
            got = f"{short(worst)} (the {end} of the band)"
            problem = evolve(problem, message=message, got=got)
        problems.append(problem)
        return None
    return band


def _from_table(
    table: dict[str, Any], path: DocPath, problems: list[Problem], within: Range
) -> Band | None:
    before = len(problems)
    numbers: dict[str, float] = {}
    for key, raw in table.items():
        if key not in KEYS:
            guess = closest(key, KEYS)
            problems.append(
                Problem(
                    UNKNOWN_KEY,
                    f"a band has no key {key!r}",
                    path=(*path, key),
                    expected=one_of(KEYS),
                    got=f"{key!r}",
                    suggestion=guess,
                    at_key=True,
                )
            )
            continue
        found = number(raw, (*path, key), problems, "a number")
        if found is not None:
            numbers[key] = found
    if len(problems) > before:
        return None
    return _from_numbers(numbers, path, problems, within)


def _from_numbers(
    n: dict[str, float], path: DocPath, problems: list[Problem], within: Range
) -> Band | None:
    tolerances = [k for k in ("tol", "tol_pct") if k in n]
    ends = [k for k in ("min", "max") if k in n]
    if len(tolerances) + bool(ends) > 1:
        problems.append(
            Problem(
                CONTRADICTION,
                " and ".join(f'"{k}"' for k in (*tolerances, *ends)) + " say the same thing twice",
                path=path,
                expected=EXPECTED,
                got=", ".join(n),
            )
        )
        return None
    if "typical" not in n and len(ends) < 2:
        problems.append(
            Problem(
                MISSING_KEY,
                'the band has no "typical" value',
                path=path,
                expected=EXPECTED,
                got=", ".join(n) or "an empty table",
            )
        )
        return None
    if tolerances:
        return _with_tolerance(n, tolerances[0], path, problems)
    if not ends:
        return Band.exact(n["typical"])
    typical = n.get("typical")
    if typical is None:
        typical = n["min"] + (n["max"] - n["min"]) / 2
    low = n.get("min", min(typical, within.clipped(2 * typical - n.get("max", typical))))
    high = n.get("max", max(typical, within.clipped(2 * typical - n.get("min", typical))))
    if not low <= typical <= high:
        problems.append(
            Problem(
                OUT_OF_RANGE,
                "min, typical and max are not in rising order",
                path=path,
                expected="min at most typical, and typical at most max",
                got=f"min {short(low)}, typical {short(typical)}, max {short(high)}",
            )
        )
        return None
    return Band(low, typical, high)


def _with_tolerance(
    n: dict[str, float], key: str, path: DocPath, problems: list[Problem]
) -> Band | None:
    tolerance = n[key]
    within = Range(0, 100 if key == "tol_pct" else 1_000_000_000)
    if not within.accepts(tolerance):
        problems.append(out_of_range(tolerance, (*path, key), within))
        return None
    if key == "tol":
        return Band.with_tolerance(n["typical"], tolerance)
    if abs(n["typical"]) > 1e300:  # would overflow; out of every range anyway
        return Band.exact(n["typical"])
    return Band.with_percent(n["typical"], tolerance)
