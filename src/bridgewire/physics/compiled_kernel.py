"""The transient of a tree circuit, one circuit at a time, in machine code.

The mathematics and the order of decisions are those of `bridgewire.physics.transient`; a circuit
takes the same steps here and there. Importing this module needs numba.

All arrays are flat. Circuits either have their structure each (their parts stand one after the
other), or are draws of one structure (`shared`), which then starts at 0 for all of them.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, NamedTuple, TypeVar, cast

import numba
import numpy as np

from bridgewire.physics.network import Bools, Floats, Ints

MOST_STEPS = 1_000_000
"""A circuit that needs more steps than this is given up."""

F = TypeVar("F", bound=Callable[..., Any])


def _inner(function: F) -> F:
    """Compile as a part of `run_range`."""
    return cast(F, numba.njit(nogil=True, error_model="numpy")(function))


def _outer(function: F) -> F:
    """Compile when first called; keep the code on disk where a place for it can be written.

    What is kept on disk is refused when this file changes, and only then: constants from elsewhere
    must be arguments. Classes in the signature would have to stay for ever, for numba fails on
    kept code of an earlier version that names a class it cannot find.
    """
    try:
        return cast(F, numba.njit(cache=True, nogil=True, error_model="numpy")(function))
    except RuntimeError:
        return _inner(function)


class Structure(NamedTuple):
    """How circuits hang together. Parts of a circuit are numbered from its own first one."""

    node_first: Ints
    """First node of each circuit and one past the last; likewise below."""
    string_first: Ints
    parent: Ints
    string_node: Ints
    bridge_first: Ints
    """First bridge of each string, counted within its circuit, and one past the circuit's last:
    one entry more than it has strings."""
    string_on: Bools
    """Strings by segments."""
    boundary_s: Floats
    """Circuits (or one row for all) by segments + 1."""


class Values(NamedTuple):
    """Numbers of each circuit: of its nodes, of its strings, its own, and of its bridges."""

    node_ohm: Floats
    fixed_ohm: Floats
    emf_V: Floats
    internal_ohm: Floats
    limit_A: Floats
    short_circuit_A: Floats
    nominal_V: Floats
    capacitance_F: Floats
    drop_V: Floats
    cold_ohm: Floats
    rise_per_x: Floats
    threshold_A: Floats
    tau_s: Floats
    burn_open: Floats
    after_ohm: Floats


class Results(NamedTuple):
    """What is written: state of the bridges (read first), their events, and the circuits'."""

    x: Floats
    lit: Bools
    parted: Bools
    light_s: Floats
    part_s: Floats
    light_A: Floats
    light_u: Floats
    peak_x: Floats
    peak_A: Floats
    peak_branch_A: Floats
    """Not written where it has no size."""
    peak_supply_A: Floats
    lowest_supply_V: Floats
    limited: Bools
    charge_C: Floats
    end_emf_V: Floats
    steps: Ints


class Limits(NamedTuple):
    """Settings of the numpy path."""

    tolerance: float
    event_tolerance: float
    look_ahead: float
    least_ohm: float


class _Supply(NamedTuple):
    emf_V: float
    internal_ohm: float
    limit: bool
    short_circuit_A: float
    slope: float
    capacitance_F: float
    drop_V: float
    least_ohm: float


class _Size(NamedTuple):
    nodes: int
    strings: int
    bridges: int
    segments: int


class _Totals(NamedTuple):
    peak_A: float
    lowest_V: float
    limited: bool
    charge_C: float
    emf_V: float
    steps: int


# One circuit at a time is copied into two work arrays and stepped there: an array that is handed
# about inside a step costs more in reference counts than all of the arithmetic.
# Rows of the work array of integers:
PARENT, STRING_NODE, FIRST, LIT, PARTED = range(5)
# Rows of the work array of numbers, of nodes,
NODE_OHM, LOAD, SEEN, VOLTS, PEAK_BRANCH, MID_BRANCH, LAST_BRANCH = range(7)
# of strings,
FIXED_OHM, SIEMENS, PEAK_STRING, MID_STRING, LAST_STRING = range(7, 12)
# of boundaries between segments,
BOUNDARY = 12
# of bridges: constants (RISE is `a`; BASE_OHM and RISE_OHM give the resistance; HEAT is 1 / I0^2,
# 0 once parted; OPENS is the burn-open level, ``inf`` once parted),
BASE_OHM, RISE_OHM, HEAT, RISE, RATE, OPENS, REACH, AFTER_OHM, THRESHOLD = range(13, 22)
# step,
X, U0, SLOPE, Z, HALF, X_MID, UM, X_END, U1, SECOND, TOP_S, TOP_X = range(22, 34)
# and results.
LIGHT_S, PART_S, LIGHT_A, LIGHT_U, PEAK_X = range(34, 39)
ROWS, INTEGER_ROWS = 39, 5


