"""Operating point of a supply on a load that behaves as ``I = G (V - d)``.

All arrays have one element per circuit.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import numpy as np
from attrs import define, field
from numpy.typing import NDArray

from bridgewire.physics.laws import FaultLog, Law, SupplyModel, SupplyState, checked, take_laws
from bridgewire.physics.network import Bools, Floats


@define(eq=False)
class SupplyArrays:
    """The supplies of a batch of circuits; arrays of shape (circuits,).

    Parameters
    ----------
    emf_V : array
        Open-circuit voltage at the start of a pulse, V.
    internal_ohm : array
        Internal (or series) resistance, ohm.
    limit_A : array
        Current limit at open-circuit voltage, A; ``inf`` where there is none.
    short_circuit_A : array
        Limit into a short circuit, A. Equal to `limit_A` for constant current, less for fold-back.
    nominal_V : array
        The voltage at which a fold-back limit is `limit_A`, V.
    capacitance_F : array
        Storage capacitor, F; ``inf`` for a source that holds its voltage.
    laws : tuple of Law
        Models from outside that some of the supplies obey, in place of resistance and limit.
    faults : FaultLog
        What was wrong with their answers.

    Examples
    --------
    >>> supply = SupplyArrays.plain(12.0, 0.2, count=3)
    >>> supply.emf_V.tolist(), supply.take(np.array([1])).internal_ohm.tolist()
    ([12.0, 12.0, 12.0], [0.2])
    """

    emf_V: Floats
    internal_ohm: Floats
    limit_A: Floats
    short_circuit_A: Floats
    nominal_V: Floats
    capacitance_F: Floats
    laws: tuple[Law, ...] = ()
    faults: FaultLog = field(factory=FaultLog)

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
            take_laws(self.laws, keep),
            self.faults,
        )


def fold_back_slope(supply: SupplyArrays) -> Floats:
    """How the current limit rises with output voltage, k = (I_limit - I_short) / V_nominal.

    Parameters
    ----------
    supply : SupplyArrays
        The supplies.

    Returns
    -------
    array, shape (circuits,)
        A/V; 0 for constant current or no limit.

    Examples
    --------
    >>> s = SupplyArrays.plain(12.0, 0.1)
    >>> s.limit_A[:], s.short_circuit_A[:] = 5.0, 2.0
    >>> float(fold_back_slope(s)[0])
    0.25
    """
    with np.errstate(invalid="ignore"):
        slope = (supply.limit_A - supply.short_circuit_A) / supply.nominal_V
    return np.where(np.isfinite(supply.limit_A), slope, 0.0)


def operating_point(
    supply: SupplyArrays, emf_V: Floats, load_S: Floats, drop_V: Floats
) -> tuple[Floats, Floats, Bools]:
    """Output voltage and current of each supply on its load.

    The load draws ``I = G (V - d)`` for ``V > d`` and nothing below. Without a limit,
    ``V = E - r I``. Where that current is above the limit at that voltage, the voltage falls
    until ``I = I_sc + k V`` (`fold_back_slope`; k = 0 for constant current).

    Parameters
    ----------
    supply : SupplyArrays
        The supplies, of which resistance, limit and laws are used.
    emf_V, load_S, drop_V : array, shape (circuits,)
        Source voltage now (V), load conductance G (S), load offset d (V).

    Returns
    -------
    output_V, current_A : array, shape (circuits,)
        At the supply's terminals, V and A.
    limited : bool array, shape (circuits,)
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
    output_V, current_A = free_V, free_A
    limited = np.zeros(free_A.shape, dtype=bool)
    if np.isfinite(supply.limit_A).any():
        slope = fold_back_slope(supply)
        ceiling_A = np.where(
            np.isfinite(supply.limit_A), supply.short_circuit_A + slope * free_V, np.inf
        )
        limited = (free_A > ceiling_A) & (load_S > slope)
        with np.errstate(divide="ignore", invalid="ignore"):
            held_V = (supply.short_circuit_A + load_S * drop_V) / (load_S - slope)
            held_A = load_S * (held_V - drop_V)
        output_V, current_A = np.where(limited, held_V, free_V), np.where(limited, held_A, free_A)
    for law in supply.laws:
        m = law.members

        def surplus(at_V: Floats, law: Law = law) -> Floats:
            m = law.members
            given_A = model_current(law, at_V, emf_V[m], supply.faults)
            return given_A - np.maximum(at_V - drop_V[m], 0.0) * load_S[m]

        output_V[m] = falling_root(surplus, emf_V[m])
        note_rising(law, output_V[m], emf_V[m], supply.faults)
        current_A[m] = np.maximum(output_V[m] - drop_V[m], 0.0) * load_S[m]
    return output_V, current_A, limited


