"""What comes out of a transient: events, extremes, and the currents at moments that are watched."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import numpy as np
from attrs import define, field, frozen

from bridgewire.physics.network import Bools, Floats, Ints

Trace: TypeAlias = Callable[[Floats, Ints, Floats, Floats], None]
"""Called after each accepted step with time per circuit, circuits, x and string currents."""


@frozen(eq=False)
class Snapshot:
    """Currents of one circuit at one moment.

    Parameters
    ----------
    string_A : array, shape (strings,)
        Current in each string of the circuit, A.
    branch_A : array or None
        Current in each branch of the circuit, A. None where a batch of trees keeps the branches of
        several circuits mixed.

    Examples
    --------
    >>> Snapshot(np.array([0.5, 0.25]), None).string_A.sum()
    np.float64(0.75)
    """

    string_A: Floats
    branch_A: Floats | None


@define(eq=False)
class Outcome:
    """What happened to every bridge and circuit of a run.

    Parameters
    ----------
    light_s, part_s : array, shape (bridges,)
        When each bridge was lit and when it parted, s on the clock of the boundaries; ``nan`` if
        it did not in this run.
    light_A : array, shape (bridges,)
        Current at the moment of ignition, A; ``nan`` without one.
    light_u : array, shape (bridges,)
        Heating at that moment, in units of what just holds the bridge at its lighting temperature.
    peak_x : array, shape (bridges,)
        Highest temperature rise over the rise that lights.
    peak_A : array, shape (bridges,)
        Highest current of the bridge's string, A.
    peak_supply_A, lowest_supply_V : array, shape (circuits,)
        Highest current (A) and lowest voltage (V) at the supply's terminals.
    limited : bool array, shape (circuits,)
        Whether the supply's limit was in force at any time.
    charge_C : array, shape (circuits,)
        Charge that the supply gave, C.
    end_emf_V : array, shape (circuits,)
        Source voltage at the end, V; lower than at the start for a capacitor only.
    peak_branch_A : array, shape (branches,)
        Highest current of each branch, A.
    snapshots : dict of int to Snapshot
        For watched bridges: the circuit when the bridge is lit, or, where it is not, at the end of
        its pulse (the beginning, from a capacitor).
    steps : int
        Steps of the batch; where each circuit is stepped by itself, of the busiest one.

    Examples
    --------
    >>> out = Outcome.empty(np.zeros(2), np.array([20.0]), branches=3)
    >>> out.light_s.tolist(), out.lowest_supply_V.tolist(), out.peak_branch_A.size
    ([nan, nan], [20.0], 3)
    """

    light_s: Floats
    part_s: Floats
    light_A: Floats
    light_u: Floats
    peak_x: Floats
    peak_A: Floats
    peak_supply_A: Floats
    lowest_supply_V: Floats
    limited: Bools
    charge_C: Floats
    end_emf_V: Floats
    peak_branch_A: Floats
    snapshots: dict[int, Snapshot] = field(factory=dict)
    steps: int = 0

    @classmethod
    def empty(cls, x: Floats, emf_V: Floats, branches: int) -> Outcome:
        """Make an outcome in which nothing has happened yet."""
        nan, circuits = np.full(x.size, np.nan), emf_V.size
        return cls(
            light_s=nan.copy(),
            part_s=nan.copy(),
            light_A=nan.copy(),
            light_u=nan.copy(),
            peak_x=x.copy(),
            peak_A=np.zeros(x.size),
            peak_supply_A=np.zeros(circuits),
            lowest_supply_V=emf_V.copy(),
            limited=np.zeros(circuits, dtype=bool),
            charge_C=np.zeros(circuits),
            end_emf_V=emf_V.copy(),
            peak_branch_A=np.zeros(branches),
        )
