"""What in a kit profile cannot be, or can hardly be, by physics: one kit alone, without a show.

Each judgment compares values of a profile with one another or with what matter allows. Figures
that bound what is usual rather than possible say so.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from attrs import evolve, frozen

from bridgewire.diagnostics import DocPath
from bridgewire.errors import ModelRangeError
from bridgewire.model.band import Band
from bridgewire.model.kit import (
    BatterySupply,
    BoxKind,
    CableSpec,
    CapacitorSupply,
    Contact,
    IgniterClass,
    Kit,
    Supply,
)
from bridgewire.physics.bridge_heating import light_time
from bridgewire.physics.cable import cable_ohm_per_m
from bridgewire.physics.conductors import awg_area_m2
from bridgewire.physics.continuity import allowed_test_current_A
from bridgewire.physics.igniter_data import REFERENCE_C, Heating, heating

MAX_A_PER_MM2 = 20.0
"""Steady current density above which a rated current is hardly right; common practice, no
source."""
MAX_CONTACT_W = 2.0
"""Heat in one contact at its rated current; common practice, no source."""
LOOP_RATIO = (1.85, 2.15)
"""Stated over computed resistance that looks like feed and return counted together."""
MAX_OVER_SIZE = 2.5
"""Stated over computed resistance above which unit or size is wrong; copper-clad aluminium
counted as copper gives 1.6."""
ENERGY_J = (1e-3, 5e3)
"""Energy of a firing capacitor; common practice, no source."""
MAX_RECHARGE_W = 2000.0
"""Power of a charger; common practice, no source."""
FAST_TAU_S = 0.2
"""An electric match is quicker than this, a clip-on wire is slower than a tenth of it; common
practice, no source."""

ALL_FIRE_FACTOR = 1.5
"""What a firing current should be over the all-fire current: 14 CFR Part 417 Appendix D,
D417.19(l)(1)."""


@frozen
class Judgment:
    """One value that is hardly right."""

    table: str
    index: int
    key: str
    """Dotted, within the entry."""
    message: str
    measured: float
    limit: float
    unit: str

    @property
    def path(self) -> DocPath:
        """Path in the kit's document."""
        return (self.table, self.index, *self.key.split("."))


Found = tuple[str, str, float, float, str]
"""Key, message, measured, limit, unit."""


def kit_judgments(kit: Kit) -> Iterator[Judgment]:
    """Judge all entries of a kit.

    Parameters
    ----------
    kit : Kit

    Yields
    ------
    Judgment

    Examples
    --------
    >>> kit = Kit(1, "club", contact=(Contact("plug", contact_ohm=Band.exact(2.0), rated_A=5.0),))
    >>> [j.message for j in kit_judgments(kit)]
    ['at 5 A one contact of 2 ohm would turn 50 W into heat']
    """
    groups: tuple[tuple[str, Sequence[tuple[int, Iterator[Found]]]], ...] = (
        ("contact", [(i, contact_faults(c)) for i, c in enumerate(kit.contact)]),
        ("cable", [(i, cable_faults(c)) for i, c in enumerate(kit.cable)]),
        ("igniter_class", [(i, igniter_faults(c)) for i, c in enumerate(kit.igniter_class)]),
        ("box", [(i, box_faults(b, kit)) for i, b in enumerate(kit.box)]),
    )
    for table, entries in groups:
        for index, found in entries:
            for key, message, measured, limit, unit in found:
                yield Judgment(table, index, key, message, measured, limit, unit)


def contact_faults(contact: Contact) -> Iterator[Found]:
    """Judge a contact."""
    if contact.contact_ohm is None or contact.rated_A is None:
        return
    heat = contact.rated_A**2 * contact.contact_ohm.typical
    if heat > MAX_CONTACT_W:
        yield (
            "contact_ohm",
            f"at {contact.rated_A:g} A one contact of {contact.contact_ohm.typical:g} ohm would "
            f"turn {heat:.3g} W into heat",
            heat,
            MAX_CONTACT_W,
            "W",
        )


