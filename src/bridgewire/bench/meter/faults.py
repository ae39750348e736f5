"""Faults that a meter reading may be due to, as changes of the circuit model.

A fault changes resistances of nodes and strings of one way, or of a whole wiring tree. One with a
free value (how poor is the contact, how long the run) stands as a grid of values, each of which
stands for the stretch up to its neighbours.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, TypeAlias

import numpy as np
from attrs import field, frozen

from bridgewire.physics.network import Floats

FaultKind = Literal[
    "none",
    "igniter open",
    "conductor open",
    "wrong class",
    "one more",
    "igniter shorted",
    "terminal shorted",
    "run shorted",
    "poor contact",
    "extra lead",
    "meter leads",
    "run length",
    "copper-clad cable",
    "other cable",
    "poor plug",
    "strips swapped",
    "other",
]

WEIGHTS: Mapping[FaultKind, float] = {
    "none": 1.0,
    "igniter open": 0.02,
    "conductor open": 0.004,
    "wrong class": 0.01,
    "one more": 0.004,
    "igniter shorted": 0.003,
    "terminal shorted": 0.006,
    "run shorted": 0.002,
    "poor contact": 0.015,
    "extra lead": 0.01,
    "meter leads": 0.05,
    "run length": 0.01,
    "copper-clad cable": 0.005,
    "other cable": 0.005,
    "poor plug": 0.002,
    "strips swapped": 0.01,
    "other": 0.0005,
}
"""How likely each fault is before anything is measured, against 1 for no fault (common practice, no
source).

A weight counts once for each entry of the list of faults: each igniter that may be open, each
contact that may be poor, and *wrong class* once for each other resistance among the classes of the
kits. So a longer list takes more of the probability, and a fault with a free value has its weight
spread evenly over its grid. They are odds for an order in which to look, no failure rates."""


def log_grid(low: float, high: float, points: int) -> Floats:
    """Values that part a range into equal factors, each in the middle of its stretch.

    >>> log_grid(1.0, 100.0, 2).round(2).tolist()
    [3.16, 31.62]
    """
    edges = np.linspace(np.log(low), np.log(high), points + 1)
    out: Floats = np.exp((edges[1:] + edges[:-1]) / 2.0)
    return out


OHM_RANGE = (0.2, 20.0)
"""Added by a poor contact or an extra lead, ohm; log-uniform: every factor is equally likely
(common practice, no source)."""
METER_LEADS_RANGE = (0.03, 1.0)
"""Of meter leads that nobody took off, ohm; uniform (common practice, no source)."""
OHM_GRID = log_grid(*OHM_RANGE, 40)
LENGTH_RANGE = (0.3, 3.0)
"""Length of a run over the stated one; log-uniform (common practice, no source)."""
OPEN_OHM = 1e12
"""Stands for an open circuit where arithmetic needs a number."""
EXTRA_OHM = "{:.2g} Ω extra"
"""How an added resistance is told."""

NodeName: TypeAlias = tuple[str, bool]
"""Part, and whether it is the way's terminal there."""
StringName: TypeAlias = tuple[int, ...]
"""The bridges of a string."""


@frozen(eq=False)
class WayFault:
    """A fault of one way. Arrays hold one value for each point of its grid."""

    kind: FaultKind
    cause: str
    """What is wrong, in words."""
    subject: str
    """Id of the part or igniter."""
    points: int = 1
    node_add: Mapping[NodeName, Floats] = field(factory=dict)
    """Ohm added between a node and its parent."""
    node_S: Mapping[NodeName, Floats] = field(factory=dict)
    """Conductance added across a node."""
    string_add: Mapping[StringName, Floats] = field(factory=dict)
    """Ohm added to a string."""
    string_sd: float = 0.0
    """Scatter that the changed string brings, ohm."""
    values: Floats | None = None
    """The free value at each point."""
    value_text: str = ""
    """Format of the free value for a person."""


@frozen(eq=False)
class TreeFault:
    """A fault of a whole wiring tree: it moves the readings of many ways."""

    kind: FaultKind
    cause: str
    subject: str
    points: int = 1
    cable_scale: Mapping[str, Floats] = field(factory=dict)
    """Part -> factor on the cable that leads to it."""
    node_add: Mapping[str, Floats] = field(factory=dict)
    """Part -> ohm added to every way's conductors to it."""
    reading_add: Floats | None = None
    """Ohm added to every reading whose leads nobody took off."""
    swap: tuple[str, str] | None = None
    """Two parts that have changed places, each on the other's run or output."""
    keep_runs: bool = False
    """Whether swapped parts keep their runs, which are plugged into each other's outputs."""
    values: Floats | None = None
    value_text: str = ""
