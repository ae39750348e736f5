"""What a site demands, one thing each, to say which of them conflict."""

from __future__ import annotations

from typing import Literal

from attrs import frozen

Kind = Literal[
    "wanted",
    "stock",
    "crossings",
    "times",
    "margin",
    "latest light",
    "spread",
    "places",
    "spare ways",
    "whole plan",
]


@frozen(order=True)
class Demand:
    """One demand: a requirement, what is wanted at a position, or that stock is limited."""

    kind: Kind
    subject: str = ""


CROSSINGS = Demand("crossings")
TIMES = Demand("times")
MARGIN = Demand("margin")
LATEST = Demand("latest light")
SPREAD = Demand("spread")
PLACES = Demand("places")
SPARES = Demand("spare ways")
WHOLE = Demand("whole plan")
"""What only the check of whole plans, or their odds, found against combinations."""


def wanted_at(position: str) -> Demand:
    """Everything wanted at a position."""
    return Demand("wanted", position)


def stock_of(item: str) -> Demand:
    """That no more of something is there than is in stock."""
    return Demand("stock", item)