def cable_faults(cable: CableSpec) -> Iterator[Found]:
    """Judge a cable. A resistance below what the metal allows is rule KIT006's."""
    size = cable_ohm_per_m(evolve(cable, ohm_per_m=None))
    stated = cable.ohm_per_m
    if size is not None and stated is not None:
        ratio = stated.typical / size.typical
        if LOOP_RATIO[0] <= ratio <= LOOP_RATIO[1]:
            yield (
                "ohm_per_m",
                f"{stated.typical:.3g} ohm per metre is twice what its size has "
                f"({size.typical:.3g}): feed and return seem to be counted together; the key is "
                "for one conductor, one way",
                ratio,
                1.0,
                "",
            )
        elif stated.min > MAX_OVER_SIZE * size.max:
            yield (
                "ohm_per_m",
                f"{stated.min:.3g} ohm per metre is far more than its size has "
                f"({size.max:.3g} at most): unit, gauge or number of conductors may be wrong",
                stated.min,
                MAX_OVER_SIZE * size.max,
                "ohm/m",
            )
    if cable.clad_copper_pct is not None and cable.metal != "copper-clad-aluminium":
        yield (
            "clad_copper_pct",
            f"a copper share of {cable.clad_copper_pct:g} % is stated, but the metal is "
            f"{cable.metal}",
            cable.clad_copper_pct,
            100.0,
            "%",
        )
    area = cable.area_mm2
    if cable.gauge_awg is not None:
        of_gauge = float(awg_area_m2(cable.gauge_awg)) * 1e6
        if area is not None and not 0.8 <= area / of_gauge <= 1.25:
            yield (
                "area_mm2",
                f"{area:g} mm² and {cable.gauge_awg:g} AWG ({of_gauge:.3g} mm²) are not one size",
                area,
                of_gauge,
                "mm²",
            )
        area = of_gauge if area is None else area
    if area is not None and cable.rated_A is not None and cable.rated_A > MAX_A_PER_MM2 * area:
        yield (
            "rated_A",
            f"{cable.rated_A:g} A steadily through {area:.3g} mm² is more than "
            f"{MAX_A_PER_MM2:g} A per mm²",
            cable.rated_A,
            MAX_A_PER_MM2 * area,
            "A",
        )


def heating_of(cls: IgniterClass) -> Heating | None:
    """Heating constants at 20 °C; None where data are missing or contradict one another."""
    try:
        return heating(cls, Band.exact(REFERENCE_C))
    except ModelRangeError:
        return None


def igniter_faults(cls: IgniterClass) -> Iterator[Found]:
    """Judge an igniter class. Threshold against no-fire and all-fire is rule KIT007's."""
    bridge, rest = cls.bridge_ohm, cls.after_fire_ohm
    if bridge is not None and rest is not None:
        if cls.after_fire == "residual" and rest.max < bridge.min:
            yield (
                "after_fire_ohm",
                f"a burned bridge of at most {rest.max:g} ohm would conduct better than a whole "
                f"one of {bridge.min:g} ohm; that is a short circuit",
                rest.max,
                bridge.min,
                "ohm",
            )
        if cls.after_fire == "shorted" and rest.min > bridge.max:
            yield (
                "after_fire_ohm",
                f"{rest.min:g} ohm is more than the whole bridge has; that is no short circuit",
                rest.min,
                bridge.max,
                "ohm",
            )
    data = heating_of(cls)
    if data is None:
        return
    tau = data.typical[1]
    key = "tau_s" if cls.tau_s is not None else "kind"
    if cls.kind == "electric-match" and tau > FAST_TAU_S:
        yield key, f"a time constant of {tau:.3g} s is no electric match's", tau, FAST_TAU_S, "s"
    if cls.kind == "clip-on-nichrome" and tau < FAST_TAU_S / 10.0:
        message = f"a time constant of {tau:.3g} s is too quick for a wire that heats a fuse"
        yield key, message, tau, FAST_TAU_S / 10.0, "s"
    if cls.default_pulse_s is not None and cls.all_fire_A is not None:
        late, current = math.inf, ALL_FIRE_FACTOR * cls.all_fire_A
        if data.slow[0] < current:
            late = float(light_time(current, *data.slow))
        if cls.default_pulse_s < late < math.inf:
            yield (
                "default_pulse_s",
                f"in a pulse of {cls.default_pulse_s:g} s the slowest piece does not light at "
                f"{ALL_FIRE_FACTOR:g} times its all-fire current ({current:g} A); that takes "
                f"{late:.3g} s",
                cls.default_pulse_s,
                late,
                "s",
            )


