"""Heating constants of an igniter class, from thermal data or from what a data sheet has.

Every form ends in pairs of threshold current I₀ and time constant τ (see
`bridgewire.physics.bridge_heating`): one for the slowest igniter that the data allow, a typical
one, and the fastest.
"""

from __future__ import annotations

import math
from typing import Literal, TypeAlias

from attrs import frozen

from bridgewire.errors import ModelRangeError
from bridgewire.model.band import Band
from bridgewire.model.kit import IgniterClass

Pair: TypeAlias = tuple[float, float]
"""(threshold current in A, time constant in s)."""

Basis = Literal["thermal", "threshold", "data-sheet with impulse", "data-sheet"]

REFERENCE_C = 20.0
"""Ambient at which a stated threshold current holds."""
NO_LOWER_BOUND = 1e-3
"""Fast over slow time constant where the data say nothing about how fast an igniter may be."""

_FORMS: tuple[tuple[str, ...], ...] = (
    ("heat_capacity_J_per_K", "loss_W_per_K", "lit_C", "bridge_ohm"),
    ("threshold_A", "tau_s"),
    ("no_fire_A", "all_fire_A", "all_fire_time_s"),
)


@frozen
class Heating:
    """Heating constants of an igniter class.

    No igniter that fits the data lights later than `slow` or sooner than `fast` at any constant
    current from `sure_from_A` up.

    Parameters
    ----------
    threshold_A : Band
        I₀: smallest, typical and largest that the data allow, each by itself, A.
    tau_s : Band
        τ: smallest, typical and largest that the data allow, each by itself, s.
    slow, typical, fast : tuple of float
        Pairs of I₀ (A) and τ (s): the slowest igniter that the data allow, a typical one, the
        fastest.
    basis : str
        Which form of data was used, see `heating`.
    theta_lit_K : Band or None
        Temperature rise that lights, K; None where the class has no ignition temperature.
    sure_from_A : float
        Smallest current at which the data promise a light at all, A. With data-sheet forms this is
        the all-fire current: between `slow`'s threshold and this current `slow` promises too much.

    Examples
    --------
    >>> a = IgniterClass("a", "bridge-igniter", no_fire_A=0.18, all_fire_A=0.6,
    ...                  all_fire_time_s=0.010)
    >>> heating(a, Band.exact(20.0)).sure_from_A
    0.6
    """

    threshold_A: Band
    tau_s: Band
    slow: Pair
    typical: Pair
    fast: Pair
    basis: Basis
    theta_lit_K: Band | None
    sure_from_A: float


def missing_heating_data(klass: IgniterClass) -> tuple[str, ...]:
    """Name the keys that are absent before the class can be computed.

    Parameters
    ----------
    klass : IgniterClass
        The class, in any of the forms of `heating`.

    Returns
    -------
    tuple of str
        Keys of the form that lacks the fewest; empty if one form is complete.

    Examples
    --------
    >>> missing_heating_data(IgniterClass("m", "electric-match", no_fire_A=0.2, all_fire_A=0.5))
    ('all_fire_time_s',)
    >>> missing_heating_data(IgniterClass("m", "electric-match"))
    ('threshold_A', 'tau_s')
    """
    absent = [tuple(key for key in form if getattr(klass, key) is None) for form in _FORMS]
    return min(absent, key=len)


