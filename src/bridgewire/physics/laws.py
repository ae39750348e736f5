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

    Parameters
    ----------
    x : array
        Temperature rise over the rise that lights the bridge.
    current_A : array
        Current through the bridge, A, not negative; zeros where only the resistance is asked.
    cold_ohm, rise_per_x, threshold_A, tau_s : array
        Constants of the bridges, as in `bridgewire.physics.bridges.Bridges`: ohm, relative rise, A,
        s.
    parameters : mapping of str to array
        The class's own ``parameters``.

    Examples
    --------
    The built-in law of heating, as a model would write it:

    >>> one = np.ones(2)
    >>> s = BridgeState(0 * one, np.array([0.4, 0.8]), one, 0 * one, 0.4 * one, 0.02 * one, {})
    >>> ((s.current_A / s.threshold_A) ** 2 * (1.0 + s.rise_per_x * s.x)).tolist()
    [1.0, 4.0]
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

    Parameters
    ----------
    output_V : array
        Voltage at the supply's terminals, V, from 0 to `emf_V`.
    emf_V : array
        Open-circuit voltage, V.
    parameters : mapping of str to array
        The supply's own ``parameters``.

    Examples
    --------
    A resistance of 0.5 ohm, as a model would write it:

    >>> s = SupplyState(np.array([10.0]), np.array([12.0]), {"ohm": np.array([0.5])})
    >>> ((s.emf_V - s.output_V) / s.parameters["ohm"]).tolist()
    [4.0]
    """

    output_V: Floats
    emf_V: Floats
    parameters: Mapping[str, Floats]


BridgeFunction = Callable[[BridgeState], Floats]
SupplyFunction = Callable[[SupplyState], Floats]


@frozen(eq=False)
class IgniterModel:
    """An igniter's own law.

    Parameters
    ----------
    name : str
        What an igniter class names under ``model``.
    heating : callable
        From a `BridgeState`: u of ``dx/dt = (u - x) / tau``, dimensionless, not negative. The
        built-in law is ``(I / I0)^2 (1 + a x)``.
    resistance : callable, optional
        Of the whole bridge, ohm, above 0. The built-in law is ``R0 (1 + a x)``. Its answer must not
        depend on the current, which is not known yet.
    after_ohm : callable, optional
        Resistance once the bridge has parted, from the state in which it parts, ohm, not
        negative; ``inf`` is open. The class's own ``after_fire`` where absent.
    parameters : tuple of str
        Keys that the class must give under ``parameters``.
    title : str
        What a person calls it.

    Notes
    -----
    The functions are asked several times in each step, with all bridges that obey the model at
    once. An answer that cannot be used is replaced by the built-in law and noted, see `checked`;
    verdicts that rest on it are *unknown*.

    Examples
    --------
    >>> IgniterModel("square", lambda s: (s.current_A / s.threshold_A) ** 2).parameters
    ()
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

    Parameters
    ----------
    name : str
        What a supply of kind ``model`` names under ``model``.
    current_A : callable
        From a `SupplyState`: current that the supply gives at an output voltage, A: not negative,
        and not rising with the voltage.
    parameters : tuple of str
        Keys that the supply must give under ``parameters``.
    title : str
        What a person calls it.

    Notes
    -----
    The operating point is where this falling curve meets the load's rising one. An answer that
    cannot be used counts as no current and is noted, see `checked`; so is a curve that rises.

    Examples
    --------
    >>> model = SupplyModel(
    ...     "ohmic", lambda s: (s.emf_V - s.output_V) / s.parameters["ohm"], ("ohm",))
    >>> model.parameters
    ('ohm',)
    """

    name: str
    current_A: SupplyFunction
    parameters: tuple[str, ...] = ()
    title: str = ""


@frozen
class Models:
    """Models that plugins bring.

    Parameters
    ----------
    igniters : mapping of str to IgniterModel
        By the name that an igniter class gives.
    supplies : mapping of str to SupplyModel
        By the name that a supply gives.

    Examples
    --------
    >>> Models().igniters
    {}
    """

    igniters: Mapping[str, IgniterModel] = field(factory=dict)
    supplies: Mapping[str, SupplyModel] = field(factory=dict)


@frozen
class ModelFault:
    """An answer of a model that could not be used.

    Parameters
    ----------
    model : str
        Name of the model.
    text : str
        Which function, and what was wrong.

    Examples
    --------
    >>> ModelFault("square", "heating: -1 is negative").model
    'square'
    """

    model: str
    text: str


@define(eq=False)
class FaultLog:
    """Faults of models in one run; each is kept once.

    Parameters
    ----------
    faults : dict of ModelFault to None
        In the order in which they came up.

    Examples
    --------
    >>> log = FaultLog()
    >>> log.add("square", "heating: -1 is negative")
    >>> log.add("square", "heating: -1 is negative")
    >>> len(log.faults)
    1
    """

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
    """Take a model's answer if it can be used, else the built-in one.

    Parameters
    ----------
    model, what : str
        Name of the model and of its function, for the fault's text.
    answer : callable
        Asks the model. Whatever it raises is a fault.
    builtin : array
        What the built-in law gives; its shape is the one expected.
    log : FaultLog
        Where a fault is noted.
    above_zero : bool
        Whether 0 is a fault, too.
    may_be_infinite : bool
        Whether ``inf`` is none.

    Returns
    -------
    array
        The answer as floats, or `builtin`.

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
    """A model on some members (bridges or circuits) of a batch.

    Parameters
    ----------
    model : IgniterModel or SupplyModel
        The model.
    members : int array
        Places of the bridges or circuits that obey it.
    parameters : mapping of str to array
        Each of the members' shape.

    Examples
    --------
    >>> law = Law(SupplyModel("m", lambda s: s.emf_V, ("ohm",)), np.array([0, 2]),
    ...           {"ohm": np.array([0.1, 0.2])})
    >>> law.take(np.array([2])).parameters["ohm"].tolist(), law.moved(10).members.tolist()
    ([0.2], [10, 12])
    """

    model: IgniterModel | SupplyModel
    members: Ints
    parameters: Mapping[str, Floats]

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
    """Keep the laws that some members of a batch obey, with their new places.

    Parameters
    ----------
    laws : sequence of Law
        Of the whole batch.
    keep : int array
        Places of the members that are kept, in their new order.

    Returns
    -------
    tuple of Law
        Without the laws that none of them obeys.

    Examples
    --------
    >>> law = Law(SupplyModel("m", lambda s: s.emf_V), np.array([0, 2]), {})
    >>> [one.members.tolist() for one in take_laws([law], np.array([1, 2]))]
    [[1]]
    """
    return tuple(taken for law in laws if (taken := law.take(keep)) is not None)


def join_laws(parts: Sequence[tuple[int, Sequence[Law]]]) -> tuple[Law, ...]:
    """Join the laws of several batches that are put together.

    Parameters
    ----------
    parts : sequence of tuple of int and sequence of Law
        The offset of each batch in the whole, and its laws.

    Returns
    -------
    tuple of Law
        One for each model, by the first batch that has it.

    Examples
    --------
    >>> law = Law(SupplyModel("m", lambda s: s.emf_V), np.array([0]), {})
    >>> [one.members.tolist() for one in join_laws([(0, [law]), (5, [law])])]
    [[0, 5]]
    """
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