def box_faults(box: BoxKind, kit: Kit) -> Iterator[Found]:
    """Judge a box, alone and with the cables and igniter classes of its kit."""
    yield from supply_faults(box.supply)
    full = box.supply.charged_V if box.supply.kind == "capacitor" else box.supply.open_circuit_V
    if box.min_supply_V is not None and full is not None and box.min_supply_V >= full.max:
        yield (
            "min_supply_V",
            f"the box stops below {box.min_supply_V:g} V, but its supply has at most {full.max:g} "
            "V at rest",
            box.min_supply_V,
            full.max,
            "V",
        )
    yield from _against_contacts(box, kit)
    yield from _against_cables(box, kit)
    yield from _against_test(box, kit.igniter_class)
    yield from _lights_nothing(box, kit.igniter_class, full)


def supply_faults(supply: Supply) -> Iterator[Found]:
    """Judge a supply."""
    if isinstance(supply, CapacitorSupply):
        yield from _capacitor_faults(supply)
    elif isinstance(supply, BatterySupply):
        yield from _battery_faults(supply)
    limit = supply.limit
    short = None if limit is None else limit.short_circuit_A
    if limit is not None and short is not None and short.min > limit.limit_A.max:
        yield (
            "supply.limit.short_circuit_A",
            f"a fold-back limit gives less into a short circuit ({short.min:g} A) than at full "
            f"voltage ({limit.limit_A.max:g} A), not more",
            short.min,
            limit.limit_A.max,
            "A",
        )


def _capacitor_faults(supply: CapacitorSupply) -> Iterator[Found]:
    energy = stored_J(supply)
    if energy is None:
        return
    if not ENERGY_J[0] <= energy <= ENERGY_J[1]:
        low = energy < ENERGY_J[0]
        yield (
            "supply.capacitance_F",
            f"the capacitor would hold {energy:.3g} J; a firing box has between {ENERGY_J[0]:g} "
            f"and {ENERGY_J[1]:g} J (is the capacitance in farads?)",
            energy,
            ENERGY_J[0] if low else ENERGY_J[1],
            "J",
        )
    elif supply.recharge_s is not None and energy / supply.recharge_s.typical > MAX_RECHARGE_W:
        power = energy / supply.recharge_s.typical
        yield (
            "supply.recharge_s",
            f"charging {energy:.3g} J in {supply.recharge_s.typical:g} s takes {power:.3g} W",
            power,
            MAX_RECHARGE_W,
            "W",
        )


def stored_J(supply: CapacitorSupply) -> float | None:
    """Energy of a charged capacitor, J: C V²/2, typical values; None where one is missing.

    >>> stored_J(CapacitorSupply("capacitor", Band.exact(40.0), Band.exact(0.005)))
    4.0
    """
    if supply.charged_V is None or supply.capacitance_F is None:
        return None
    return supply.capacitance_F.typical * supply.charged_V.typical**2 / 2.0


def _battery_faults(supply: BatterySupply) -> Iterator[Found]:
    curve = sorted(supply.charge_curve, key=lambda p: p.charge_pct)
    for low, high in pairwise(curve):
        if high.open_circuit_V < low.open_circuit_V:
            yield (
                "supply.charge_curve",
                f"the voltage falls from {low.open_circuit_V:g} to {high.open_circuit_V:g} V "
                f"between {low.charge_pct:g} and {high.charge_pct:g} % of charge",
                high.open_circuit_V,
                low.open_circuit_V,
                "V",
            )
    volts = supply.open_circuit_V
    if curve and volts is not None and curve[-1].charge_pct >= 99.0:
        top = curve[-1].open_circuit_V
        if not 0.9 * volts.min <= top <= 1.1 * volts.max:
            yield (
                "supply.charge_curve",
                f"full charge is {top:g} V in the curve, but {volts.typical:g} V in open_circuit_V",
                top,
                volts.typical,
                "V",
            )
    cold = sorted(supply.cold_curve, key=lambda p: p.at_C)
    for colder, warmer in pairwise(cold):
        if warmer.capacity_pct < colder.capacity_pct and warmer.at_C <= 25.0:
            yield (
                "supply.cold_curve",
                f"the capacity falls from {colder.capacity_pct:g} to {warmer.capacity_pct:g} % "
                f"between {colder.at_C:g} and {warmer.at_C:g} °C; cold takes capacity, warmth "
                "gives it",
                warmer.capacity_pct,
                colder.capacity_pct,
                "%",
            )