@_inner
def _solve(
    f: Floats,
    q: Ints,
    size: _Size,
    on: Bools,
    on_at: int,
    segment: int,
    supply: _Supply,
    emf: float,
    x: int,
    string_A: int,
    branch_A: int,
) -> tuple[float, float, bool]:
    """Currents of the circuit from and into the given rows.

    Returns supply current, supply voltage and whether the limit is in force.
    """
    for i in range(size.nodes):
        f[LOAD, i] = 0.0
    for j in range(size.strings):
        siemens = 0.0
        if on[on_at + j, segment]:
            ohm = f[FIXED_OHM, j]
            for k in range(q[FIRST, j], q[FIRST, j + 1]):
                ohm += f[BASE_OHM, k] + f[RISE_OHM, k] * f[x, k]
            siemens = 1.0 / max(ohm, supply.least_ohm)
            f[LOAD, q[STRING_NODE, j]] += siemens
        f[SIEMENS, j] = siemens
    for i in range(size.nodes - 1, 0, -1):
        load = f[LOAD, i]
        seen = load / (1.0 + f[NODE_OHM, i] * load)
        f[SEEN, i] = seen
        f[LOAD, q[PARENT, i]] += seen
    load, drop = f[LOAD, 0], supply.drop_V
    supply_A = max(emf - drop, 0.0) * load / (1.0 + supply.internal_ohm * load)
    supply_V = emf - supply.internal_ohm * supply_A
    limited = False
    if supply.limit:
        ceiling = supply.short_circuit_A + supply.slope * supply_V
        if supply_A > ceiling and load > supply.slope:
            limited = True
            supply_V = (supply.short_circuit_A + load * drop) / (load - supply.slope)
            supply_A = load * (supply_V - drop)
    f[VOLTS, 0] = max(supply_V - drop, 0.0)
    f[branch_A, 0] = supply_A
    for i in range(1, size.nodes):
        above = f[VOLTS, q[PARENT, i]]
        current = above * f[SEEN, i]
        f[branch_A, i] = current
        f[VOLTS, i] = above - current * f[NODE_OHM, i]
    for j in range(size.strings):
        f[string_A, j] = f[VOLTS, q[STRING_NODE, j]] * f[SIEMENS, j]
    return supply_A, supply_V, limited


@_inner
def _heat(f: Floats, q: Ints, size: _Size, string_A: int, x: int, u: int) -> None:
    """u of every bridge."""
    for j in range(size.strings):
        square = f[string_A, j] * f[string_A, j]
        for k in range(q[FIRST, j], q[FIRST, j + 1]):
            f[u, k] = square * f[HEAT, k] * (1.0 + f[RISE, k] * f[x, k])


@_inner
def _fallen(emf: float, over: float, current_A: float, at_V: float, capacitance: float) -> float:
    """Source voltage some time on; see ``_Run._fallen``."""
    if at_V > 0.0 and capacitance < np.inf:
        return emf * math.exp(-current_A / (at_V * capacitance) * over)
    return emf


@_inner
def _weights(z: float) -> tuple[float, float, float]:
    """See `bridgewire.physics.step_response.Weights`."""
    if z < 0.02:
        m0 = z * (1.0 - z * (1 / 2 - z * (1 / 6 - z * (1 / 24 - z * (1 / 120 - z / 720)))))
        m1 = z * (1 / 2 - z * (1 / 6 - z * (1 / 24 - z / 120)))
        m2 = z * (1 / 3 - z * (1 / 12 - z * (1 / 60 - z / 360)))
        return m0, m1, m2
    m0 = 1.0 - math.exp(-z)
    m1 = 1.0 - m0 / z
    return m0, m1, 1.0 - 2.0 * m1 / z


