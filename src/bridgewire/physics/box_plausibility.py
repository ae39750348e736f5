"""What in a box or its supply can hardly be, by physics, alone or with the rest of its kit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from bridgewire.model.band import Band
from bridgewire.model.kit import (
    BatterySupply,
    BoxKind,
    CapacitorSupply,
    IgniterClass,
    Kit,
    Supply,
)
from bridgewire.physics.continuity import allowed_test_current_A
from bridgewire.physics.part_plausibility import Found, heating_of
from bridgewire.units import amperes, plain, told_apart

ENERGY_J = (1e-3, 5e3)
"""Energy of a firing capacitor; common practice, no source."""
MAX_RECHARGE_W = 2000.0
"""Power of a charger; common practice, no source."""


def box_faults(box: BoxKind, kit: Kit) -> Iterator[Found]:
    """Judge a box, alone and with the contacts, cables and igniter classes of its kit.

    Parameters
    ----------
    box : BoxKind
        Nothing is said of values that are absent.
    kit : Kit
        Its kit.

    Yields
    ------
    Found
        Key within the entry, message, measured value, limit, unit.

    Examples
    --------
    >>> from bridgewire.model.kit import PathMap
    >>> supply = BatterySupply("battery", open_circuit_V=Band.exact(12.0))
    >>> box = BoxKind("box", 1, 8, PathMap("pair", 1, 1), supply, min_supply_V=15.0)
    >>> [(key, volts) for key, _, volts, _, _ in box_faults(box, Kit(1, "club"))]
    [('min_supply_V', 15.0)]
    """
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
    """Judge a supply: a capacitor's energy, a battery's curves, a fold-back limit.

    Parameters
    ----------
    supply : Supply
        Nothing is said of values that are absent.

    Yields
    ------
    Found
        Key within the entry, message, measured value, limit, unit.

    Examples
    --------
    47 F in place of 47 mF:

    >>> big = CapacitorSupply("capacitor", Band.exact(40.0), Band.exact(47.0))
    >>> [(key, joule) for key, _, joule, _, _ in supply_faults(big)]
    [('supply.capacitance_F', 37600.0)]
    """
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
    """Energy of a charged capacitor, E = C V² / 2, J.

    Parameters
    ----------
    supply : CapacitorSupply
        Its typical capacitance (F) and voltage (V) are taken.

    Returns
    -------
    float or None
        Joule; None where one of the two is missing.

    Examples
    --------
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
            sends, may = told_apart(amperes, test.current_A.max, limit=allowed)
            yield (
                "continuity_test.current_A",
                f"a test current of {sends} is more than igniter class {name!r} may have ({may})",
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
            f"one igniter of class {name!r} has up to {most:.3g} Ω and would read as open",
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


def _too_weak(box: BoxKind, klass: IgniterClass, full: Band) -> list[Found] | None:
    """What keeps the box from lighting one igniter at best; None where data are missing."""
    data, bridge, supply = heating_of(klass), klass.bridge_ohm, box.supply
    inner = supply.series_ohm if isinstance(supply, CapacitorSupply) else supply.internal_ohm
    if data is None or bridge is None or inner is None:
        return None
    most = full.max / (inner.min + bridge.min)
    key = "supply"
    if supply.limit is not None and supply.limit.limit_A.max < most:
        most, key = supply.limit.limit_A.max, "supply.limit.limit_A"
    if most < data.fast[0]:
        gets, needs = told_apart(amperes, most, limit=data.fast[0])
        message = (
            f"without any cable at most {gets} flow through one igniter of class {klass.id!r}, "
            f"which needs {needs} at the least; so with every class of the kit"
        )
        return [(key, message, most, data.fast[0], "A")]
    energy = stored_J(supply) if isinstance(supply, CapacitorSupply) else None
    needed = data.fast[0] ** 2 * data.fast[1] * bridge.min
    if energy is not None and energy < needed:
        has, takes = told_apart(plain, energy, limit=needed)
        message = (
            f"the capacitor holds {has} J; one igniter of class {klass.id!r} takes {takes} J at "
            "the least; so with every class of the kit"
        )
        return [("supply.capacitance_F", message, energy, needed, "J")]
    return []
