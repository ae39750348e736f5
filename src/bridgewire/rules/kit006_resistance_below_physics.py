"""A cable's resistance is lower than its metal and size allow.

What it checks
--------------
ohm_per_m of each used cable that also states a gauge or an area, against the resistance of that
much metal.

Why it matters
--------------
A figure for the wrong unit, gauge or number of cores makes every run on this cable look short.
Igniters that are called sure then do not light.

Model and limits
----------------
The limit is that of a solid wire 1 % over its nominal diameter with 102 % of the standard
copper's conductivity, 4 % below nominal. Copper-clad aluminium is taken at the best that its
class allows. Only the lowest stated value is compared: a cable may be worse than its size for
many reasons, but not better.

Example
-------
ohm_per_m = 0.0257 for 24 AWG: that is the value per foot. The right one is 0.0842.

Do instead
----------
Correct the figure or the size. Without ohm_per_m it is computed from the size.

Settings
--------
None.

References
----------
ASTM B258 (gauges), IEC 60028 (copper), ASTM B566 (copper-clad aluminium); the tolerance from
memory of ASTM B3.
"""

from __future__ import annotations

from collections.abc import Iterator

from attrs import evolve

from bridgewire.diagnostics import Finding, Severity
from bridgewire.model.kit import CableSpec
from bridgewire.physics.cable import GAUGE_LEAST, cable_ohm_per_m
from bridgewire.rules.base import Rule
from bridgewire.rules.context import Context
from bridgewire.rules.kit_items import used_cables
from bridgewire.units import significant, told_apart

RULE = Rule("KIT006", "resistance-below-physics", Severity.ERROR)


def check(context: Context) -> Iterator[Finding]:
    """Yield a finding for each used cable that is better than its metal and size allow."""
    for cable in used_cables(context):
        stated, least = cable.entry.ohm_per_m, least_ohm_per_m(cable.entry)
        if stated is None or least is None or stated.min >= least:
            continue
        spec = cable.entry
        size = f"{spec.area_mm2:g} mm²" if spec.area_mm2 else f"{spec.gauge_awg:g} AWG"
        states, has = told_apart(significant, stated.min, limit=least)
        yield RULE.finding(
            f"{cable.label} states {states} Ω per metre, but {size} of {spec.metal} has at "
            f"least {has}",
            cable.at("ohm_per_m"),
            document=cable.document,
            measured=stated.min,
            limit=least,
            unit="ohm/m",
            subjects=(cable.full_id,),
            remedy="check size and unit: ohm_per_m is for one conductor, one way, at 20 °C, so "
            f"typically {significant(least / GAUGE_LEAST)} here; leave it out to have it computed "
            "from the size",
        )


def least_ohm_per_m(spec: CableSpec) -> float | None:
    """Least resistance per metre that a conductor of this metal and size can have, ohm/m.

    None where the spec states no size.

    >>> round(least_ohm_per_m(CableSpec("a", "copper", "solid", 8, gauge_awg=24)), 4)
    0.0808
    """
    from_size = cable_ohm_per_m(evolve(spec, ohm_per_m=None))
    if from_size is None:
        return None
    # The least value of a gauge has the wire's tolerance in it, that of an area has not.
    return from_size.min * (1.0 if spec.area_mm2 is None else GAUGE_LEAST)
