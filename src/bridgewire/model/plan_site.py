"""Plan sites: where things may stand, what must light, what the crew has; the planner's input.

Attribute names are the document's keys. Positions, requirements, costs and fuses are those of
shows; references to kit profiles too.
"""

from __future__ import annotations

from typing import Literal

from attrs import field, frozen

from bridgewire.model.band import Band
from bridgewire.model.show import (
    Checks,
    Costs,
    Cutting,
    Fuse,
    Position,
    Requirements,
    Scatter,
    Site,
)


@frozen
class PlanSettings:
    """What the planner may do, and how far it looks."""

    chain: int = 2
    """Most strips on one output, one behind the other or on a splitter."""
    neighbours: int = 3
    """How many near positions may share an output with a position."""
    places: int = 4
    """How many box places, the nearest, are looked at for each position."""
    splitters: bool = True
    """Whether splitters of the stock may be used."""
    crossings: Literal["avoid", "allow"] = "avoid"
    """Whether runs may cross one another."""
    run_tol_pct: float = 3.0
    """How far a run's length may be off, either way."""
    end_allowance_m: float = 1.0
    """Cable for both ends of a run, beside the way it lies."""
    length_step_m: float = 0.5
    """Runs are rounded up to a multiple of this."""
    spare_ways: int = 0
    """Ways of every output that are left free."""
    apart_s: float = 0.0
    """Least time between the end of a pulse and the next one on the same output."""
    joint_contact: str | None = None
    """The coupler for runs longer than any piece of their cable; none are joined where absent."""


@frozen
class Wanted:
    """What must light: one igniter, or `count` alike, at a moment or at several.

    The moment is when the box switches (`time_s`, `times_s`) or when the effect should be seen
    (`effect_at_s`, `effects_at_s`).
    """

    id: str
    position: str
    class_: str = field(metadata={"key": "class"})
    count: int = 1
    connection: Literal["series", "parallel"] | None = None
    """How `count` igniters are joined; required where `count` is above 1."""
    lights: str = ""
    fuse: Fuse | None = None
    time_s: float | None = None
    times_s: tuple[float, ...] = ()
    effect_at_s: float | None = None
    effects_at_s: tuple[float, ...] = ()
    cue: str | None = None
    """Whatever names the same cue lights together; a cue of its own where absent."""
    pulse_s: float | None = None
    """Where only this pulse will do; chosen by the planner where absent."""
    latest_light_s: float | None = None
    spread_s: float | None = None


@frozen
class Stock:
    """Things that the crew has: `count` alike, of a kit entry."""

    item: str
    count: int
    length_m: float | None = None
    """Of each piece of cable."""
    cut: bool = True
    """Whether runs are cut from the pieces; else each run takes a whole piece."""
    supply_V: Band | None = None
    """Of a box: to be read on the meter before the show."""
    charge_pct: Band | None = None
    """Of a box."""
    standby_s: float | None = None
    """Of a box: how long it is on before the first cue."""


@frozen
class AllowedPath:
    """A way along which cable may lie: straight from each named position to the next."""

    through: tuple[str, ...]
    id: str | None = None


@frozen
class PlanSite:
    """A plan site document."""

    format: int
    title: str
    kits: tuple[str, ...]
    box_places: tuple[str, ...]
    """Ids of the positions where boxes may stand."""
    position: tuple[Position, ...]
    wanted: tuple[Wanted, ...]
    stock: tuple[Stock, ...]
    site: Site = field(factory=Site)
    requirements: Requirements = field(factory=Requirements)
    checks: Checks = field(factory=Checks)
    scatter: Scatter = field(factory=Scatter)
    costs: Costs = field(factory=Costs)
    cutting: Cutting = field(factory=Cutting)
    plan: PlanSettings = field(factory=PlanSettings)
    path: tuple[AllowedPath, ...] = ()
    """Cable lies straight from end to end where absent."""
