"""Kit profiles: what somebody's own boxes, cables, strips, splitters and igniters are.

Every value may be missing (``None``): what is missing is reported and the igniters that depend on
it get the verdict *unknown*; nothing is filled in with a default that passes.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from attrs import field, frozen

from bridgewire.model.band import Band

Metal = Literal["copper", "copper-clad-aluminium", "aluminium"]
Stranding = Literal["solid", "stranded"]
Insulation = Literal["pvc-70", "pvc-90", "xlpe", "rubber-60", "rubber-85", "silicone"]
PathMapKind = Literal["pair", "common-return", "matrix"]
HoldOffScope = Literal["box", "output", "way"]
AfterFire = Literal["open", "shorted", "residual"]
IgniterKind = Literal["electric-match", "bridge-igniter", "clip-on-nichrome"]

Sources = Mapping[str, str]
"""Where each value comes from: key of the value -> a source, or ``common practice, no source``,
or ``from memory``. ``*`` stands for all keys that are not named."""


@frozen
class Contact:
    """A mated pair or a screw terminal, one conductor."""

    id: str
    title: str = ""
    contact_ohm: Band | None = None
    rated_A: float | None = None
    price_each: float | None = None
    """What one costs, in the currency of the shows that use the kit."""
    sources: Sources = field(factory=dict)
    extends: str | None = None
    """The entry that this one starts from: ``kit:id``, or the id of one in this kit or in those
    that this kit extends."""


@frozen
class CableSpec:
    """A kind of cable. Resistances are for one conductor, one way, at 20 °C."""

    id: str
    metal: Metal
    stranding: Stranding
    conductors: int
    title: str = ""
    gauge_awg: float | None = None
    area_mm2: float | None = None
    clad_copper_pct: float | None = None
    """Copper share by volume of copper-clad aluminium: 10 or 15."""
    ohm_per_m: Band | None = None
    max_length_m: float | None = None
    """The longest single piece in the kit."""
    insulation: Insulation | None = None
    rated_A: float | None = None
    """Steady current one conductor may carry."""
    drum_share: float | None = None
    """Part of the variance of its resistance that cables of one drum have in common."""
    price_per_m: float | None = None
    """What a metre costs, in the currency of the shows that use the kit."""
    sources: Sources = field(factory=dict)
    extends: str | None = None
    """The entry that this one starts from: ``kit:id``, or the id of one in this kit or in those
    that this kit extends."""


@frozen
class StripKind:
    """A kind of strip: terminals, inlet and through connectors."""

    id: str
    ways: int
    title: str = ""
    through: int = 0
    """How many onward connectors the strip has."""
    inlet_contact: str | None = None
    through_contact: str | None = None
    terminal_contact: str | None = None
    inner_ohm: Band | None = None
    """Track or wire inside the strip, one leg, inlet to terminal or to through connector."""
    leads_per_terminal: int | None = None
    """How many igniter strings one terminal takes."""
    price_each: float | None = None
    """What one costs, in the currency of the shows that use the kit."""
    sources: Sources = field(factory=dict)
    extends: str | None = None
    """The entry that this one starts from: ``kit:id``, or the id of one in this kit or in those
    that this kit extends."""


@frozen
class SplitterKind:
    """A kind of splitter: one inlet, several outlets."""

    id: str
    outlets: int
    title: str = ""
    inlet_contact: str | None = None
    outlet_contact: str | None = None
    inner_ohm: Band | None = None
    """Track or wire inside, one leg, inlet to outlet."""
    price_each: float | None = None
    """What one costs, in the currency of the shows that use the kit."""
    sources: Sources = field(factory=dict)
    extends: str | None = None
    """The entry that this one starts from: ``kit:id``, or the id of one in this kit or in those
    that this kit extends."""


@frozen
class Diode:
    """The series diode of one way: constant drop plus slope."""

    drop_V: Band
    slope_ohm: Band


@frozen
class PathMap:
    """Which conductors, and how many in parallel, carry feed and return of a way.

    With ``matrix``, way *w* (from 1) uses row ``(w-1) // columns`` for feed and column
    ``(w-1) % columns`` for return.
    """

    map: PathMapKind
    feed_conductors: int = 1
    return_conductors: int = 1
    rows: int | None = None
    columns: int | None = None
    diode: Diode | None = None

    def conductors_needed(self, ways: int) -> int:
        """How many conductors a cable needs to carry `ways` ways."""
        if self.map == "pair":
            return ways * (self.feed_conductors + self.return_conductors)
        if self.map == "common-return":
            return ways * self.feed_conductors + self.return_conductors
        return (self.rows or 0) * self.feed_conductors + (
            self.columns or 0
        ) * self.return_conductors


@frozen
class CurrentLimit:
    """What a supply does at its limit.

    ``constant-current``: the voltage falls so that the current stays at `limit_A`.
    ``fold-back``: the current allowed falls in proportion to the output voltage, from `limit_A`
    at the open-circuit voltage to `short_circuit_A` into a short.
    """

    kind: Literal["constant-current", "fold-back"]
    limit_A: Band
    short_circuit_A: Band | None = None


@frozen
class ChargePoint:
    """One point of a battery's open-circuit voltage over state of charge."""

    charge_pct: float
    open_circuit_V: float


