"""Circuit after circuit: copied in, stepped, copied out."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from bridgewire.physics._kernel.arrays import (
    AFTER_OHM,
    BASE_OHM,
    BOUNDARY,
    FIRST,
    FIXED_OHM,
    HEAT,
    INTEGER_ROWS,
    LIGHT_A,
    LIGHT_S,
    LIGHT_U,
    LIT,
    NODE_OHM,
    OPENS,
    PARENT,
    PART_S,
    PARTED,
    PEAK_BRANCH,
    PEAK_STRING,
    PEAK_X,
    RATE,
    REACH,
    RISE,
    RISE_OHM,
    ROWS,
    STRING_NODE,
    THRESHOLD,
    OneSupply,
    Results,
    Settings,
    Size,
    Structure,
    Values,
    X,
)
from bridgewire.physics._kernel.compiling import inner, outer, sources_stamp
from bridgewire.physics._kernel.stepping import MOST_STEPS, advance
from bridgewire.physics.network import Floats, Ints

__all__ = ["MOST_STEPS", "Results", "Structure", "Values", "run_range"]

STAMP = sources_stamp(Path(__file__).parent)
"""Of the sources of this package as they stand."""


@inner
def _load_bridges(f: Floats, q: Ints, bridges: int, at: int, v: Values, out: Results) -> None:
    """Copy the bridges of a circuit, which stand from `at` on, into the work arrays."""
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


@inner
def _load_supply(c: int, v: Values, least_ohm: float) -> OneSupply:
    """The supply of circuit `c`."""
    limit, short = v.limit_A[c], v.short_circuit_A[c]
    slope = (limit - short) / v.nominal_V[c] if limit < np.inf else 0.0
    return OneSupply(
        v.emf_V[c],
        v.internal_ohm[c],
        limit < np.inf,
        short,
        slope,
        v.capacitance_F[c],
        v.drop_V[c],
        least_ohm,
    )


@inner
def _store(f: Floats, q: Ints, size: Size, at: int, node_at: int, out: Results) -> None:
    """Copy what the work arrays hold of bridges and branches into the results."""
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


@inner
def _widest(s: Structure) -> int:
    """Columns that the work arrays need."""
    widest = s.boundary_s.shape[1]
    for c in range(s.node_first.size - 1):
        strings = s.string_first[c + 1] - s.string_first[c]
        bridges = s.bridge_first[s.string_first[c + 1] + c]
        widest = max(widest, s.node_first[c + 1] - s.node_first[c], strings + 1, bridges)
    return int(widest)


@outer
def run_range(
    first: int,
    stop: int,
    shared: bool,
    structure: tuple[Any, ...],
    values: tuple[Any, ...],
    results: tuple[Any, ...],
    settings: tuple[float, float, float, float],
    stamp: int = STAMP,
) -> int:
    """Take the circuits (or draws) from `first` to before `stop` through their segments.

    Parameters
    ----------
    first, stop : int
        The circuits are numbered from 0.
    shared : bool
        Whether they are draws of one structure.
    structure, values, results, settings : tuples
        Plain ones with the fields of `Structure`, `Values`, `Results` and `Settings`. What
        `results` holds is replaced.
    stamp : int
        Not to be given: the default makes kept code of other sources count as another function's.

    Returns
    -------
    int
        `stamp`: tells which sources the code was compiled from.
    """
    s, v, out = Structure(*structure), Values(*values), Results(*results)
    given = Settings(*settings)
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
        size = Size(nodes, strings, bridges, s.boundary_s.shape[1] - 1)
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
        totals = advance(
            f, q, size, s.string_on, string_base, _load_supply(c, v, given.least_ohm), given
        )
        _store(f, q, size, bridge_at, node_at, out)
        out.peak_supply_A[c] = totals.peak_A
        out.lowest_supply_V[c] = totals.lowest_V
        out.limited[c] = totals.limited
        out.charge_C[c] = totals.charge_C
        out.end_emf_V[c] = totals.emf_V
        out.steps[c] = totals.steps
        bridge_at += bridges
    return stamp
