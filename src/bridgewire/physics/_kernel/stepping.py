"""Steps of one circuit through its segments; see `bridgewire.physics.transient`."""

from __future__ import annotations

import numpy as np

from bridgewire.physics._kernel.arrays import (
    AFTER_OHM,
    BASE_OHM,
    BOUNDARY,
    HALF,
    HEAT,
    LAST_BRANCH,
    LAST_STRING,
    LIGHT_A,
    LIGHT_S,
    LIGHT_U,
    LIT,
    MID_BRANCH,
    MID_STRING,
    OPENS,
    PART_S,
    PARTED,
    PEAK_BRANCH,
    PEAK_STRING,
    PEAK_X,
    RATE,
    REACH,
    RISE,
    RISE_OHM,
    SECOND,
    SLOPE,
    THRESHOLD,
    TOP_S,
    TOP_X,
    U0,
    U1,
    UM,
    X_END,
    X_MID,
    OneSupply,
    Settings,
    Size,
    Totals,
    X,
    Z,
)
from bridgewire.physics._kernel.compiling import inner
from bridgewire.physics._kernel.currents import fallen, heat, solve
from bridgewire.physics._kernel.response import crossing, response, summit, weights
from bridgewire.physics.network import Bools, Floats, Ints

MOST_STEPS = 1_000_000
"""A circuit that needs more steps than this is given up."""


@inner
def _note(f: Floats, size: Size, string_A: int, branch_A: int) -> None:
    """Record the extremes of one solution."""
    for j in range(size.strings):
        f[PEAK_STRING, j] = max(f[PEAK_STRING, j], f[string_A, j])
    for i in range(size.nodes):
        f[PEAK_BRANCH, i] = max(f[PEAK_BRANCH, i], f[branch_A, i])


@inner
def _light(f: Floats, k: int, t: float, dt: float) -> None:
    """Record the moment of ignition of a bridge within the step just taken."""
    s, u = 0.0, f[U0, k]
    if f[X, k] < 1.0:
        x0, um, second, z = f[X, k], f[UM, k], f[SECOND, k], f[Z, k]
        s = crossing(1.0, x0, f[U0, k], um, second, z, f[TOP_S, k])
        u = response(x0, f[U0, k], um, second, z, s)[1]
    f[LIGHT_S, k] = t + s * dt
    f[LIGHT_U, k] = u
    f[LIGHT_A, k] = f[THRESHOLD, k] * np.sqrt(max(u, 0.0) / (1.0 + f[RISE, k]))


@inner
def _guess(f: Floats, size: Size) -> float:
    """A first step: a fifth of the time in which the fastest bridge gets anywhere."""
    fastest = 0.0
    for k in range(size.bridges):
        fastest = max(fastest, abs(f[U0, k] - f[X, k]) * f[RATE, k] / f[REACH, k])
    return 0.2 / fastest


@inner
def _first_opening(f: Floats, size: Size, event_tolerance: float) -> float:
    """Part of the step after which a bridge first reaches its burn-open level; else 2.

    Finds the summits of x on the way.
    """
    earliest = 2.0
    for k in range(size.bridges):
        x, u, x_end = f[X, k], f[U0, k], f[X_END, k]
        top_s, top_x = 1.0, x_end
        if u > x and f[U1, k] < x_end:
            top_s, top_x = summit(x, u, f[UM, k], f[SECOND, k], f[Z, k], x_end, f[U1, k])
        f[TOP_S, k], f[TOP_X, k] = top_s, top_x
        if top_x > f[OPENS, k] + event_tolerance:
            s = crossing(f[OPENS, k], x, u, f[UM, k], f[SECOND, k], f[Z, k], top_s)
            earliest = min(earliest, s)
    return earliest


@inner
def _take_step(
    f: Floats, q: Ints, size: Size, t: float, dt: float, after: float, event_tolerance: float
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


@inner
def advance(
    f: Floats, q: Ints, size: Size, on: Bools, on_at: int, supply: OneSupply, given: Settings
) -> Totals:
    """Take the circuit in the work arrays through all of its segments.

    One long function, because arrays handed on within a step cost more than its arithmetic.
    """
    tolerance = given.tolerance
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
            now_A, volts, limited = solve(
                f, q, size, on, on_at, segment, supply, emf, X, LAST_STRING, LAST_BRANCH
            )
            heat(f, q, size, LAST_STRING, X, U0)
            peak_A, lowest_V = max(peak_A, now_A), min(lowest_V, volts)
            any_limited |= limited
            _note(f, size, LAST_STRING, LAST_BRANCH)
            guess = _guess(f, size)
            if capacitor and now_A > 0.0:
                guess = min(guess, 0.2 * capacitance * emf / now_A)
            if restart:
                dt_next = guess
            ahead = given.look_ahead * guess if guess < np.inf else 0.0
            for k in range(size.bridges):
                f[X_MID, k] = f[X, k] + (f[U0, k] - f[X, k]) * ahead * f[RATE, k]
            later = fallen(emf, ahead, now_A, emf, capacitance)
            solve(f, q, size, on, on_at, segment, supply, later, X_MID, MID_STRING, MID_BRANCH)
            heat(f, q, size, MID_STRING, X_MID, UM)
            per_s = 1.0 / ahead if ahead > 0.0 else 0.0
            for k in range(size.bridges):
                f[SLOPE, k] = (f[UM, k] - f[U0, k]) * per_s
        # Try a step.
        end = f[BOUNDARY, segment + 1]
        remaining = end - t
        dt = min(dt_next, remaining)
        for k in range(size.bridges):
            z = dt * f[RATE, k]
            half0, half1, _ = weights(0.5 * z)
            x = f[X, k]
            f[X_MID, k] = x + (f[U0, k] - x) * half0 + 0.5 * f[SLOPE, k] * dt * half1
            f[Z, k], f[HALF, k] = z, half0
        emf_mid = fallen(emf, 0.5 * dt, now_A, emf, capacitance)
        supply_mid, volts_mid, limited_mid = solve(
            f, q, size, on, on_at, segment, supply, emf_mid, X_MID, MID_STRING, MID_BRANCH
        )
        heat(f, q, size, MID_STRING, X_MID, UM)
        emf_end = fallen(emf, dt, supply_mid, emf_mid, capacitance)
        for k in range(size.bridges):
            z, half0 = f[Z, k], f[HALF, k]
            if z < 0.02:
                m0, m1, m2 = weights(z)
            else:
                # One exponential serves the half and the whole step.
                m0 = half0 * (2.0 - half0)
                m1 = 1.0 - m0 / z
                m2 = 1.0 - 2.0 * m1 / z
            x, u = f[X, k], f[U0, k]
            f[X_END, k] = x * (1.0 - m0) + u * m0 + 2.0 * (f[UM, k] - u) * m1
            f[SECOND, k] = 2.0 * m2 - m1
        supply_end, volts_end, limited_end = solve(
            f, q, size, on, on_at, segment, supply, emf_end, X_END, LAST_STRING, LAST_BRANCH
        )
        heat(f, q, size, LAST_STRING, X_END, U1)
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
        earliest = _first_opening(f, size, given.event_tolerance)
        if earliest < 2.0 and not tiny:
            # Past a burn-open level: taken again to end on it.
            dt_next, fresh, restart = dt * earliest, True, False
            continue
        ends = dt >= remaining
        after = end if ends else t + dt
        event = _take_step(f, q, size, t, dt, after, given.event_tolerance) or ends
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
    return Totals(peak_A, lowest_V, any_limited, charge, emf, steps)
