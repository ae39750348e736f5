"""Shows: what stands where, how it is wired, what fires when, and what is required of it.

Attribute names are the document's keys. References are texts: ``kit:id`` for things in kit
profiles (or a bare ``id``, searched through the show's kits in order), ids for things in the show.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Literal, TypeAlias

from attrs import field, frozen

from bridgewire.model.band import Band

Option: TypeAlias = str | int | float | bool
"""What an option of a cue importer can be."""


@frozen
class Site:
    """Conditions on site."""

    ambient_C: Band | None = None
    cable_slack_pct: float | None = None
    """Added to the straight distance where a run states no length."""


@frozen
class Requirements:
    """What the show asks of every cue; None where the show does not say."""

    margin: float | None = None
    spread_s: float | None = None
    latest_light_s: float | None = None
    effect_tolerance_s: float | None = None
    """How early or late an effect may be seen against the wanted time."""
    all_fire_factor: float | None = None
    """Delivered over all-fire current; 1.5 where the show does not say."""
    no_fire_fraction: float | None = None
    """Largest allowed current in an unfired igniter over its no-fire current."""
    reliability: float | None = None


@frozen
class Scatter:
    """How the show's tolerances are read as scatter."""

    band_sigma: float | None = None
    """How many standard deviations lie between a band's typical value and its ends; 3 where the
    show does not say."""


@frozen
class Costs:
    """What changes cost the crew, beside the prices in the kits; None where the show does not say.

    Money is in one currency, the one of the prices in the show's kits.
    """

    currency: str = ""
    """For reports only; nothing is converted."""
    per_m: float | None = None
    """Of laying and taking up a metre of cable, beside its price, in money."""
    per_output: float | None = None
    """Of using one more output of a box, in money."""
    per_minute: float | None = None
    """Of a minute of rigging, in money."""
    per_shift_s: float | None = None
    """Of moving a cue by a second, in money."""
    minutes_per_run: float | None = None
    """Rigging time of a run, whatever its length."""
    minutes_per_m: float | None = None
    """Rigging time of a metre of cable."""
    minutes_per_part: float | None = None
    """Rigging time of a box, strip or splitter."""
    minutes_per_igniter: float | None = None
    """Rigging time of an igniter."""


@frozen
class Ignore:
    """A finding code the show does not want to hear of, and why."""

    code: str
    reason: str
    subject: str | None = None
    """Id of the cue, igniter or part; all where absent."""
    until: datetime.date | None = None
    """The last day on which it holds; for good where absent."""


@frozen
class Checks:
    """Which rules run on this show."""

    ignore: tuple[Ignore, ...] = ()


@frozen
class Position:
    """A named place with coordinates."""

    id: str
    at_m: tuple[float, float]
    title: str = ""


@frozen
class Box:
    """A box on site."""

    id: str
    kind: str
    position: str | None = None
    at_m: tuple[float, float] | None = None
    supply_V: Band | None = None
    """Read on the meter before the show, no load."""
    charge_pct: Band | None = None
    ambient_C: Band | None = None
    standby_s: float | None = None
    """How long the box is on before the first cue."""


@frozen
class Strip:
    """A strip at a position. It carries the ways from `first_way` on."""

    id: str
    kind: str
    position: str | None = None
    at_m: tuple[float, float] | None = None
    first_way: int = 1


@frozen
class Splitter:
    """A splitter on site."""

    id: str
    kind: str
    position: str | None = None
    at_m: tuple[float, float] | None = None


@frozen
class Run:
    """One length of cable between two parts.

    ``from`` is ``box/output``, a strip (its through connector) or a splitter (an outlet);
    ``to`` is a strip or a splitter.
    """

    from_: str = field(metadata={"key": "from"})
    to: str
    cable: str
    id: str | None = None
    length_m: Band | None = None
    parallel: int = 1
    """How many such cables lie side by side, joined at both ends."""
    joints: int = 0
    """Inline couplers within the run."""
    joint_contact: str | None = None
    drum: str | None = None
    """Name of the drum it was cut from; cables of one drum are alike. All of one cable spec are
    one drum where absent. Where the show lists drums it is the id of one."""