def _against_contacts(box: BoxKind, kit: Kit) -> Iterator[Found]:
    rated = {c.id: c.rated_A for c in kit.contact}.get(box.output_contact or "")
    conductors = max(box.path.feed_conductors, box.path.return_conductors) * box.ways
    if rated is None or box.max_output_A is None:
        return
    if box.max_output_A > rated * conductors:
        yield (
            "max_output_A",
            f"{box.max_output_A:g} A through {conductors} contacts of {box.output_contact!r} is "
            f"more than their {rated:g} A each",
            box.max_output_A,
            rated * conductors,
            "A",
        )


def _against_cables(box: BoxKind, kit: Kit) -> Iterator[Found]:
    needed = box.path.conductors_needed(1)
    if box.path.map == "matrix":
        needed = box.path.conductors_needed(box.ways)
        rows, columns = box.path.rows or 0, box.path.columns or 0
        if 0 < rows * columns < box.ways:
            yield (
                "path.rows",
                f"{rows} rows and {columns} columns make {rows * columns} ways, not {box.ways}",
                rows * columns,
                box.ways,
                "",
            )
    most = max((c.conductors for c in kit.cable), default=None)
    if most is not None and most < needed:
        yield (
            "path.map",
            f"one way needs {needed} conductors, but no cable of the kit has more than {most}",
            float(most),
            float(needed),
            "",
        )


def _against_test(box: BoxKind, classes: Sequence[IgniterClass]) -> Iterator[Found]:
    """Judge a box's continuity test by the most delicate and the largest igniter of the kit."""
    test = box.continuity_test
    if test is None:
        return
    delicate = [(c.no_fire_A, c.id) for c in classes if c.no_fire_A is not None]
    if test.current_A is not None and delicate:
        no_fire, name = min(delicate)
        allowed = float(allowed_test_current_A(no_fire))
        if test.current_A.max > allowed:
            yield (
                "continuity_test.current_A",
                f"a test current of {test.current_A.max * 1e3:.3g} mA is more than igniter class "
                f"{name!r} may have ({allowed * 1e3:.3g} mA)",
                test.current_A.max,
                allowed,
                "A",
            )
    whole = [
        (c.bridge_ohm.max + (0.0 if c.lead_ohm is None else c.lead_ohm.max), c.id)
        for c in classes
        if c.bridge_ohm is not None
    ]
    if test.threshold_ohm is not None and whole and test.threshold_ohm < max(whole)[0]:
        most, name = max(whole)
        yield (
            "continuity_test.threshold_ohm",
            f"one igniter of class {name!r} has up to {most:.3g} ohm and would read as open",
            test.threshold_ohm,
            most,
            "ohm",
        )


def _lights_nothing(
    box: BoxKind, classes: Sequence[IgniterClass], full: Band | None
) -> Iterator[Found]:
    """Judge whether the box could light one igniter of any class of the kit, with no cable."""
    if full is None:
        return
    found = [_too_weak(box, c, full) for c in classes]
    known = [f for f in found if f is not None]
    if known and all(known):
        yield from known[-1]


def _too_weak(box: BoxKind, cls: IgniterClass, full: Band) -> list[Found] | None:
    """What keeps the box from lighting one igniter at best; None where data are missing."""
    data, bridge, supply = heating_of(cls), cls.bridge_ohm, box.supply
    inner = supply.series_ohm if isinstance(supply, CapacitorSupply) else supply.internal_ohm
    if data is None or bridge is None or inner is None:
        return None
    most = full.max / (inner.min + bridge.min)
    key = "supply"
    if supply.limit is not None and supply.limit.limit_A.max < most:
        most, key = supply.limit.limit_A.max, "supply.limit.limit_A"
    if most < data.fast[0]:
        message = (
            f"without any cable at most {most:.3g} A flow through one igniter of class "
            f"{cls.id!r}, which needs {data.fast[0]:.3g} A at the least; so with every class of "
            "the kit"
        )
        return [(key, message, most, data.fast[0], "A")]
    energy = stored_J(supply) if isinstance(supply, CapacitorSupply) else None
    needed = data.fast[0] ** 2 * data.fast[1] * bridge.min
    if energy is not None and energy < needed:
        message = (
            f"the capacitor holds {energy:.3g} J; one igniter of class {cls.id!r} takes "
            f"{needed:.3g} J at the least; so with every class of the kit"
        )
        return [("supply.capacitance_F", message, energy, needed, "J")]
    return []
