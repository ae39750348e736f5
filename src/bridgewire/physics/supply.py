"""Operating point of a supply on a load that behaves as ``I = G (V - d)``.

All arrays have one element per circuit.
"""

from __future__ import annotations

import numpy as np
from attrs import define, field
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@define(eq=False)
class SupplyArrays:
    """The supplies of a batch of circuits.

    Attributes
    ----------
    emf_V : array
        Open-circuit voltage at the start of a pulse.
    internal_ohm : array
        Internal (or series) resistance.
    limit_A : array
        Current limit at open-circuit voltage; ``inf`` where there is none.
    short_circuit_A : array
        Limit into a short circuit. Equal to `limit_A` for constant current, less for fold-back.
    nominal_V : array
        The voltage at which a fold-back limit is `limit_A`.
    capacitance_F : array
        ``inf`` for a source that holds its voltage.
    """

    emf_V: Floats
    internal_ohm: Floats
    limit_A: Floats
    short_circuit_A: Floats
    nominal_V: Floats
    capacitance_F: Floats = field()

    @classmethod
    def plain(cls, emf_V: float, internal_ohm: float, count: int = 1) -> SupplyArrays:
        """Make `count` equal sources without limit or capacitor."""
        ones = np.ones(count)
        return cls(
            emf_V * ones,
            internal_ohm * ones,
            np.inf * ones,
            np.inf * ones,
            emf_V * ones,
            np.inf * ones,
        )

    def take(self, keep: NDArray[np.intp]) -> SupplyArrays:
        """The supplies of some circuits, by index."""
        return SupplyArrays(
            self.emf_V[keep],
            self.internal_ohm[keep],
            self.limit_A[keep],
            self.short_circuit_A[keep],
            self.nominal_V[keep],
            self.capacitance_F[keep],
        )


def fold_back_slope(supply: SupplyArrays) -> Floats:
    """How the current limit rises with output voltage, A/V; 0 for constant current or no limit.

    >>> float(fold_back_slope(SupplyArrays.plain(12.0, 0.1))[0])
    0.0
    """
    with np.errstate(invalid="ignore"):
        slope = (supply.limit_A - supply.short_circuit_A) / supply.nominal_V
    return np.where(np.isfinite(supply.limit_A), slope, 0.0)


def operating_point(
    supply: SupplyArrays, emf_V: Floats, load_S: Floats, drop_V: Floats
) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Output voltage and current of each supply on its load.

    The load draws ``I = G (V - d)`` for ``V > d`` and nothing below. Without a limit,
    ``V = E - r I``. Where that current is above the limit at that voltage, the voltage falls
    until ``I = I_sc + k V`` (`fold_back_slope`; k = 0 for constant current).

    Parameters
    ----------
    emf_V, load_S, drop_V : arrays, shape (circuits,)
        Source voltage now (V), load conductance G (S), load offset d (V).

    Returns
    -------
    output_V, current_A : arrays
    limited : boolean array
        Where the limit is in force.

    Notes
    -----
    A fold-back source can have two stable points; the one reached from full voltage by adding
    load is returned. If the limit line rises faster than the load line (G <= k) there is no
    point on the limit and the unlimited one is returned.

    Examples
    --------
    10 A into 1 Ω from 12 V and 0.2 Ω; then the same with a limit of 5 A:

    >>> s = SupplyArrays.plain(12.0, 0.2)
    >>> v, i, limited = operating_point(s, s.emf_V, np.array([1.0]), np.zeros(1))
    >>> float(i[0]), float(v[0])
    (10.0, 10.0)
    >>> s.limit_A[:] = s.short_circuit_A[:] = 5.0
    >>> v, i, limited = operating_point(s, s.emf_V, np.array([1.0]), np.zeros(1))
    >>> float(i[0]), float(v[0]), bool(limited[0])
    (5.0, 5.0, True)
    """
    free_A = np.maximum(emf_V - drop_V, 0.0) * load_S / (1.0 + supply.internal_ohm * load_S)
    free_V = emf_V - supply.internal_ohm * free_A
    if not np.isfinite(supply.limit_A).any():
        return free_V, free_A, np.zeros(free_A.shape, dtype=bool)
    slope = fold_back_slope(supply)
    ceiling_A = np.where(
        np.isfinite(supply.limit_A), supply.short_circuit_A + slope * free_V, np.inf
    )
    limited = (free_A > ceiling_A) & (load_S > slope)
    with np.errstate(divide="ignore", invalid="ignore"):
        held_V = (supply.short_circuit_A + load_S * drop_V) / (load_S - slope)
        held_A = load_S * (held_V - drop_V)
    return np.where(limited, held_V, free_V), np.where(limited, held_A, free_A), limited
