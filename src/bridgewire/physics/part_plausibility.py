"""What in a contact, a cable or an igniter class can hardly be, by physics."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TypeAlias

from attrs import evolve

from bridgewire.errors import ModelRangeError
from bridgewire.model.band import Band
from bridgewire.model.kit import CableSpec, Contact, IgniterClass
from bridgewire.physics.bridge_heating import light_time
from bridgewire.physics.cable import cable_ohm_per_m
from bridgewire.physics.conductors import awg_area_m2
from bridgewire.physics.igniter_data import REFERENCE_C, Heating, heating
from bridgewire.units import seconds, told_apart

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
FAST_TAU_S = 0.2
"""An electric match is quicker than this, a clip-on wire is slower than a tenth of it; common
practice, no source."""
ALL_FIRE_FACTOR = 1.5
"""What a firing current should be over the all-fire current: 14 CFR Part 417 Appendix D,
D417.19(l)(1)."""

Found: TypeAlias = tuple[str, str, float, float, str]
"""Key, message, measured, limit, unit."""


def contact_faults(contact: Contact) -> Iterator[Found]:
    """Judge the heat of a contact at its rated current, I² R.

    Parameters
    ----------
    contact : Contact
        Nothing is said of one without resistance or rated current.

    Yields
    ------
    Found
        Key within the entry, message, measured value, limit, unit.

    Examples
    --------
    >>> [(key, heat) for key, _, heat, _, _ in contact_faults(
    ...     Contact("plug", contact_ohm=Band.exact(2.0), rated_A=5.0))]
    [('contact_ohm', 50.0)]
    """
    if contact.contact_ohm is None or contact.rated_A is None:
        return
    heat = contact.rated_A**2 * contact.contact_ohm.typical
    if heat > MAX_CONTACT_W:
        yield (
            "contact_ohm",
            f"at {contact.rated_A:g} A one contact of {contact.contact_ohm.typical:g} Ω would "
            f"turn {heat:.3g} W into heat",
            heat,
            MAX_CONTACT_W,
            "W",
        )


def cable_faults(cable: CableSpec) -> Iterator[Found]:
    """Judge a cable: resistance against size, area against gauge, rated current against area.

    A resistance below what the metal allows is the matter of rule KIT006.

    Parameters
    ----------
    cable : CableSpec
        Nothing is said of values that are absent.

    Yields
    ------
    Found
        Key within the entry, message, measured value, limit, unit.

    Examples
    --------
    A resistance of both conductors together, given for one:

    >>> pair = CableSpec("pair", "copper", "solid", 2, gauge_awg=24, ohm_per_m=Band.exact(0.168))
    >>> [(key, round(ratio, 2)) for key, _, ratio, _, _ in cable_faults(pair)]
    [('ohm_per_m', 1.99)]
    """
    size = cable_ohm_per_m(evolve(cable, ohm_per_m=None))
    stated = cable.ohm_per_m
    if size is not None and stated is not None:
        ratio = stated.typical / size.typical
        if LOOP_RATIO[0] <= ratio <= LOOP_RATIO[1]:
            yield (
                "ohm_per_m",
                f"{stated.typical:.3g} Ω per metre is twice what its size has "
                f"({size.typical:.3g}): feed and return seem to be counted together; the key is "
                "for one conductor, one way",
                ratio,
                1.0,
                "",
            )
        elif stated.min > MAX_OVER_SIZE * size.max:
            yield (
                "ohm_per_m",
                f"{stated.min:.3g} Ω per metre is far more than its size has "
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


def heating_of(klass: IgniterClass) -> Heating | None:
    """Heating constants of an igniter class at 20 °C.

    Parameters
    ----------
    klass : IgniterClass
        In any of the forms of `bridgewire.physics.igniter_data.heating`.

    Returns
    -------
    Heating or None
        None where data are missing or contradict one another.

    Examples
    --------
    >>> heating_of(IgniterClass("m", "electric-match", no_fire_A=0.5, all_fire_A=0.4,
    ...                         all_fire_time_s=0.01)) is None
    True
    """
    try:
        return heating(klass, Band.exact(REFERENCE_C))
    except ModelRangeError:
        return None


def igniter_faults(klass: IgniterClass) -> Iterator[Found]:
    """Judge an igniter class: its burned bridge, its quickness for its kind, its default pulse.

    Threshold against no-fire and all-fire current is the matter of rule KIT007.

    Parameters
    ----------
    klass : IgniterClass
        Nothing is said of values that are absent.

    Yields
    ------
    Found
        Key within the entry, message, measured value, limit, unit.

    Examples
    --------
    >>> slow = IgniterClass("m", "electric-match", threshold_A=Band.exact(0.3),
    ...                     tau_s=Band.exact(3.0))
    >>> [(key, tau) for key, _, tau, _, _ in igniter_faults(slow)]
    [('tau_s', 3.0)]
    """
    bridge, rest = klass.bridge_ohm, klass.after_fire_ohm
    if bridge is not None and rest is not None:
        if klass.after_fire == "residual" and rest.max < bridge.min:
            yield (
                "after_fire_ohm",
                f"a burned bridge of at most {rest.max:g} Ω would conduct better than a whole "
                f"one of {bridge.min:g} Ω; that is a short circuit",
                rest.max,
                bridge.min,
                "ohm",
            )
        if klass.after_fire == "shorted" and rest.min > bridge.max:
            yield (
                "after_fire_ohm",
                f"{rest.min:g} Ω is more than the whole bridge has; that is no short circuit",
                rest.min,
                bridge.max,
                "ohm",
            )
    data = heating_of(klass)
    if data is None:
        return
    tau = data.typical[1]
    key = "tau_s" if klass.tau_s is not None else "kind"
    if klass.kind == "electric-match" and tau > FAST_TAU_S:
        yield key, f"a time constant of {tau:.3g} s is no electric match's", tau, FAST_TAU_S, "s"
    if klass.kind == "clip-on-nichrome" and tau < FAST_TAU_S / 10.0:
        message = f"a time constant of {tau:.3g} s is too quick for a wire that heats a fuse"
        yield key, message, tau, FAST_TAU_S / 10.0, "s"
    if klass.default_pulse_s is not None and klass.all_fire_A is not None:
        late, current = math.inf, ALL_FIRE_FACTOR * klass.all_fire_A
        if data.slow[0] < current:
            late = float(light_time(current, *data.slow))
        if klass.default_pulse_s < late < math.inf:
            pulse, takes = told_apart(seconds, klass.default_pulse_s, limit=late)
            yield (
                "default_pulse_s",
                f"in a pulse of {pulse} the slowest piece does not light at {ALL_FIRE_FACTOR:g} "
                f"times its all-fire current ({current:g} A); that takes {takes}",
                klass.default_pulse_s,
                late,
                "s",
            )
