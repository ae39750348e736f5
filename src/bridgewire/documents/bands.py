"""Reads a band: a number, a number with a tolerance, or min/typical/max."""

from __future__ import annotations

import math
from typing import Any

from bridgewire.diagnostics import DocPath
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
EXPECTED = "a number, {typical, tol}, {typical, tol_pct} or {min, typical, max}"


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
    suggestion = ""
    if isinstance(value, str):
        try:
            if math.isfinite(float(value)):
                suggestion = f"{value.strip()} (without quotes)"
        except ValueError:
            pass
    return Problem(
        WRONG_TYPE,
        f"this is {shown(value)}, not a number",
        path=path,
        expected=expected,
        got=shown(value),
        suggestion=suggestion,
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
        problems.append(
            Problem(
                OUT_OF_RANGE,
                f"{worst:.6g} is out of range",
                path=(*path, end) if end and end in value else path,
                expected=within.words(),
                got=f"{worst:.6g}" + (f" (the {end} of the band)" if end else ""),
            )
        )
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
                expected="min <= typical <= max",
                got=f"{low:.6g}, {typical:.6g}, {high:.6g}",
            )
        )
        return None
    return Band(low, typical, high)


def _with_tolerance(
    n: dict[str, float], key: str, path: DocPath, problems: list[Problem]
) -> Band | None:
    tolerance = n[key]
    highest = 100.0 if key == "tol_pct" else 1e9
    if not 0 <= tolerance <= highest:
        problems.append(
            Problem(
                OUT_OF_RANGE,
                f"{tolerance:.6g} is out of range",
                path=(*path, key),
                expected=f"at least 0 and at most {highest:.6g}",
                got=f"{tolerance:.6g}",
            )
        )
        return None
    if key == "tol":
        return Band.with_tolerance(n["typical"], tolerance)
    if abs(n["typical"]) > 1e300:  # would overflow; out of every range anyway
        return Band.exact(n["typical"])
    return Band.with_percent(n["typical"], tolerance)