@_inner
def _response(
    x0: float, u0: float, um: float, second: float, z: float, s: float
) -> tuple[float, float]:
    """See `bridgewire.physics.step_response.response`."""
    m0, m1, m2 = _weights(z * s)
    slope, curve = (2.0 * (um - u0) - second) * s, 2.0 * second * s * s
    return x0 * (1.0 - m0) + u0 * m0 + slope * m1 + curve * m2, u0 + slope + curve


@_inner
def _crossing(
    level: float, x0: float, u0: float, um: float, second: float, z: float, upper: float
) -> float:
    """See `bridgewire.physics.step_response.crossing`."""
    lo, hi, s = 0.0, upper, upper
    for _ in range(60):
        x, u = _response(x0, u0, um, second, z, s)
        f = x - level
        if abs(f) < 1e-14 * level or hi - lo < 1e-13:
            break
        if f < 0.0:
            lo = s
        else:
            hi = s
        s = s - f / (z * (u - x))
        if not lo < s < hi:
            s = 0.5 * (lo + hi)
    return s


@_inner
def _summit(
    x0: float, u0: float, um: float, second: float, z: float, x_end: float, u_end: float
) -> tuple[float, float]:
    """See `bridgewire.physics.step_response.summit`; for x that rises first and falls last."""
    lo, hi, f_lo, f_hi = 0.0, 1.0, u0 - x0, u_end - x_end
    s, x = 1.0, x_end
    for _ in range(4):
        s = lo - f_lo * (hi - lo) / (f_hi - f_lo)
        x, u = _response(x0, u0, um, second, z, s)
        if u > x:
            lo, f_lo = s, u - x
        else:
            hi, f_hi = s, min(u - x, -1e-300)
    return s, max(x, x_end)


@_inner
def _note(f: Floats, size: _Size, string_A: int, branch_A: int) -> None:
    """Record the extremes of one solution."""
    for j in range(size.strings):
        f[PEAK_STRING, j] = max(f[PEAK_STRING, j], f[string_A, j])
    for i in range(size.nodes):
        f[PEAK_BRANCH, i] = max(f[PEAK_BRANCH, i], f[branch_A, i])


@_inner
def _light(f: Floats, k: int, t: float, dt: float) -> None:
    """Record the moment of ignition of a bridge within the step just taken."""
    s, u = 0.0, f[U0, k]
    if f[X, k] < 1.0:
        x0, um, second, z = f[X, k], f[UM, k], f[SECOND, k], f[Z, k]
        s = _crossing(1.0, x0, f[U0, k], um, second, z, f[TOP_S, k])
        u = _response(x0, f[U0, k], um, second, z, s)[1]
    f[LIGHT_S, k] = t + s * dt
    f[LIGHT_U, k] = u
    f[LIGHT_A, k] = f[THRESHOLD, k] * np.sqrt(max(u, 0.0) / (1.0 + f[RISE, k]))


@_inner
def _guess(f: Floats, size: _Size) -> float:
    """A first step: a fifth of the time in which the fastest bridge gets anywhere."""
    fastest = 0.0
    for k in range(size.bridges):
        fastest = max(fastest, abs(f[U0, k] - f[X, k]) * f[RATE, k] / f[REACH, k])
    return 0.2 / fastest


@_inner
def _first_opening(f: Floats, size: _Size, event_tolerance: float) -> float:
    """Part of the step after which a bridge first reaches its burn-open level; else 2.

    Finds the summits of x on the way.
    """
    earliest = 2.0
    for k in range(size.bridges):
        x, u, x_end = f[X, k], f[U0, k], f[X_END, k]
        top_s, top_x = 1.0, x_end
        if u > x and f[U1, k] < x_end:
            top_s, top_x = _summit(x, u, f[UM, k], f[SECOND, k], f[Z, k], x_end, f[U1, k])
        f[TOP_S, k], f[TOP_X, k] = top_s, top_x
        if top_x > f[OPENS, k] + event_tolerance:
            s = _crossing(f[OPENS, k], x, u, f[UM, k], f[SECOND, k], f[Z, k], top_s)
            earliest = min(earliest, s)
    return earliest


