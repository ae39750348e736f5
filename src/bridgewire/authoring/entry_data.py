"""One entry of a drafted profile, and how answers get into it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from attrs import define, field

from bridgewire.authoring.meter import quantity
from bridgewire.authoring.question import UNKNOWN, Answers
from bridgewire.model.band import Band


@define
class Entry:
    """One entry of the profile: its table (``cable``), plain data, and what to say of it."""

    table: str
    data: dict[str, Any]
    sources: dict[str, str] = field(factory=dict)
    remarks: list[str] = field(factory=list)
    """For the person: what the readings say."""
    unknown: list[str] = field(factory=list)
    """Questions without an answer."""


def has(answers: Answers, key: str) -> bool:
    """Tell whether a question was asked and its answer is known."""
    return answers.get(key, UNKNOWN) != UNKNOWN


def figure(value: float, digits: int = 4, up: bool | None = None) -> float:
    """Round to significant digits; `up` says which way an end of a band is rounded.

    >>> figure(0.123456), figure(0.123456, up=True), figure(0.123456, up=False)
    (0.1235, 0.1235, 0.1234)
    """
    if value == 0.0:
        return 0.0
    places = digits - 1 - math.floor(math.log10(abs(value)))
    shifted = value * 10.0**places
    near = round(shifted)
    if up is not None and abs(shifted - near) > 1e-6:
        near = math.ceil(shifted) if up else math.floor(shifted)
    return round(near / 10.0**places, max(places, 0))


def band_data(band: Band) -> float | dict[str, float]:
    """Write a band as plain data; its ends are rounded outwards.

    >>> band_data(Band(1.00004, 2.0, 3.00001)), band_data(Band.exact(2.0))
    ({'min': 1.0, 'typical': 2.0, 'max': 3.001}, 2.0)
    """
    if band.min == band.max:
        return figure(band.typical, 6)
    low, high = figure(band.min, up=False), figure(band.max, up=True)
    return {"min": low, "typical": min(max(figure(band.typical), low), high), "max": high}


def copy_answers(
    made: Entry, answers: Answers, keys: Sequence[str], *, whole: bool = False
) -> None:
    """Take answers over as they are, as texts or whole numbers; what is not known is left out."""
    for key in keys:
        if has(answers, key):
            made.data[key] = int(answers[key]) if whole else answers[key]


def copy_figures(
    made: Entry, answers: Answers, keys: Sequence[str], *, band: bool, prefix: str = ""
) -> None:
    """Take figures of labels and data sheets over, with their source.

    With `band` a figure may have a tolerance; with a `prefix` it goes into that table of the entry.
    """
    table = made.data.setdefault(prefix, {}) if prefix else made.data
    for key in keys:
        if not has(answers, key):
            continue
        table[key] = band_data(quantity(answers[key])) if band else float(answers[key])
        label_source(made, answers, f"{prefix}.{key}" if prefix else key)


def label_source(made: Entry, answers: Answers, key: str) -> None:
    """Give a value the source that the person names for what was not measured."""
    if has(answers, "source"):
        made.sources[key] = answers["source"]
