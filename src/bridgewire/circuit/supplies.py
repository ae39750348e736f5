"""What drives a box on site: its supply with state of charge, cold and tolerances."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from attrs import field, frozen

from bridgewire.circuit.elements import Missing
from bridgewire.circuit.layout import Layout
from bridgewire.model.band import Band
from bridgewire.model.kit import (
    BatterySupply,
    BoxKind,
    CapacitorSupply,
    CurrentLimit,
    ModelSupply,
    RegulatedSupply,
)
from bridgewire.model.show import Box
from bridgewire.physics.laws import Models, SupplyModel


def left_pct(charge_pct: float, used_C: float, capacity_C: float) -> float:
    """Charge left of what the full battery holds, %; nothing where it holds nothing.

    >>> left_pct(90.0, 36.0, 360.0), left_pct(90.0, 1.0, 0.0)
    (80.0, 0.0)
    """
    if used_C <= 0.0:
        return charge_pct
    return max(charge_pct - 100.0 * used_C / capacity_C, 0.0) if capacity_C > 0.0 else 0.0


@frozen
class BatteryState:
    """State of a battery at the start of the show."""

    charge_pct: Band
    capacity_C: float
    """Charge the full battery gives at the coldest site temperature, coulomb."""
    curve_pct: tuple[float, ...]
    curve_V: tuple[float, ...]

    def fall_V(self, used_C: float, start_pct: float) -> float:
        """How far the open-circuit voltage has fallen after giving `used_C` from `start_pct`, V."""
        now = left_pct(start_pct, used_C, self.capacity_C)
        v = np.interp([start_pct, now], self.curve_pct, self.curve_V)
        return float(v[0] - v[1])


@frozen
class SupplyData:
    """A box's supply, ready for the solver; its bands hold the tolerances."""

    emf_V: Band
    internal_ohm: Band
    limit_A: Band | None
    short_circuit_A: Band | None
    capacitance_F: Band | None = None
    recharge_s: Band | None = None
    battery: BatteryState | None = None
    model: SupplyModel | None = None
    parameters: Mapping[str, float] = field(factory=dict)


def site_ambient(layout: Layout, box: Box | None = None) -> Band | None:
    """Ambient temperature at a box (its own or the site's), °C; None where nobody says."""
    if box is not None and box.ambient_C is not None:
        return box.ambient_C
    return layout.show.site.ambient_C


def supply_data(
    layout: Layout, box_id: str, ambient_C: Band
) -> tuple[SupplyData | None, tuple[Missing, ...]]:
    """The supply of a box on site.

    Parameters
    ----------
    layout : Layout
    box_id : str
    ambient_C : Band
        Ambient at the box.

    Returns
    -------
    SupplyData or None
        None where a value that the circuit needs is missing.
    tuple of Missing
    """
    index, kind, kind_id = layout.boxes[box_id]
    box = layout.show.box[index]
    supply = kind.supply
    if isinstance(supply, CapacitorSupply):
        return _capacitor(supply, kind_id)
    if isinstance(supply, ModelSupply):
        return _from_model(supply, kind_id, box, layout.models)
    if isinstance(supply, RegulatedSupply):
        return _regulated(supply, kind_id, box)
    return _battery(supply, kind_id, box, ambient_C)


def diode_drop(kind: BoxKind) -> Band:
    """Constant drop of the diode in every way of a box, V."""
    return kind.path.diode.drop_V if kind.path.diode is not None else Band(0.0, 0.0, 0.0)


def _lack(kind_id: str, keys: Sequence[str], prevents: str, blocks: bool = True) -> list[Missing]:
    document = f"kit:{kind_id.split(':')[0]}"
    return [Missing(document, kind_id, "box", f"supply.{k}", prevents, blocks) for k in keys]


def _absent(supply: object, keys: Sequence[str]) -> list[str]:
    return [k for k in keys if getattr(supply, k) is None]


def _limits(
    limit: CurrentLimit | None, kind_id: str
) -> tuple[Band | None, Band | None, list[Missing]]:
    if limit is None:
        return None, None, []
    if limit.kind == "constant-current":
        return limit.limit_A, limit.limit_A, []
    if limit.short_circuit_A is None:
        return None, None, _lack(kind_id, ["limit.short_circuit_A"], "the current on the limit")
    return limit.limit_A, limit.short_circuit_A, []


def _capacitor(
    supply: CapacitorSupply, kind_id: str
) -> tuple[SupplyData | None, tuple[Missing, ...]]:
    missing = _lack(
        kind_id,
        _absent(supply, ("charged_V", "capacitance_F", "series_ohm", "recharge_s")),
        "what the box delivers",
    )
    limit, short, more = _limits(supply.limit, kind_id)
    missing += more
    if missing or supply.charged_V is None or supply.series_ohm is None:
        return None, tuple(missing)
    return (
        SupplyData(
            supply.charged_V,
            supply.series_ohm,
            limit,
            short,
            supply.capacitance_F,
            supply.recharge_s,
        ),
        (),
    )