@_inner
def _take_step(
    f: Floats, q: Ints, size: _Size, t: float, dt: float, after: float, event_tolerance: float
) -> bool:
    """Move the bridges over a step; returns whether one has parted."""
    event = False
    for k in range(size.bridges):
        if not (q[LIT, k] or q[PARTED, k]):
            # A bridge that parts at its lighting level, within the tolerance, is lit as well.
            level = 1.0 - event_tolerance if f[OPENS, k] <= 1.0 else 1.0
            if f[TOP_X, k] >= level:
                q[LIT, k] = 1
                _light(f, k, t, dt)
        f[X, k] = f[X_END, k]
        f[PEAK_X, k] = max(f[PEAK_X, k], f[TOP_X, k])
        if f[X, k] >= f[OPENS, k] - event_tolerance:
            event = True
            q[PARTED, k] = 1
            f[PART_S, k] = after
            f[BASE_OHM, k], f[RISE_OHM, k] = f[AFTER_OHM, k], 0.0
            f[HEAT, k], f[OPENS, k] = 0.0, np.inf
    return event


@_inner
def _advance(
    f: Floats, q: Ints, size: _Size, on: Bools, on_at: int, supply: _Supply, limits: Limits
) -> _Totals:
    """Take the circuit in the work arrays through all of its segments."""
    tolerance = limits.tolerance
    emf, capacitance = supply.emf_V, supply.capacitance_F
    capacitor = capacitance < np.inf
    peak_A, lowest_V, any_limited, charge = 0.0, emf, False, 0.0
    t, segment, steps = f[BOUNDARY, 0], 0, 0
    dt_next, now_A = 0.0, 0.0
    fresh, restart = True, True
    while segment < size.segments and steps < MOST_STEPS:
        steps += 1
        if fresh:
            # After an event, a switching or a refused step: solve anew, and look a little ahead
            # for the rate of change of u.
            now_A, volts, limited = _solve(
                f, q, size, on, on_at, segment, supply, emf, X, LAST_STRING, LAST_BRANCH
            )
            _heat(f, q, size, LAST_STRING, X, U0)
            peak_A, lowest_V = max(peak_A, now_A), min(lowest_V, volts)
            any_limited |= limited
            _note(f, size, LAST_STRING, LAST_BRANCH)
            guess = _guess(f, size)
            if capacitor and now_A > 0.0:
                guess = min(guess, 0.2 * capacitance * emf / now_A)
            if restart:
                dt_next = guess
            ahead = limits.look_ahead * guess if guess < np.inf else 0.0
            for k in range(size.bridges):
                f[X_MID, k] = f[X, k] + (f[U0, k] - f[X, k]) * ahead * f[RATE, k]
            later = _fallen(emf, ahead, now_A, emf, capacitance)
            _solve(f, q, size, on, on_at, segment, supply, later, X_MID, MID_STRING, MID_BRANCH)
            _heat(f, q, size, MID_STRING, X_MID, UM)
            per_s = 1.0 / ahead if ahead > 0.0 else 0.0
            for k in range(size.bridges):
                f[SLOPE, k] = (f[UM, k] - f[U0, k]) * per_s
        # Try a step.
        end = f[BOUNDARY, segment + 1]
        remaining = end - t
        dt = min(dt_next, remaining)
        for k in range(size.bridges):
            z = dt * f[RATE, k]
            half0, half1, _ = _weights(0.5 * z)
            x = f[X, k]
            f[X_MID, k] = x + (f[U0, k] - x) * half0 + 0.5 * f[SLOPE, k] * dt * half1
            f[Z, k], f[HALF, k] = z, half0
        emf_mid = _fallen(emf, 0.5 * dt, now_A, emf, capacitance)
        supply_mid, volts_mid, limited_mid = _solve(
            f, q, size, on, on_at, segment, supply, emf_mid, X_MID, MID_STRING, MID_BRANCH
        )
        _heat(f, q, size, MID_STRING, X_MID, UM)
        emf_end = _fallen(emf, dt, supply_mid, emf_mid, capacitance)
        for k in range(size.bridges):
            z, half0 = f[Z, k], f[HALF, k]
            if z < 0.02:
                m0, m1, m2 = _weights(z)
            else:
                # One exponential serves the half and the whole step.
                m0 = half0 * (2.0 - half0)
                m1 = 1.0 - m0 / z
                m2 = 1.0 - 2.0 * m1 / z
            x, u = f[X, k], f[U0, k]
            f[X_END, k] = x * (1.0 - m0) + u * m0 + 2.0 * (f[UM, k] - u) * m1
            f[SECOND, k] = 2.0 * m2 - m1
        supply_end, volts_end, limited_end = _solve(
            f, q, size, on, on_at, segment, supply, emf_end, X_END, LAST_STRING, LAST_BRANCH
        )
        _heat(f, q, size, LAST_STRING, X_END, U1)
        error = 0.0
        for k in range(size.bridges):
            second = f[U1, k] - 2.0 * f[UM, k] + f[U0, k]
            correction = second * f[SECOND, k]
            f[SECOND, k] = second
            f[X_END, k] += correction
            error = max(error, abs(correction) / max(f[X, k], 1.0))
        used = dt / 6.0 * (now_A + 4.0 * supply_mid + supply_end)
        if capacitor:
            missing = abs(emf - used / capacitance - emf_end)
            error = max(error, missing / max(supply.emf_V, 1e-30))
        tiny = dt <= 1e-12 * max(end, 1e-3)
        proposal = dt * min(max(0.9 * np.cbrt(tolerance / max(error, 1e-30)), 0.2), 5.0)
        if error > tolerance and not tiny:
            dt_next, fresh, restart = proposal, True, False
            continue
        earliest = _first_opening(f, size, limits.event_tolerance)
        if earliest < 2.0 and not tiny:
            # Past a burn-open level: taken again to end on it.
            dt_next, fresh, restart = dt * earliest, True, False
            continue
        ends = dt >= remaining
        after = end if ends else t + dt
        event = _take_step(f, q, size, t, dt, after, limits.event_tolerance) or ends
        peak_A = max(peak_A, supply_mid, supply_end)
        lowest_V = min(lowest_V, volts_mid, volts_end)
        any_limited |= limited_mid | limited_end
        _note(f, size, MID_STRING, MID_BRANCH)
        _note(f, size, LAST_STRING, LAST_BRANCH)
        charge += used
        emf, t = emf_end, after
        if ends:
            segment += 1
            while segment < size.segments and f[BOUNDARY, segment + 1] <= t:
                segment += 1
        if event:
            fresh = restart = True
            continue
        # A step cut short by a boundary says little about the next one.
        dt_next = max(dt_next, proposal) if dt < dt_next else proposal
        fresh = restart = False
        now_A = supply_end
        for k in range(size.bridges):
            f[SLOPE, k] = (2.0 * (f[UM, k] - f[U0, k]) + 3.0 * f[SECOND, k]) / dt
            f[U0, k] = f[U1, k]
    return _Totals(peak_A, lowest_V, any_limited, charge, emf, steps)