@frozen
class ColdPoint:
    """One point of a battery's behaviour over temperature."""

    at_C: float
    capacity_pct: float
    internal_ohm_factor: float | None = None


@frozen
class BatterySupply:
    """A battery with internal resistance and state of charge (20 °C figures)."""

    kind: Literal["battery"]
    open_circuit_V: Band | None = None
    """Fully charged, at rest."""
    internal_ohm: Band | None = None
    capacity_Ah: Band | None = None
    charge_curve: tuple[ChargePoint, ...] = ()
    cold_curve: tuple[ColdPoint, ...] = ()
    limit: CurrentLimit | None = None
    standby_A: float | None = None
    min_C: float | None = None
    max_C: float | None = None


@frozen
class RegulatedSupply:
    """A mains or converter supply that holds its voltage up to a current limit."""

    kind: Literal["regulated"]
    open_circuit_V: Band | None = None
    internal_ohm: Band | None = None
    limit: CurrentLimit | None = None
    standby_A: float | None = None


@frozen
class CapacitorSupply:
    """A capacitor that is discharged into the circuit and recharged between pulses.

    The charger is a constant-current one: the voltage rises by ``charged_V / recharge_s``.
    """

    kind: Literal["capacitor"]
    charged_V: Band | None = None
    capacitance_F: Band | None = None
    series_ohm: Band | None = None
    recharge_s: Band | None = None
    limit: CurrentLimit | None = None


@frozen
class ModelSupply:
    """A supply whose current a plugin's model gives for each output voltage."""

    kind: Literal["model"]
    model: str
    """Name of a supply model that a plugin provides."""
    open_circuit_V: Band | None = None
    parameters: Mapping[str, float] = field(factory=dict)
    """The model's own values."""

    @property
    def internal_ohm(self) -> None:
        """In the model, where there is one."""
        return None

    @property
    def limit(self) -> None:
        """In the model, where there is one."""
        return None


Supply = BatterySupply | RegulatedSupply | CapacitorSupply | ModelSupply


