"""Event times of a case by ngspice.

A bridge is a behavioural resistance and a thermal node (capacity, loss, source of its power). It
parts by a normally-on switch with hysteresis that can never close again; the switch's control
voltage is scaled up so that the simulator places a time point close to the opening.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from tests.oracles.case import Case, Events, Igniter, Source
from tests.oracles.ngspice import Ngspice

Floats = NDArray[np.float64]
CONTROL_GAIN = 1e6
OPEN_OHM = 1e12
FIRST_STEP = 1e3
"""How many times shorter than the longest time step the first one is."""


def netlist(case: Case, *, reltol: float, steps: float) -> list[str]:
    """The deck of a case with one segment, at least `steps` time points long."""
    if len(case.boundaries_s) != 2 or not all(all(s.on) for s in case.strings):
        raise ValueError("one segment with all strings on, please")
    lines = ["* firing circuit", *_source(case.source)]
    lines += [
        f"Rb{k} {_node(b.start)} {_node(b.end)} {b.ohm!r}" for k, b in enumerate(case.branches)
    ]
    number = 0
    for k, string in enumerate(case.strings):
        here = f"s{k}_0"
        lines.append(f"Rs{k} {_node(string.start)} {here} {max(string.lead_ohm, 1e-9)!r}")
        if case.drop_V:
            lines.append(f"Vd{k} {here} s{k}_d {case.drop_V!r}")
            here = f"s{k}_d"
        for place, igniter in enumerate(string.igniters):
            last = place == len(string.igniters) - 1
            there = _node(string.end) if last else f"s{k}_{place + 1}"
            lines += _bridge(number, igniter, here, there)
            here, number = there, number + 1
    end = case.boundaries_s[1]
    step = end / steps
    saved = " ".join(f"v(t{i}) i(vb{i})" for i in range(number))
    lines += [
        f".options reltol={reltol} abstol=1e-12 vntol=1e-9 chgtol=1e-18 gmin=1e-15 trtol=1",
        ".options method=gear",
        f".save {saved}",
        f".tran {step / FIRST_STEP!r} {end!r} 0 {step!r} uic",
        ".end",
    ]
    return lines


def _node(number: int) -> str:
    return f"n{number}" if number else "0"


def _source(source: Source) -> Iterator[str]:
    emf = f"{source.emf_V!r}"
    if math.isfinite(source.capacitance_F):
        yield f"Cs e 0 {source.capacitance_F!r} ic={emf}"
    else:
        yield f"Ve e 0 {emf}"
    if math.isinf(source.limit_A):
        yield f"Re e n1 {source.internal_ohm!r}"
    else:
        free = f"v(e,n1)/{source.internal_ohm!r}"
        limit = f"{source.short_circuit_A!r}+{source.fold_S!r}*v(n1)"
        yield f"Be e n1 I=min({free},{limit})"


def _bridge(i: int, igniter: Igniter, start: str, end: str) -> Iterator[str]:
    ohm = f"({igniter.cold_ohm!r}*(1+{igniter.alpha_per_K!r}*v(t{i})))"
    yield f"Vb{i} {start} b{i} 0"
    if math.isfinite(igniter.open_K):
        reach = CONTROL_GAIN * 10.0 * igniter.open_K
        after = min(igniter.after_ohm, OPEN_OHM)
        yield f"Bb{i} b{i} c{i} I=v(b{i},c{i})/{ohm}"
        yield f"Ec{i} k{i} 0 t{i} 0 {-CONTROL_GAIN!r}"
        yield f"Vc{i} w{i} k{i} {CONTROL_GAIN * igniter.open_K!r}"
        yield f"Sb{i} c{i} {end} w{i} 0 part{i} ON"
        yield f".model part{i} sw(vt={reach!r} vh={reach!r} ron=1e-9 roff={OPEN_OHM!r})"
        if after < OPEN_OHM:
            yield f"Sa{i} {start} {end} 0 w{i} rest{i} OFF"
            ron = max(after, 1e-9)
            yield f".model rest{i} sw(vt={-reach!r} vh={reach!r} ron={ron!r} roff={OPEN_OHM!r})"
    else:
        yield f"Bb{i} b{i} {end} I=v(b{i},{end})/{ohm}"
    yield f"Ct{i} t{i} 0 {igniter.heat_J_per_K!r} ic={igniter.start_K!r}"
    yield f"Rt{i} t{i} 0 {1.0 / igniter.loss_W_per_K!r}"
    yield f"Bt{i} 0 t{i} I=i(Vb{i})*i(Vb{i})*{ohm}"


def events(case: Case, *, reltol: float = 1e-6, steps: float = 4000) -> Events:
    """Event times of one case."""
    count = len(case.igniters)
    names = [name for i in range(count) for name in (f"v(t{i})", f"vb{i}#branch")]
    deck = netlist(case, reltol=reltol, steps=steps)
    time, *rest = Ngspice.shared().run(deck, ["time", *names])
    light, part = np.full(count, np.nan), np.full(count, np.nan)
    for i, igniter in enumerate(case.igniters):
        rise, current = rest[2 * i], rest[2 * i + 1]
        part[i] = _opening(time, rise, current, igniter)
        light[i] = _crossing(time, rise, current, igniter)
    return Events(light, part)


def _opening(time: Floats, rise: Floats, current: Floats, igniter: Igniter) -> float:
    """The first time point without current while the bridge stands at its parting level.

    The level tells the bridge that parts from others of its string, which lose their current too.
    """
    gone = (np.abs(current[1:]) < 1e-9) & (np.abs(current[:-1]) > 1e-9)
    opened = np.flatnonzero(gone & (rise[:-1] > 0.995 * igniter.open_K))
    return float(time[opened[0] + 1]) if opened.size else math.nan


def _crossing(time: Floats, rise: Floats, current: Floats, igniter: Igniter) -> float:
    """When the rise first reached the lighting level, by cubic interpolation of a time step."""
    above = np.flatnonzero((rise[1:] >= igniter.light_K) & (rise[:-1] < igniter.light_K))
    if not above.size:
        return math.nan
    at = slice(int(above[0]), int(above[0]) + 2)
    (t0, t1), (x0, x1) = time[at], rise[at]
    ohm = igniter.cold_ohm * (1.0 + igniter.alpha_per_K * rise[at])
    heating = current[at] ** 2 * ohm - igniter.loss_W_per_K * rise[at]
    d0, d1 = heating / igniter.heat_J_per_K * (t1 - t0)
    cubic = np.polynomial.Polynomial(
        [x0 - igniter.light_K, d0, 3 * (x1 - x0) - 2 * d0 - d1, 2 * (x0 - x1) + d0 + d1]
    )
    roots = cubic.roots()
    inside = roots[(np.abs(roots.imag) < 1e-9) & (roots.real > -1e-9) & (roots.real < 1 + 1e-9)]
    return float(t0 + np.min(inside.real) * (t1 - t0))
