"""Bench records: trials with igniters on known wiring, and what was seen.

Attribute names are the document's keys. Boxes, strips, splitters, runs and igniters are those of
shows; references to kit profiles too.
"""

from __future__ import annotations

from typing import Literal, TypeAlias

from attrs import field, frozen

from bridgewire.model.band import Band
from bridgewire.model.show import (
    Box,
    Igniter,
    Position,
    Repeat,
    Run,
    Scatter,
    Site,
    Splitter,
    Strip,
)

StateAfter: TypeAlias = Literal["open", "closed", "shorted", "residual", "unknown"]


@frozen
class Meter:
    """How far readings may be off, either way; read like the ends of a band."""

    voltage_tol_V: float | None = None
    """Of a supply voltage that is written as a plain number."""
    resistance_tol_ohm: float | None = None
    """Of a resistance, in addition to `resistance_tol_pct`."""
    resistance_tol_pct: float | None = None
    time_tol_s: float | None = None
    """Of a light time that is written as a plain number."""
    together_s: float | None = None
    """Igniters that light within this time look as if they light together; 0.1 s where absent."""


@frozen
class Wiring:
    """A bench wiring that several trials use: the same cables and contacts, left as they are."""

    id: str
    title: str = ""
    position: tuple[Position, ...] = ()
    box: tuple[Box, ...] = ()
    strip: tuple[Strip, ...] = ()
    splitter: tuple[Splitter, ...] = ()
    run: tuple[Run, ...] = ()
    igniter: tuple[Igniter, ...] = ()
    """Igniters that every trial on this wiring starts with, fresh ones each time."""


@frozen
class Seen:
    """What was seen of one igniter in one shot."""

    igniter: str
    lit: bool | None = None
    """Whether it was lit in this shot; absent where nobody could tell."""
    order: int | None = None
    """1 for the first to light in this shot; equal numbers lit together."""
    time_s: Band | None = None
    """Light time from the start of the shot's first pulse: a reading, or the interval in which it
    lay (``{ min = …, max = … }``)."""
    state_after: StateAfter | None = None
    """What a meter says of the bridge after the shot."""
    reading_ohm: float | None = None
    """Resistance of the igniter with its leads after the shot, taken off the terminal."""
    remark: str = ""


@frozen
class Shot:
    """One press of the button: a pulse, or several alike, on one way."""

    fire: str
    """The way: ``box/output/way``."""
    pulse_s: float
    id: str | None = None
    """The shot's number in the trial where absent."""
    supply_V: Band | None = None
    """Read just before the shot, no load; the box's own where absent."""
    repeat: Repeat | None = None
    """Further pulses of the same length, in quick succession."""
    rest_s: float | None = None
    """Time since the end of the shot before it; long enough to be cold where absent."""
    seen: tuple[Seen, ...] = ()


@frozen
class FreshReading:
    """A fresh igniter's resistance, with its leads."""

    igniter: str
    reading_ohm: float


@frozen
class Trial:
    """Fresh igniters on a wiring, and the shots fired at them, in order.

    Every shot starts from the state that the one before it left. The trial's own parts are added
    to those of the wiring that it names.
    """

    id: str
    title: str = ""
    bench: str | None = None
    """Id of a `[[bench]]` wiring."""
    ambient_C: Band | None = None
    """Where it is another than the record's."""
    position: tuple[Position, ...] = ()
    box: tuple[Box, ...] = ()
    strip: tuple[Strip, ...] = ()
    splitter: tuple[Splitter, ...] = ()
    run: tuple[Run, ...] = ()
    igniter: tuple[Igniter, ...] = ()
    reading: tuple[FreshReading, ...] = ()
    shot: tuple[Shot, ...] = ()


@frozen
class Results:
    """What was seen, in a CSV file beside the record: the trial form, filled in."""

    file: str
    delimiter: str = ","
    decimal: str = "."


@frozen
class BenchRecord:
    """A file of trial results."""

    format: int
    title: str
    kits: tuple[str, ...]
    trial: tuple[Trial, ...]
    site: Site = field(factory=Site)
    scatter: Scatter = field(factory=Scatter)
    meter: Meter = field(factory=Meter)
    bench: tuple[Wiring, ...] = ()
    results: Results | None = None