@frozen
class PulseChoice:
    """Which pulses a box offers: a list, or a range with a step."""

    offered_s: tuple[float, ...] = ()
    min_s: float | None = None
    max_s: float | None = None
    step_s: float | None = None

    def offers(self, pulse_s: float) -> bool:
        """Tell whether a pulse of this length can be set (1 µs tolerance)."""
        if self.offered_s:
            return any(abs(p - pulse_s) < 1e-6 for p in self.offered_s)
        if self.min_s is None or self.max_s is None:
            return False
        if not self.min_s - 1e-6 <= pulse_s <= self.max_s + 1e-6:
            return False
        if self.step_s is None:
            return True
        steps = (pulse_s - self.min_s) / self.step_s
        return abs(steps - round(steps)) * self.step_s < 1e-6

    def shortest_at_least(self, pulse_s: float) -> float | None:
        """The shortest pulse on offer that is not shorter than `pulse_s`, or None."""
        if self.offered_s:
            longer = [p for p in self.offered_s if p >= pulse_s - 1e-9]
            return min(longer) if longer else None
        if self.min_s is None or self.max_s is None or pulse_s > self.max_s:
            return None
        if pulse_s <= self.min_s:
            return self.min_s
        if self.step_s is None:
            return pulse_s
        steps = -(-(pulse_s - self.min_s - 1e-9) // self.step_s)
        value = round(self.min_s + steps * self.step_s, 9)
        return value if value <= self.max_s + 1e-9 else None


@frozen
class HoldOff:
    """How long a box, output or way cannot take another cue, from the end of the pulse."""

    scope: HoldOffScope
    time_s: float


@frozen
class ContinuityTest:
    """The built-in continuity test: current into a short circuit, and what it reads as closed."""

    current_A: Band | None = None
    threshold_ohm: float | None = None
    """Circuits above this resistance read as open."""


@frozen
class BoxKind:
    """A kind of firing box: a supply plus one or more outputs."""

    id: str
    outputs: int
    ways: int
    """Ways per output."""
    path: PathMap
    supply: Supply
    title: str = ""
    max_strips: int | None = None
    """How many strips one output addresses."""
    pulses: PulseChoice | None = None
    hold_off: HoldOff | None = None
    continuity_test: ContinuityTest | None = None
    output_contact: str | None = None
    switch_ohm: Band | None = None
    min_supply_V: float | None = None
    """Below this supply voltage the box stops working."""
    max_output_A: float | None = None
    price_each: float | None = None
    """What one costs, in the currency of the shows that use the kit."""
    sources: Sources = field(factory=dict)
    extends: str | None = None
    """The entry that this one starts from: ``kit:id``, or the id of one in this kit or in those
    that this kit extends."""


@frozen
class IgniterClass:
    """Electrical and thermal data of a kind of igniter.

    Heating data come in one of these forms, best first: ``heat_capacity_J_per_K``,
    ``loss_W_per_K`` and ``lit_C``; ``threshold_A`` and ``tau_s``; or what a data sheet has
    (``no_fire_A``, ``all_fire_A``, ``all_fire_time_s`` and, where known,
    ``impulse_mJ_per_ohm``), from which the class derives the first two.
    """

    id: str
    kind: IgniterKind
    title: str = ""
    bridge_ohm: Band | None = None
    lead_ohm: Band | None = None
    """Both leads as supplied, together."""
    alpha_per_K: float = 0.0
    heat_capacity_J_per_K: Band | None = None
    loss_W_per_K: Band | None = None
    lit_C: Band | None = None
    threshold_A: Band | None = None
    tau_s: Band | None = None
    no_fire_A: float | None = None
    all_fire_A: float | None = None
    all_fire_time_s: float | None = None
    impulse_mJ_per_ohm: Band | None = None
    series_fire_A: float | None = None
    burn_open: Band | None = None
    """Temperature rise at which the bridge parts, over the rise that lights it (above 1)."""
    after_fire: AfterFire | None = None
    """What the bridge is once it has parted."""
    after_fire_ohm: Band | None = None
    """Resistance after parting, for ``shorted`` and ``residual``."""
    default_pulse_s: float | None = None
    batch_share: float | None = None
    """Part of the variance of its values that igniters of one batch have in common."""
    model: str | None = None
    """Name of an igniter model that a plugin provides, in place of the built-in law."""
    parameters: Mapping[str, float] = field(factory=dict)
    """The model's own values."""
    price_each: float | None = None
    """What one costs, in the currency of the shows that use the kit."""
    sources: Sources = field(factory=dict)
    extends: str | None = None
    """The entry that this one starts from: ``kit:id``, or the id of one in this kit or in those
    that this kit extends."""


@frozen
class Kit:
    """A kit profile: a file that describes somebody's own hardware."""

    format: int
    id: str
    title: str = ""
    version: str = ""
    contact: tuple[Contact, ...] = ()
    cable: tuple[CableSpec, ...] = ()
    strip: tuple[StripKind, ...] = ()
    splitter: tuple[SplitterKind, ...] = ()
    igniter_class: tuple[IgniterClass, ...] = ()
    box: tuple[BoxKind, ...] = ()
    extends: tuple[str, ...] = field(default=(), metadata={"or_one": True})
    """Id of the kit that this one starts from, or a list of ids, of which the first goes first."""
    samples: str | None = None
    """CSV file beside the profile with values that were learned together."""
