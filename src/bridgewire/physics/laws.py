"""Models from outside: an igniter's own resistance and heating, a supply's own current.

They run inside the vectorised solver. Every answer is checked (shape, finite, not negative); one
that fails is replaced by the built-in law, and the fault is kept, so that nothing computed with it
is taken for true.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np
from attrs import define, field, frozen

from bridgewire.physics.network import Floats, Ints


@frozen(eq=False)
class BridgeState:
    """What an igniter model sees: arrays over its bridges, all of one shape.

    Attributes
    ----------
    x : array
        Temperature rise over the rise that lights the bridge.
    current_A : array
        Current through the bridge; zeros where only the resistance is asked.
    cold_ohm, rise_per_x, threshold_A, tau_s : arrays
        As in `bridgewire.physics.bridges.Bridges`.
    parameters : mapping of str to array
        The class's own ``parameters``.
    """

    x: Floats
    current_A: Floats
    cold_ohm: Floats
    rise_per_x: Floats
    threshold_A: Floats
    tau_s: Floats
    parameters: Mapping[str, Floats]


@frozen(eq=False)
class SupplyState:
    """What a supply model sees: arrays over its circuits, all of one shape.

    Attributes
    ----------
    output_V : array
        Voltage at the supply's terminals.
    emf_V : array
        Open-circuit voltage.
    parameters : mapping of str to array
        The supply's own ``parameters``.
    """

    output_V: Floats
    emf_V: Floats
    parameters: Mapping[str, Floats]


BridgeFunction = Callable[[BridgeState], Floats]
SupplyFunction = Callable[[SupplyState], Floats]


@frozen(eq=False)
class IgniterModel:
    """An igniter's own law.

    Attributes
    ----------
    name : str
        What an igniter class names under ``model``.
    heating : callable
        u of ``dx/dt = (u - x) / tau``, dimensionless, not negative. The built-in law is
        ``(I / I0)^2 (1 + a x)``.
    resistance : callable, optional
        Of the whole bridge, ohm, above 0. The built-in law is ``R0 (1 + a x)``.
    after_ohm : callable, optional
        Resistance once the bridge has parted, from the state in which it parts, ohm, not
        negative; ``inf`` is open. The class's own ``after_fire`` where absent.
    parameters : tuple of str
        Keys that the class must give under ``parameters``.
    title : str
    """

    name: str
    heating: BridgeFunction
    resistance: BridgeFunction | None = None
    after_ohm: BridgeFunction | None = None
    parameters: tuple[str, ...] = ()
    title: str = ""


@frozen(eq=False)
class SupplyModel:
    """A supply's own law.

    Attributes
    ----------
    name : str
        What a supply of kind ``model`` names under ``model``.
    current_A : callable
        Current that the supply gives at an output voltage, A: not negative, and not rising with
        the voltage.
    parameters : tuple of str
        Keys that the supply must give under ``parameters``.
    title : str
    """

    name: str
    current_A: SupplyFunction
    parameters: tuple[str, ...] = ()
    title: str = ""


@frozen
class Models:
    """Models that plugins bring, by name."""

    igniters: Mapping[str, IgniterModel] = field(factory=dict)
    supplies: Mapping[str, SupplyModel] = field(factory=dict)


@frozen
class ModelFault:
    """An answer of a model that could not be used."""

    model: str
    text: str


@define(eq=False)
class FaultLog:
    """Faults of models in one run; each is kept once."""

    faults: dict[ModelFault, None] = field(factory=dict)

    def add(self, model: str, text: str) -> None:
        """Keep a fault."""
        self.faults.setdefault(ModelFault(model, text))


def checked(
    model: str,
    what: str,
    answer: Callable[[], Floats],
    builtin: Floats,
    log: FaultLog,
    *,
    above_zero: bool = False,
    may_be_infinite: bool = False,
) -> Floats:
    """A model's answer if it can be used, else the built-in one.

    Parameters
    ----------
    model, what : str
        For the fault's text.
    answer : callable
    builtin : array
        What the built-in law gives; its shape is the one expected.
    log : FaultLog
    above_zero : bool
        Whether 0 is a fault, too.
    may_be_infinite : bool

    Examples
    --------
    >>> log = FaultLog()
    >>> checked("m", "heating", lambda: np.array([-1.0]), np.array([2.0]), log)
    array([2.])
    >>> [f.text for f in log.faults]
    ['heating: -1 is negative']
    """
    try:
        with np.errstate(all="ignore"):
            value = np.asarray(answer(), dtype=np.float64)
    except (Exception, SystemExit) as error:
        log.add(model, f"{what}: {type(error).__name__}: {error}")
        return builtin
    if value.shape != builtin.shape:
        log.add(model, f"{what}: shape {value.shape}, expected {builtin.shape}")
        return builtin
    finite = ~np.isnan(value) if may_be_infinite else np.isfinite(value)
    if not finite.all():
        log.add(model, f"{what}: {value[~finite][0]} is no number to go on with")
        return builtin
    low = value <= 0.0 if above_zero else value < 0.0
    if low.any():
        log.add(
            model, f"{what}: {value[low][0]:g} is {'not above 0' if above_zero else 'negative'}"
        )
        return builtin
    return value


@define(eq=False)
class Law:
    """A model on some members (bridges or circuits) of a batch."""

    model: IgniterModel | SupplyModel
    members: Ints
    parameters: Mapping[str, Floats]
    """Each of the members' shape."""

    def moved(self, offset: int) -> Law:
        """The same law with its members further on in a larger batch."""
        return Law(self.model, self.members + offset, self.parameters)

    def take(self, keep: Ints) -> Law | None:
        """The law on those members that are in `keep`, with their new places."""
        place = np.full(int(max(self.members.max(), keep.max(initial=0))) + 1, -1, dtype=np.intp)
        place[keep] = np.arange(keep.size)
        mine = place[self.members] >= 0
        if not mine.any():
            return None
        return Law(
            self.model,
            place[self.members[mine]],
            {k: v[mine] for k, v in self.parameters.items()},
        )


def take_laws(laws: Sequence[Law], keep: Ints) -> tuple[Law, ...]:
    """The laws that some members of a batch obey, with their new places."""
    return tuple(taken for law in laws if (taken := law.take(keep)) is not None)


def join_laws(parts: Sequence[tuple[int, Sequence[Law]]]) -> tuple[Law, ...]:
    """Laws of several batches put together, each batch at its offset; one law for each model."""
    by_name: dict[str, list[Law]] = {}
    for offset, laws in parts:
        for law in laws:
            by_name.setdefault(law.model.name, []).append(law.moved(offset))
    return tuple(
        Law(
            group[0].model,
            np.concatenate([g.members for g in group]),
            {k: np.concatenate([g.parameters[k] for g in group]) for k in group[0].parameters},
        )
        for group in by_name.values()
    )