def _regulated(
    supply: RegulatedSupply, kind_id: str, box: Box
) -> tuple[SupplyData | None, tuple[Missing, ...]]:
    emf = box.supply_V or supply.open_circuit_V
    missing = _lack(kind_id, _absent(supply, ("internal_ohm",)), "what the box delivers")
    if emf is None:
        missing += _lack(kind_id, ["open_circuit_V"], "what the box delivers")
    limit, short, more = _limits(supply.limit, kind_id)
    missing += more
    if missing or emf is None or supply.internal_ohm is None:
        return None, tuple(missing)
    return SupplyData(emf, supply.internal_ohm, limit, short), ()


def _from_model(
    supply: ModelSupply, kind_id: str, box: Box, models: Models
) -> tuple[SupplyData | None, tuple[Missing, ...]]:
    emf = box.supply_V or supply.open_circuit_V
    model = models.supplies.get(supply.model)
    keys = [] if emf is not None else ["open_circuit_V"]
    if model is None:
        keys.append(f"model {supply.model}")
    else:
        keys += [f"parameters.{k}" for k in model.parameters if k not in supply.parameters]
    if keys or emf is None:
        return None, tuple(_lack(kind_id, keys, "what the box delivers"))
    none = Band(0.0, 0.0, 0.0)
    return SupplyData(emf, none, None, None, model=model, parameters=supply.parameters), ()


def _battery(
    supply: BatterySupply, kind_id: str, box: Box, ambient_C: Band
) -> tuple[SupplyData | None, tuple[Missing, ...]]:
    missing = _lack(kind_id, _absent(supply, ("internal_ohm",)), "what the box delivers")
    limit, short, more = _limits(supply.limit, kind_id)
    missing += more
    emf, state, lacks = _battery_state(supply, kind_id, box, ambient_C)
    missing += lacks
    factors = [
        (p.at_C, p.internal_ohm_factor)
        for p in supply.cold_curve
        if p.internal_ohm_factor is not None
    ]
    coldest = min((at for at, _ in factors), default=-math.inf)
    if ambient_C.min < coldest:
        what = f"the battery's resistance below {coldest:g} °C, where its cold_curve begins"
        missing += _lack(kind_id, ["cold_curve"], what)
    if any(m.blocks for m in missing) or emf is None or supply.internal_ohm is None:
        return None, tuple(missing)
    internal = supply.internal_ohm
    if factors:
        at, factor = zip(*sorted(factors), strict=True)
        f = np.interp([ambient_C.max, ambient_C.typical, ambient_C.min], at, factor)
        internal = Band(
            internal.min * float(min(f)),
            internal.typical * float(f[1]),
            internal.max * float(max(f)),
        )
    return SupplyData(emf, internal, limit, short, battery=state), tuple(missing)


def _battery_state(
    supply: BatterySupply, kind_id: str, box: Box, ambient_C: Band
) -> tuple[Band | None, BatteryState | None, list[Missing]]:
    """Open-circuit voltage at the start of the show and the state of charge behind it."""
    curve = sorted((p.charge_pct, p.open_circuit_V) for p in supply.charge_curve)
    pct = tuple(p for p, _ in curve)
    volt = tuple(v for _, v in curve)
    missing: list[Missing] = []
    charge = box.charge_pct
    emf = box.supply_V
    if emf is None and charge is not None:
        if supply.open_circuit_V is None or not curve:
            return (
                None,
                None,
                _lack(kind_id, ["open_circuit_V and charge_curve"], "the voltage at this charge"),
            )
        full = supply.open_circuit_V
        at = np.interp([charge.min, charge.typical, charge.max], pct, volt) - volt[-1]
        emf = Band(full.min + at[0], full.typical + at[1], full.max + at[2])
    if emf is None:
        if supply.open_circuit_V is None or not curve:
            missing = _lack(
                kind_id,
                ["open_circuit_V and charge_curve"],
                "the voltage of a battery whose state nobody states",
            )
            return None, None, missing
        # Nobody says how full it is: from empty to full.
        full = supply.open_circuit_V
        emf = Band(full.min + volt[0] - volt[-1], full.typical, full.max)
        charge = Band(pct[0], 100.0, 100.0)
    if charge is None:
        if not curve:
            return emf, None, _lack(kind_id, ["charge_curve"], "how the battery sags", False)
        at_V = np.interp([emf.min, emf.typical, emf.max], volt, pct)
        charge = Band(float(at_V[0]), float(at_V[1]), float(at_V[2]))
    soft = _absent(supply, ("capacity_Ah",)) + ([] if supply.cold_curve else ["cold_curve"])
    if soft or supply.capacity_Ah is None or not curve:
        return (
            emf,
            None,
            _lack(
                kind_id,
                soft,
                "the charge left and the sag of the battery through the show and in the cold",
                False,
            ),
        )
    cold = sorted((p.at_C, p.capacity_pct) for p in supply.cold_curve)
    share = float(np.interp(ambient_C.min, [c for c, _ in cold], [s for _, s in cold])) / 100.0
    capacity = 3600.0 * supply.capacity_Ah.min * share
    return emf, BatteryState(charge, capacity, pct, volt), missing