def heating(klass: IgniterClass, ambient_C: Band) -> Heating | None:
    """Derive the heating constants of an igniter class.

    Parameters
    ----------
    klass : IgniterClass
        Its heating data in any of the forms below.
    ambient_C : Band
        Ambient temperature, °C. Used where the class has an ignition temperature (`lit_C`).

    Returns
    -------
    Heating or None
        None if data are missing (see `missing_heating_data`).

    Raises
    ------
    ModelRangeError
        If the data contradict each other or are outside what a bridge can be.

    Notes
    -----
    Forms, best first:

    thermal
        I₀ = √(γ θ_lit / R₀), τ = C/γ. At constant current the time grows with C, γ and θ_lit and
        falls with R₀, so `slow` takes the largest of the first three and the smallest bridge.
    threshold
        As stated; with `lit_C` the threshold is taken to hold at 20 °C and scaled to the ambient
        by √(θ_lit). It is understood as √(γ θ_lit / R₀) with the cold bridge.
    data-sheet with impulse
        An igniter fits the sheet if I₀ is at least the no-fire current, its impulse K = I₀² τ lies
        in the stated range, and it lights within t_af at I_af, that is -τ ln(1 - (I₀/I_af)²) <=
        t_af. At or above I_af the slowest of these has the largest impulse and meets t_af exactly
        (if its I₀ would fall below no-fire: I₀ at no-fire and the impulse that meets t_af); the
        fastest has I₀ = no-fire and the least impulse. Typical: geometric mean of the impulses,
        and of no-fire and the largest I₀ that fits with it.
    data-sheet
        Without an impulse the slowest has I₀ at no-fire and meets t_af exactly. The data give no
        lower bound of the time, so the fastest lights in practically no time at any current above
        no-fire. Typical: I₀ at the geometric mean of no-fire and all-fire, meets t_af exactly.

    References
    ----------
    The equation: L. A. Rosenthal, Rev. Sci. Instrum. 32, 1033 (1961). The bounds follow from it:
    the time at I is (K/I²) f((I₀/I)²), f(u) = -ln(1 - u)/u, which grows with K and I₀.

    Examples
    --------
    >>> a = IgniterClass("a", "bridge-igniter", no_fire_A=0.18, all_fire_A=0.6,
    ...                  all_fire_time_s=0.010, impulse_mJ_per_ohm=Band(0.8, 1.5, 3.0))
    >>> h = heating(a, Band.exact(20.0))
    >>> [round(v, 4) for v in (*h.slow, *h.fast)]
    [0.3361, 0.0266, 0.18, 0.0247]
    """
    if missing_heating_data(klass):
        return None
    for form, derive in zip(_FORMS, (_thermal, _threshold, _data_sheet), strict=True):
        if all(getattr(klass, key) is not None for key in form):
            return derive(klass, ambient_C)
    return None


def _lit_rise(klass: IgniterClass, ambient_C: Band) -> Band | None:
    if klass.lit_C is None:
        return None
    rise = klass.lit_C.plus(ambient_C.scaled(-1.0))
    if rise.min <= 0.0:
        raise ModelRangeError(
            f"{klass.id}: lights at {klass.lit_C.min:g} °C, which is not above the ambient of "
            f"{ambient_C.max:g} °C"
        )
    return rise


def _thermal(klass: IgniterClass, ambient_C: Band) -> Heating:
    capacity, loss, bridge = klass.heat_capacity_J_per_K, klass.loss_W_per_K, klass.bridge_ohm
    rise = _lit_rise(klass, ambient_C)
    if capacity is None or loss is None or bridge is None or rise is None:
        raise ModelRangeError(f"{klass.id}: thermal data are incomplete")
    _positive(klass, heat_capacity_J_per_K=capacity, loss_W_per_K=loss, bridge_ohm=bridge)
    slow = (math.sqrt(loss.max * rise.max / bridge.min), capacity.max / loss.max)
    typical = (
        math.sqrt(loss.typical * rise.typical / bridge.typical),
        capacity.typical / loss.typical,
    )
    fast = (math.sqrt(loss.min * rise.min / bridge.max), capacity.min / loss.min)
    return Heating(
        threshold_A=Band(fast[0], typical[0], slow[0]),
        tau_s=Band(capacity.min / loss.max, typical[1], capacity.max / loss.min),
        slow=slow,
        typical=typical,
        fast=fast,
        basis="thermal",
        theta_lit_K=rise,
        sure_from_A=slow[0],
    )


def _threshold(klass: IgniterClass, ambient_C: Band) -> Heating:
    threshold, tau = klass.threshold_A, klass.tau_s
    if threshold is None or tau is None:
        raise ModelRangeError(f"{klass.id}: threshold_A or tau_s is missing")
    _positive(klass, threshold_A=threshold, tau_s=tau)
    rise = _lit_rise(klass, ambient_C)
    if rise is not None and klass.lit_C is not None:
        if klass.lit_C.min <= REFERENCE_C:
            raise ModelRangeError(f"{klass.id}: lit_C {klass.lit_C.min:g} is not above 20 °C")
        threshold = Band(
            threshold.min * math.sqrt(rise.min / (klass.lit_C.min - REFERENCE_C)),
            threshold.typical * math.sqrt(rise.typical / (klass.lit_C.typical - REFERENCE_C)),
            threshold.max * math.sqrt(rise.max / (klass.lit_C.max - REFERENCE_C)),
            stated=threshold.stated,
        )
    return Heating(
        threshold_A=threshold,
        tau_s=tau,
        slow=(threshold.max, tau.max),
        typical=(threshold.typical, tau.typical),
        fast=(threshold.min, tau.min),
        basis="threshold",
        theta_lit_K=rise,
        sure_from_A=threshold.max,
    )