@_inner
def _load_bridges(f: Floats, q: Ints, bridges: int, at: int, v: Values, out: Results) -> None:
    for k in range(bridges):
        parted = out.parted[at + k]
        cold, rise = v.cold_ohm[at + k], v.rise_per_x[at + k]
        threshold, opens = v.threshold_A[at + k], v.burn_open[at + k]
        q[LIT, k], q[PARTED, k] = out.lit[at + k], parted
        f[AFTER_OHM, k] = v.after_ohm[at + k]
        f[BASE_OHM, k] = f[AFTER_OHM, k] if parted else cold
        f[RISE_OHM, k] = 0.0 if parted else cold * rise
        f[HEAT, k] = 0.0 if parted else 1.0 / (threshold * threshold)
        f[RISE, k], f[THRESHOLD, k] = rise, threshold
        f[RATE, k] = 1.0 / v.tau_s[at + k]
        f[OPENS, k] = np.inf if parted else opens
        f[REACH, k] = max(opens, 1.0) if opens < np.inf else 1.0
        f[X, k] = f[PEAK_X, k] = out.x[at + k]
        f[LIGHT_S, k] = f[PART_S, k] = f[LIGHT_A, k] = f[LIGHT_U, k] = np.nan


@_inner
def _load_supply(c: int, v: Values, least_ohm: float) -> _Supply:
    limit, short = v.limit_A[c], v.short_circuit_A[c]
    slope = (limit - short) / v.nominal_V[c] if limit < np.inf else 0.0
    return _Supply(
        v.emf_V[c],
        v.internal_ohm[c],
        limit < np.inf,
        short,
        slope,
        v.capacitance_F[c],
        v.drop_V[c],
        least_ohm,
    )


