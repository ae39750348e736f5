"""Which format numbers can be read, and how older ones become the present one."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from bridgewire.documents.problems import FORMAT_NUMBER, Problem, shown

CURRENT = 1
"""The format that the model reads."""

Migration = Callable[[dict[str, Any]], dict[str, Any]]
MIGRATIONS: Mapping[int, Migration] = {}
"""From a format number: what turns plain data of it into data of the next one."""


def to_current(data: dict[str, Any], problems: list[Problem]) -> dict[str, Any] | None:
    """Bring plain data to the current format.

    A document without a format number is passed on: the missing key is reported with the others.

    Parameters
    ----------
    data : dict
        Plain data of a whole document.
    problems : list of Problem
        A format that cannot be read is added here.

    Returns
    -------
    dict or None
        None where the format cannot be read.

    Examples
    --------
    >>> to_current({"format": 1}, [])
    {'format': 1}
    """
    number = data.get("format", CURRENT)
    if isinstance(number, bool) or not isinstance(number, int):
        return data  # the wrong type is reported with the other keys
    while number in MIGRATIONS:
        data = MIGRATIONS[number](data)
        number += 1
    if number == CURRENT:
        return data
    newer = number > CURRENT
    problems.append(
        Problem(
            FORMAT_NUMBER,
            f"this version of bridgewire reads no format newer than {CURRENT}"
            if newer
            else "there is no such format",
            path=("format",),
            expected=f"format = {CURRENT}",
            got=shown(data.get("format")),
            remedy="Use a newer version of bridgewire." if newer else "",
        )
    )
    return None
