"""What a kit profile does not say, what that keeps from being checked, and what looks wrong."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from attrs import frozen

from bridgewire.model.band import Band
from bridgewire.model.kit import (
    BatterySupply,
    BoxKind,
    CableSpec,
    CapacitorSupply,
    Contact,
    IgniterClass,
    Kit,
    SplitterKind,
    StripKind,
)
from bridgewire.physics.cable import cable_ohm_per_m
from bridgewire.physics.igniter_data import missing_heating_data
from bridgewire.report.figures import number
from bridgewire.rules.kit006_resistance_below_physics import least_ohm_per_m
from bridgewire.rules.kit_items import stated_values

Entry = BoxKind | CableSpec | Contact | IgniterClass | SplitterKind | StripKind


@frozen
class Gap:
    """A value that a profile does not state."""

    item: str
    """Noun and id: ``cable reel``."""
    key: str
    prevents: str
    blocks: bool
    """Whether circuits with this item cannot be computed at all."""


@frozen
class Doubt:
    """A value that is hardly right."""

    item: str
    key: str
    why: str


_CIRCUIT = "every circuit through it"
_CONTACT = ((("contact_ohm",), _CIRCUIT, True), (("rated_A",), "overload of the contact", False))
_WANTED: dict[type, tuple[tuple[tuple[str, ...], str, bool], ...]] = {
    Contact: _CONTACT,
    CableSpec: (
        (("max_length_m",), "runs longer than one piece of cable", False),
        (("insulation",), "heating of the conductors", False),
        (("rated_A",), "overload of the conductors", False),
    ),
    StripKind: (
        (("inlet_contact", "terminal_contact", "inner_ohm"), _CIRCUIT, True),
        (("leads_per_terminal",), "too many leads on one terminal", False),
    ),
    SplitterKind: ((("inlet_contact", "outlet_contact", "inner_ohm"), _CIRCUIT, True),),
    BoxKind: (
        (("output_contact", "switch_ohm"), "every circuit of the box", True),
        (("pulses",), "whether a pulse can be set, and which would do", False),
        (("hold_off",), "cues too soon after one another", False),
        (("continuity_test",), "whether the test current is safe for igniters", False),
        (("min_supply_V",), "whether the supply sags too far", False),
        (("max_output_A",), "overload of an output", False),
        (("max_strips",), "more strips than an output addresses", False),
    ),
    IgniterClass: (
        (("bridge_ohm", "lead_ohm", "burn_open", "after_fire"), "whether it lights", True),
        (("no_fire_A",), "whether test and stray currents are safe", False),
        (("all_fire_A",), "the margin over the all-fire current", False),
        (("default_pulse_s",), "cues that state no pulse", False),
    ),
}
_SUPPLY: dict[type, tuple[tuple[tuple[str, ...], str, bool], ...]] = {
    BatterySupply: (
        (("internal_ohm",), "every circuit of the box", True),
        (("open_circuit_V", "charge_curve"), "shows that state no supply voltage", False),
        (("capacity_Ah", "cold_curve"), "sag and charge of the battery over the show", False),
        (("min_C", "max_C"), "use outside the battery's temperature range", False),
    ),
    CapacitorSupply: (
        (
            ("charged_V", "capacitance_F", "series_ohm", "recharge_s"),
            "every circuit of the box",
            True,
        ),
    ),
}
_REGULATED = ((("open_circuit_V", "internal_ohm"), "every circuit of the box", True),)

_PLAUSIBLE: dict[str, tuple[float, float, str]] = {
    "contact_ohm": (1e-5, 0.5, "ohm"),
    "ohm_per_m": (5e-4, 1.0, "ohm per metre"),
    "inner_ohm": (0.0, 1.0, "ohm"),
    "switch_ohm": (0.0, 2.0, "ohm"),
    "bridge_ohm": (0.1, 200.0, "ohm"),
    "lead_ohm": (0.0, 10.0, "ohm"),
    "tau_s": (1e-4, 60.0, "s"),
    "threshold_A": (0.01, 20.0, "A"),
    "no_fire_A": (0.005, 20.0, "A"),
    "all_fire_A": (0.01, 50.0, "A"),
    "lit_C": (100.0, 1600.0, "°C"),
    "burn_open": (1.0, 5.0, "times the rise that lights"),
    "default_pulse_s": (1e-3, 60.0, "s"),
    "supply.open_circuit_V": (3.0, 120.0, "V"),
    "supply.charged_V": (3.0, 500.0, "V"),
    "supply.internal_ohm": (1e-4, 20.0, "ohm"),
    "supply.series_ohm": (0.0, 20.0, "ohm"),
    "supply.capacitance_F": (1e-6, 10.0, "F"),
    "supply.recharge_s": (1e-3, 600.0, "s"),
    "supply.capacity_Ah": (0.05, 300.0, "Ah"),
    "continuity_test.current_A": (1e-5, 0.05, "A"),
    "hold_off.time_s": (0.0, 600.0, "s"),
}
"""What hardware of this sort has; common practice, no source. Outside it a unit is likely wrong."""


def kit_entries(kit: Kit) -> Iterator[tuple[str, Entry]]:
    """Every entry of a profile with its noun and id: ``cable reel``."""
    groups: tuple[tuple[str, tuple[Entry, ...]], ...] = (
        ("contact", kit.contact),
        ("cable", kit.cable),
        ("strip", kit.strip),
        ("splitter", kit.splitter),
        ("igniter class", kit.igniter_class),
        ("box", kit.box),
    )
    for noun, group in groups:
        for entry in group:
            yield f"{noun} {entry.id}", entry


def kit_gaps(kit: Kit) -> tuple[Gap, ...]:
    """List what a profile does not state.

    Parameters
    ----------
    kit : Kit

    Returns
    -------
    tuple of Gap
        In the profile's order.

    Examples
    --------
    >>> kit = Kit(1, "club", contact=(Contact("plug", contact_ohm=Band.exact(0.02)),))
    >>> [(g.item, g.key) for g in kit_gaps(kit)]
    [('contact plug', 'rated_A')]
    """
    return tuple(gap for item, entry in kit_entries(kit) for gap in _gaps(item, entry))


def _gaps(item: str, entry: Entry) -> Iterator[Gap]:
    yield from _absent(item, entry, _WANTED[type(entry)])
    if isinstance(entry, CableSpec) and cable_ohm_per_m(entry) is None:
        yield Gap(item, "ohm_per_m, gauge_awg or area_mm2", _CIRCUIT, True)
    if isinstance(entry, StripKind) and entry.through and entry.through_contact is None:
        yield Gap(item, "through_contact", "every circuit that goes on from it", True)
    if isinstance(entry, IgniterClass):
        for key in missing_heating_data(entry):
            yield Gap(item, key, "whether it lights", True)
        if entry.after_fire in ("shorted", "residual") and entry.after_fire_ohm is None:
            yield Gap(item, "after_fire_ohm", "whether it lights", True)
    if isinstance(entry, BoxKind):
        wanted = _SUPPLY.get(type(entry.supply), _REGULATED)
        yield from _absent(item, entry.supply, wanted, "supply.")
        limit = entry.supply.limit
        if limit is not None and limit.kind == "fold-back" and limit.short_circuit_A is None:
            yield Gap(item, "supply.limit.short_circuit_A", "every circuit of the box", True)
        test = entry.continuity_test
        if test is not None and test.current_A is None:
            why = "whether the test current is safe for igniters"
            yield Gap(item, "continuity_test.current_A", why, False)


def _absent(
    item: str,
    entry: object,
    wanted: tuple[tuple[tuple[str, ...], str, bool], ...],
    prefix: str = "",
) -> Iterator[Gap]:
    for keys, prevents, blocks in wanted:
        for key in keys:
            if getattr(entry, key) in (None, ()):
                yield Gap(item, f"{prefix}{key}", prevents, blocks)


def kit_doubts(kit: Kit) -> tuple[Doubt, ...]:
    """List values that hardware of this sort does not have.

    Parameters
    ----------
    kit : Kit

    Returns
    -------
    tuple of Doubt

    Examples
    --------
    >>> kit = Kit(1, "club", contact=(Contact("plug", contact_ohm=Band.exact(20.0)),))
    >>> kit_doubts(kit)[0].why
    '20 ohm is outside what is usual (1e-05 to 0.5 ohm)'
    """
    return tuple(doubt for item, entry in kit_entries(kit) for doubt in _doubts(item, entry))


def _doubts(item: str, entry: Entry) -> Iterator[Doubt]:
    for key, value in stated_values(entry):
        low, high, unit = _PLAUSIBLE.get(key, (0.0, 0.0, ""))
        if not unit:
            continue
        for end in _ends(value):
            if not low <= end <= high:
                usual = f"{low:g} to {high:g} {unit}"
                why = f"{number(end)} {unit} is outside what is usual ({usual})"
                yield Doubt(item, key, why)
                break
    if isinstance(entry, CableSpec):
        yield from _cable_doubts(item, entry)


def _ends(value: Any) -> tuple[float, ...]:
    if isinstance(value, Band):
        if value.min == 0.0 < value.typical:  # a small reading, less the accuracy of the meter
            return (value.typical, value.max)
        return (value.min, value.max)
    return (float(value),) if isinstance(value, (int, float)) else ()


def _cable_doubts(item: str, cable: CableSpec) -> Iterator[Doubt]:
    least = least_ohm_per_m(cable)
    if cable.ohm_per_m is not None and least is not None and cable.ohm_per_m.min < least:
        why = (
            f"{number(cable.ohm_per_m.min)} ohm per metre is less than this much "
            f"{cable.metal} can have ({number(least)})"
        )
        yield Doubt(item, "ohm_per_m", why)