def _data_sheet(klass: IgniterClass, ambient_C: Band) -> Heating:
    no_fire, all_fire, time = klass.no_fire_A, klass.all_fire_A, klass.all_fire_time_s
    if no_fire is None or all_fire is None or time is None:
        raise ModelRangeError(f"{klass.id}: data-sheet currents are incomplete")
    if min(no_fire, all_fire, time) <= 0.0:
        raise ModelRangeError(
            f"{klass.id}: no_fire_A, all_fire_A and all_fire_time_s must be above 0"
        )
    if no_fire >= all_fire:
        raise ModelRangeError(
            f"{klass.id}: no_fire_A {no_fire:g} is not below all_fire_A {all_fire:g}"
        )
    rise = _lit_rise(klass, ambient_C)
    budget = all_fire**2 * time
    # the largest impulse of an igniter that meets both currents, A² s
    largest = budget / _shape((no_fire / all_fire) ** 2)
    if klass.impulse_mJ_per_ohm is None:
        return _without_impulse(no_fire, all_fire, largest, budget, rise)
    _positive(klass, impulse_mJ_per_ohm=klass.impulse_mJ_per_ohm)
    k_min, k_max = klass.impulse_mJ_per_ohm.min * 1e-3, klass.impulse_mJ_per_ohm.max * 1e-3
    if k_max >= budget:
        raise ModelRangeError(
            f"{klass.id}: an igniter of {k_max * 1e3:g} mJ/Ω cannot light within {time:g} s at "
            f"all_fire_A {all_fire:g}: that gives only {budget * 1e3:g} mJ/Ω"
        )
    if k_min > largest:
        raise ModelRangeError(
            f"{klass.id}: with impulse_mJ_per_ohm {k_min * 1e3:g} or more an igniter that lights "
            f"within {time:g} s at all_fire_A {all_fire:g} would also light at no_fire_A "
            f"{no_fire:g}"
        )
    k_slow = min(k_max, largest)
    k_typical = math.sqrt(k_min * k_slow)

    def most(k: float) -> float:
        return max(no_fire, all_fire * math.sqrt(_solve_shape(budget / k)))

    i_typical = math.sqrt(no_fire * most(k_typical))
    slow, fast = (most(k_slow), k_slow / most(k_slow) ** 2), (no_fire, k_min / no_fire**2)
    typical = (i_typical, k_typical / i_typical**2)
    return Heating(
        threshold_A=Band(no_fire, i_typical, most(k_min)),
        tau_s=Band(k_min / most(k_min) ** 2, typical[1], k_slow / no_fire**2),
        slow=slow,
        typical=typical,
        fast=fast,
        basis="data-sheet with impulse",
        theta_lit_K=rise,
        sure_from_A=all_fire,
    )


def _without_impulse(
    no_fire: float, all_fire: float, largest: float, budget: float, rise: Band | None
) -> Heating:
    slow = (no_fire, largest / no_fire**2)
    fast = (no_fire, slow[1] * NO_LOWER_BOUND)
    i_typical = math.sqrt(no_fire * all_fire)
    typical = (i_typical, budget / _shape(no_fire / all_fire) / i_typical**2)
    return Heating(
        threshold_A=Band(no_fire, i_typical, all_fire),
        tau_s=Band(fast[1], typical[1], slow[1]),
        slow=slow,
        typical=typical,
        fast=fast,
        basis="data-sheet",
        theta_lit_K=rise,
        sure_from_A=all_fire,
    )


def _shape(u: float) -> float:
    """f(u) = -ln(1 - u)/u, 1 at 0, growing without limit towards 1."""
    return -math.log1p(-u) / u if u > 1e-12 else 1.0 + u / 2.0


_NEXT_TO_ONE = 1.0 - 1e-9
"""A threshold nearer than that to the all-fire current is no different from it in practice, and
would drown in rounding."""


def _solve_shape(value: float) -> float:
    """The u in (0, 1) with f(u) = value, for value above 1; bisection to full precision."""
    low, high = 0.0, _NEXT_TO_ONE
    if _shape(high) <= value:
        return high
    for _ in range(200):
        middle = 0.5 * (low + high)
        if middle in (low, high):
            break
        if _shape(middle) < value:
            low = middle
        else:
            high = middle
    return low


def _positive(klass: IgniterClass, **bands: Band) -> None:
    for key, band in bands.items():
        if band.min <= 0.0:
            raise ModelRangeError(f"{klass.id}: {key} must be above 0, got {band.min:g}")
