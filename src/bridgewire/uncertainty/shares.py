"""What varies together where neither kit nor show says: one table, all of it trade habit."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from bridgewire.circuit.layout import Layout

ShareOf = Literal["igniter batch", "cable drum", "contact kind", "strip kind", "switch of a box"]

SHARES: Mapping[ShareOf, float] = {
    "igniter batch": 0.3,
    "cable drum": 0.8,
    "contact kind": 0.2,
    "strip kind": 0.5,
    "switch of a box": 0.5,
}
"""Part of the variance that a cause in common takes (common practice, no source).

An igniter's class may state its own ``batch_share``, a cable its ``drum_share``."""

BAND_SIGMA = 3.0
"""Standard deviations between a band's typical value and its ends (common practice, no source)."""

SHARES_SOURCE = "common practice, no source"


def band_sigma(layout: Layout) -> float:
    """Standard deviations between a band's typical value and its ends, in this show."""
    stated = layout.show.scatter.band_sigma
    return BAND_SIGMA if stated is None else stated
