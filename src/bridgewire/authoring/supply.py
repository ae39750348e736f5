"""Internal resistance and current limit of a supply, from voltages on known resistors."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Literal

from attrs import frozen

from bridgewire.authoring.meter import not_below_zero, overlap, worst_case
from bridgewire.model.band import Band

LimitKind = Literal["none seen", "constant-current", "fold-back", "unknown"]


class BenchError(ValueError):
    """Readings that cannot be, or that do not tell what is asked of them."""


@frozen
class LoadReading:
    """Voltage at the terminals with a known resistor across them."""

    load_ohm: Band
    voltage_V: Band

    @property
    def current_A(self) -> Band:
        """Current through the resistor, A."""
        return worst_case(lambda v, r: v / r, self.voltage_V, self.load_ohm)


@frozen
class SupplyEstimate:
    """What the readings say of a supply."""

    open_circuit_V: Band
    internal_ohm: Band | None
    """None where every load was on the limit."""
    limit: LimitKind
    limit_A: Band | None = None
    short_circuit_A: Band | None = None
    notes: tuple[str, ...] = ()


def internal_ohm(open_V: Band, load: LoadReading) -> Band:
    """Internal resistance from the fall of voltage on one load: ``(V0 - V1) R / V1``.

    Parameters
    ----------
    open_V : Band
        Open-circuit voltage, V, read just before.
    load : LoadReading

    Returns
    -------
    Band
        Ohm; interval. The least value is cut at 0.

    Raises
    ------
    BenchError
        If the voltage is above the open-circuit voltage, or is 0.

    References
    ----------
    The two-point method, as in a web article on measuring cells with a 4 ohm resistor.

    Examples
    --------
    >>> load = LoadReading(Band.exact(4.0), Band.exact(3.6))
    >>> round(internal_ohm(Band.exact(4.0), load).typical, 3)
    0.444
    """
    if load.voltage_V.min <= 0.0 or load.load_ohm.min <= 0.0:
        raise BenchError("voltage and resistor must be above 0")
    found = worst_case(lambda v0, v1, r: (v0 - v1) * r / v1, open_V, load.voltage_V, load.load_ohm)
    if found.max < 0.0:
        raise BenchError(
            f"the voltage on the load ({load.voltage_V.typical:g} V) is above the open-circuit "
            f"voltage ({open_V.typical:g} V): were they swapped, or had the battery just been "
            "charged?"
        )
    return not_below_zero(found)


def supply_estimate(open_V: Band, loads: Sequence[LoadReading]) -> SupplyEstimate:
    """Find internal resistance and current limit of a supply.

    Parameters
    ----------
    open_V : Band
        Open-circuit voltage, V.
    loads : sequence of LoadReading
        One to three loads. With two, a limit shows: the smaller resistor's point lies below the
        line through the open-circuit voltage and the larger one's. With three, the kind of limit
        shows: equal currents (constant current), or less current at less voltage (fold-back).

    Returns
    -------
    SupplyEstimate
        Bands are intervals. Where two loads lie on one line, each gives an interval that holds
        the resistance; the part that they share is returned.

    Raises
    ------
    BenchError
        If the readings contradict one another.

    Notes
    -----
    One point on the limit does not tell its kind, and a fold-back limit gives less and less as
    the load grows; so `limit` is then ``unknown``, and nobody should compute with it.

    Examples
    --------
    >>> def load(ohm, volts):
    ...     return LoadReading(Band.with_percent(ohm, 1), Band.with_tolerance(volts, 0.02))
    >>> supply_estimate(Band.with_tolerance(24, 0.02), [load(20, 23.5), load(10, 23.04)]).limit
    'none seen'
    >>> supply_estimate(Band.with_tolerance(24, 0.02), [load(20, 23.5), load(5, 10.0)]).limit
    'unknown'
    """
    if not 1 <= len(loads) <= 3:
        raise BenchError("one to three loads are needed")
    ordered = sorted(loads, key=lambda one: -one.load_ohm.typical)
    for larger, smaller in pairwise(ordered):
        if overlap(larger.load_ohm, smaller.load_ohm):
            raise BenchError("the resistors are too much alike to tell anything from both")
    first = ordered[0]
    resistance = internal_ohm(open_V, first)
    if len(ordered) == 1:
        note = "only one load: whether the supply limits its current is not known"
        return SupplyEstimate(open_V, resistance, "unknown", notes=(note,))
    on_limit: list[LoadReading] = []
    for load in ordered[1:]:
        expected = worst_case(lambda v, r, i: v * r / (r + i), open_V, load.load_ohm, resistance)
        if load.voltage_V.min > expected.max:
            raise BenchError(
                f"{load.voltage_V.typical:g} V on {load.load_ohm.typical:g} Ω is more than "
                f"{expected.max:.3g} V, which the larger resistor allows at most: did the battery "
                "warm up or recover in between? Read both again, shortly after one another"
            )
        if load.voltage_V.max < expected.min:
            on_limit.append(load)
        elif on_limit:
            raise BenchError("a load is limited but a heavier one is not")
        else:
            again = internal_ohm(open_V, load)
            low, high = max(resistance.min, again.min), min(resistance.max, again.max)
            middle = min(max(again.typical, low), high)
            resistance = Band(low, middle, high) if low <= high else resistance
    if not on_limit:
        note = f"no limit up to {ordered[-1].current_A.typical:.3g} A, the largest current tried"
        return SupplyEstimate(open_V, resistance, "none seen", notes=(note,))
    if overlap(first.current_A, on_limit[0].current_A):
        note = (
            "both resistors draw the same current: the larger one may be on the limit too, so the "
            "internal resistance is not known; try a larger one"
        )
        current = worst_case(lambda a: a, first.current_A)
        return SupplyEstimate(open_V, None, "constant-current", current, notes=(note,))
    return _limited(open_V, resistance, on_limit)


def _limited(open_V: Band, resistance: Band, loads: Sequence[LoadReading]) -> SupplyEstimate:
    if len(loads) == 1:
        note = (
            f"limited to {loads[0].current_A.typical:.3g} A at {loads[0].voltage_V.typical:.3g} V; "
            "one point does not tell constant current from fold-back: try a smaller resistor too"
        )
        return SupplyEstimate(open_V, resistance, "unknown", notes=(note,))
    upper, lower = loads
    a, b = upper.current_A, lower.current_A
    if overlap(a, b):
        limit = Band(min(a.min, b.min), (a.typical + b.typical) / 2.0, max(a.max, b.max))
        return SupplyEstimate(open_V, resistance, "constant-current", limit)
    if b.min > a.max:
        raise BenchError(
            "the heavier load draws more current on the limit: neither constant current nor "
            "fold-back does that; a weak battery may"
        )
    if overlap(upper.voltage_V, lower.voltage_V):
        raise BenchError(
            "the two loads on the limit have the same voltage; take them farther apart"
        )

    def slope(v2: float, v3: float, r2: float, r3: float) -> float:
        return (v2 / r2 - v3 / r3) / (v2 - v3)

    readings = (upper.voltage_V, lower.voltage_V, upper.load_ohm, lower.load_ohm)
    # The ends of these two lie at corners as long as the readings' errors are small beside the
    # distance of the two points, which the refusals above see to.
    limit = worst_case(
        lambda v0, v2, v3, r2, r3: v2 / r2 + slope(v2, v3, r2, r3) * (v0 - v2), open_V, *readings
    )
    short = worst_case(lambda v2, v3, r2, r3: v3 / r3 - slope(v2, v3, r2, r3) * v3, *readings)
    if short.max <= 0.0:
        raise BenchError("the current on the limit would fall to nothing before a short circuit")
    return SupplyEstimate(open_V, resistance, "fold-back", limit, not_below_zero(short))