@_inner
def _store(f: Floats, q: Ints, size: _Size, c: int, at: int, node_at: int, out: Results) -> None:
    for k in range(size.bridges):
        out.x[at + k] = f[X, k]
        out.lit[at + k], out.parted[at + k] = q[LIT, k] != 0, q[PARTED, k] != 0
        out.light_s[at + k], out.part_s[at + k] = f[LIGHT_S, k], f[PART_S, k]
        out.light_A[at + k], out.light_u[at + k] = f[LIGHT_A, k], f[LIGHT_U, k]
        out.peak_x[at + k] = f[PEAK_X, k]
    for j in range(size.strings):
        for k in range(q[FIRST, j], q[FIRST, j + 1]):
            out.peak_A[at + k] = f[PEAK_STRING, j]
    if out.peak_branch_A.size:
        for i in range(size.nodes):
            out.peak_branch_A[node_at + i] = f[PEAK_BRANCH, i]


@_inner
def _widest(s: Structure) -> int:
    """Columns that the work arrays need."""
    widest = s.boundary_s.shape[1]
    for c in range(s.node_first.size - 1):
        strings = s.string_first[c + 1] - s.string_first[c]
        bridges = s.bridge_first[s.string_first[c + 1] + c]
        widest = max(widest, s.node_first[c + 1] - s.node_first[c], strings + 1, bridges)
    return int(widest)


@_outer
def run_range(
    first: int,
    stop: int,
    shared: bool,
    structure: tuple[Any, ...],
    values: tuple[Any, ...],
    results: tuple[Any, ...],
    settings: tuple[float, float, float, float],
) -> None:
    """Take the circuits (or draws) from `first` to before `stop` through their segments.

    The tuples are plain ones with the fields of `Structure`, `Values`, `Results` and `Limits`.
    """
    s, v, out, limits = Structure(*structure), Values(*values), Results(*results), Limits(*settings)
    width = _widest(s)
    f = np.zeros((ROWS, width))
    q = np.zeros((INTEGER_ROWS, width), dtype=np.intp)
    bridge_at = 0
    if not shared:
        for c in range(first):
            bridge_at += s.bridge_first[s.string_first[c + 1] + c]
    for c in range(first, stop):
        one = 0 if shared else c
        node_base, string_base = s.node_first[one], s.string_first[one]
        nodes = s.node_first[one + 1] - node_base
        strings = s.string_first[one + 1] - string_base
        bridges = s.bridge_first[string_base + one + strings]
        size = _Size(nodes, strings, bridges, s.boundary_s.shape[1] - 1)
        node_at = c * nodes if shared else node_base
        string_at = c * strings if shared else string_base
        if shared:
            bridge_at = c * bridges
        for i in range(nodes):
            q[PARENT, i] = s.parent[node_base + i]
            f[NODE_OHM, i] = v.node_ohm[node_at + i]
            f[PEAK_BRANCH, i] = 0.0
        for j in range(strings):
            q[STRING_NODE, j] = s.string_node[string_base + j]
            f[FIXED_OHM, j] = v.fixed_ohm[string_at + j]
            f[PEAK_STRING, j] = 0.0
        for j in range(strings + 1):
            q[FIRST, j] = s.bridge_first[string_base + one + j]
        row = c if s.boundary_s.shape[0] > 1 else 0
        for i in range(size.segments + 1):
            f[BOUNDARY, i] = s.boundary_s[row, i]
        _load_bridges(f, q, bridges, bridge_at, v, out)
        totals = _advance(
            f, q, size, s.string_on, string_base, _load_supply(c, v, limits.least_ohm), limits
        )
        _store(f, q, size, c, bridge_at, node_at, out)
        out.peak_supply_A[c] = totals.peak_A
        out.lowest_supply_V[c] = totals.lowest_V
        out.limited[c] = totals.limited
        out.charge_C[c] = totals.charge_C
        out.end_emf_V[c] = totals.emf_V
        out.steps[c] = totals.steps
        bridge_at += bridges