@frozen
class Drum:
    """Cable on a drum, to cut runs and extra leads from; or `count` such drums alike."""

    id: str
    cable: str
    length_m: float
    """What is still on each drum."""
    count: int = 1


@frozen
class Cutting:
    """How cable is cut; a cut list adds nothing where the show does not say."""

    allowance_m: float | None = None
    """Added to every piece for stripping, plugs and knots."""
    step_m: float | None = None
    """Pieces are rounded up to a multiple of this; 0.1 where the show does not say."""
    keep_from_m: float | None = None
    """A left-over from this length on is kept for later; a shorter one is waste."""


@frozen
class Fuse:
    """What burns between igniter and effect: a length and a burn rate, or a delay."""

    length_mm: Band | None = None
    burn_mm_per_s: Band | None = None
    delay_s: Band | None = None


@frozen
class Igniter:
    """One igniter, or `count` alike, on a terminal (``strip/way``).

    Entries on one terminal are in parallel, unless they name the same `string`: those are in
    series.
    """

    at: str
    class_: str = field(metadata={"key": "class"})
    id: str | None = None
    count: int = 1
    connection: Literal["series", "parallel"] | None = None
    """How `count` igniters are joined; required where `count` is above 1."""
    string: str | None = None
    lead_cable: str | None = None
    extra_lead_m: Band | None = None
    """Extra two-conductor lead between terminal and igniter, one way."""
    lights: str = ""
    fuse: Fuse | None = None
    batch: str | None = None
    """Name of the batch it is from; igniters of one batch are alike. All of one class are one
    batch where absent."""


@frozen
class Repeat:
    """The same cue again: how many more times, and the pause between pulses."""

    times: int
    gap_s: float


@frozen
class Cue:
    """One firing instruction.

    The circuit is given by `fire` (``box/output/way``), by `box`, `output` and `way`, or by
    `target` (an igniter's id, or ``strip/way``). The moment is `time_s`, when the box switches,
    or `effect_at_s`, when the effect should be seen, or both.
    """

    id: str
    fire: str | None = None
    box: str | None = None
    output: int | None = None
    way: int | None = None
    target: str | None = None
    time_s: float | None = None
    effect_at_s: float | None = None
    pulse_s: float | None = None
    """The class's default pulse where absent."""
    repeat: Repeat | None = None
    lights: tuple[str, ...] | None = None
    """Igniter ids that the cue should light; every igniter on the way where absent."""
    together: bool = False
    spread_s: float | None = None
    latest_light_s: float | None = None


@frozen
class CueList:
    """A cue list in a file beside the show: CSV, or whatever a plugin's importer reads.

    `columns` maps keys of a cue (``id``, ``fire``, ``time_s`` …) to the CSV file's own headings.
    """

    file: str
    columns: Mapping[str, str] = field(factory=dict)
    delimiter: str = ","
    decimal: str = "."
    encoding: str = "utf-8"
    importer: str | None = None
    """Name of a plugin's importer; CSV where absent."""
    options: Mapping[str, Option] = field(factory=dict)
    """The importer's own settings."""


@frozen
class Show:
    """A show document."""

    format: int
    title: str
    kits: tuple[str, ...]
    site: Site = field(factory=Site)
    requirements: Requirements = field(factory=Requirements)
    checks: Checks = field(factory=Checks)
    scatter: Scatter = field(factory=Scatter)
    costs: Costs = field(factory=Costs)
    position: tuple[Position, ...] = ()
    box: tuple[Box, ...] = ()
    strip: tuple[Strip, ...] = ()
    splitter: tuple[Splitter, ...] = ()
    run: tuple[Run, ...] = ()
    drum: tuple[Drum, ...] = ()
    cutting: Cutting = field(factory=Cutting)
    igniter: tuple[Igniter, ...] = ()
    cue: tuple[Cue, ...] = ()
    cue_list: CueList | None = None