def note_rising(law: Law, at_V: Floats, emf_V: Floats, faults: FaultLog) -> None:
    """Note a model whose current rises with the voltage: its operating point means nothing.

    Parameters
    ----------
    law : Law
        A supply model on some circuits.
    at_V, emf_V : array
        Output voltage that was found and open-circuit voltage of its circuits, V.
    faults : FaultLog
        Where the fault is noted.

    Notes
    -----
    The current is asked at 0 V, `at_V` and `emf_V` alone; a rise between them goes unseen.

    Examples
    --------
    >>> log, one = FaultLog(), np.ones(1)
    >>> law = Law(SupplyModel("upside-down", lambda s: s.output_V), np.array([0]), {})
    >>> note_rising(law, one, 2 * one, log)
    >>> [f.text for f in log.faults]
    ['current_A: rises with the output voltage']
    """
    short_A, here_A, open_A = (
        model_current(law, volts, emf_V, faults) for volts in (np.zeros_like(at_V), at_V, emf_V)
    )
    slack_A = 1e-9 * (1.0 + short_A)
    if ((here_A > short_A + slack_A) | (open_A > here_A + slack_A)).any():
        faults.add(law.model.name, "current_A: rises with the output voltage")


def model_current(law: Law, at_V: Floats, emf_V: Floats, faults: FaultLog) -> Floats:
    """Current that a supply model gives at an output voltage, checked.

    Parameters
    ----------
    law : Law
        A supply model on some circuits.
    at_V, emf_V : array
        Output voltage and open-circuit voltage of its circuits, V.
    faults : FaultLog
        Where an answer that cannot be used is noted.

    Returns
    -------
    array
        A, one for each of the law's circuits; 0 where the answer cannot be used.

    Examples
    --------
    >>> law = Law(SupplyModel("ohmic", lambda s: (s.emf_V - s.output_V) / 0.5), np.array([0]), {})
    >>> model_current(law, np.array([10.0]), np.array([12.0]), FaultLog()).tolist()
    [4.0]
    """
    assert isinstance(law.model, SupplyModel)
    ask = partial(law.model.current_A, SupplyState(at_V, emf_V, law.parameters))
    return checked(law.model.name, "current_A", ask, np.zeros(law.members.size), faults)


def falling_root(function: Callable[[Floats], Floats], top: Floats) -> Floats:
    """Voltage at which a falling function of voltage crosses 0, by bisection.

    Parameters
    ----------
    function : callable
        From voltages to values, one for each.
    top : array
        Largest voltages, V; the crossing is sought between 0 and them.

    Returns
    -------
    array
        V, to 2⁻⁵² of `top`; near `top` where the function is still above 0 there, near 0 where it
        is nowhere.

    Examples
    --------
    >>> falling_root(lambda v: 3.0 - v, np.array([10.0])).round(9).tolist()
    [3.0]
    """
    low, high = np.zeros_like(top), top.astype(np.float64)
    for _ in range(52):
        middle = 0.5 * (low + high)
        above = function(middle) > 0.0
        low, high = np.where(above, middle, low), np.where(above, high, middle)
    return 0.5 * (low + high)
