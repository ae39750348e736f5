"""Whether igniter and supply models keep what the solver relies on."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

import numpy as np
from attrs import fields

from bridgewire.physics.laws import BridgeState, IgniterModel, SupplyModel, SupplyState
from bridgewire.physics.network import Floats
from bridgewire.testing.problems import fail

_SIZES = (1, 2, 7, 64)
_SAME = 1e-9
"""Relative difference between a batch and one by one that rounding may make."""
_SEED = 20

State = BridgeState | SupplyState


def assert_igniter_model(
    model: IgniterModel,
    parameters: Mapping[str, float] | None = None,
    *,
    threshold_A: tuple[float, float] = (0.2, 1.5),
    cold_ohm: tuple[float, float] = (0.5, 4.0),
    most_A: float = 20.0,
) -> None:
    """Assert that an igniter model can run in the vectorised solver.

    Its functions are asked for batches of several sizes: cold, warm, lit and parting bridges,
    without current and with up to `most_A`. Each answer must be one number for each bridge, finite
    (``after_ohm`` may be ``inf``), not negative, the resistance above 0. A batch must give what
    its bridges give one by one, twice the same question the same answer, and nothing that the
    model is given may be changed. A cold bridge without current must not be heated to lighting.

    Parameters
    ----------
    model : IgniterModel
        The model to be tried.
    parameters : mapping of str to float, optional
        A value for each of the model's ``parameters``.
    threshold_A, cold_ohm : pair of float
        Range of the classes that the model is for, A and ohm.
    most_A : float
        Largest current, A.

    Raises
    ------
    AssertionError
        With everything that is wrong.

    Examples
    --------
    >>> square = IgniterModel("square", lambda s: (s.current_A / s.threshold_A) ** 2)
    >>> assert_igniter_model(square)
    >>> assert_igniter_model(IgniterModel("wrong", lambda s: s.x - 1.0))
    Traceback (most recent call last):
        ...
    AssertionError: igniter model 'wrong':
      heating: -1 is negative
    """
    __tracebackhide__ = True
    values = _parameters(model.name, model.parameters, parameters)
    states = [
        _bridges(size, values, threshold_A, cold_ohm, most_A, np.random.default_rng(_SEED + size))
        for size in _SIZES
    ]
    wrong = [*_wrong("heating", model.heating, states)]
    if model.resistance is not None:
        wrong += _wrong("resistance", model.resistance, states, above_zero=True)
    if model.after_ohm is not None:
        wrong += _wrong("after_ohm", model.after_ohm, states, may_be_infinite=True)
    if not wrong:
        rest = states[-1]
        nothing = np.zeros(_SIZES[-1])
        cold = BridgeState(
            nothing, nothing.copy(), rest.cold_ohm, rest.rise_per_x, rest.threshold_A, rest.tau_s,
            rest.parameters,
        )  # fmt: skip
        if (model.heating(cold) >= 1.0).any():
            wrong.append("heating: a cold bridge lights without current")
    if wrong:
        fail(f"igniter model {model.name!r}:", wrong)


def assert_supply_model(
    model: SupplyModel,
    parameters: Mapping[str, float] | None = None,
    *,
    open_circuit_V: tuple[float, float] = (6.0, 60.0),
) -> None:
    """Assert that a supply model can run in the vectorised solver.

    As `assert_igniter_model`; besides, the current must not rise with the output voltage, which is
    taken from a short circuit to the open-circuit voltage, and must be above 0 into a short.

    Parameters
    ----------
    model : SupplyModel
        The model to be tried.
    parameters : mapping of str to float, optional
        A value for each of the model's ``parameters``.
    open_circuit_V : pair of float
        Range of the boxes that the model is for, V.

    Raises
    ------
    AssertionError
        With everything that is wrong.

    Examples
    --------
    >>> line = SupplyModel("line", lambda s: np.maximum(s.emf_V - s.output_V, 0.0) / 0.5)
    >>> assert_supply_model(line)
    """
    __tracebackhide__ = True
    values = _parameters(model.name, model.parameters, parameters)
    states: list[SupplyState] = []
    for size in _SIZES:
        random = np.random.default_rng(_SEED + size)
        emf = random.uniform(*open_circuit_V, size)
        output = emf * random.uniform(0.0, 1.0, size)
        states.append(SupplyState(output, emf, _spread(values, size)))
    wrong = [*_wrong("current_A", model.current_A, states)]
    if not wrong:
        wrong += _rising(model, values, open_circuit_V)
    if wrong:
        fail(f"supply model {model.name!r}:", wrong)


def _rising(
    model: SupplyModel, values: Mapping[str, float], open_circuit_V: tuple[float, float]
) -> Iterator[str]:
    for emf in np.linspace(*open_circuit_V, 7):
        output = np.linspace(0.0, emf, 201)
        state = SupplyState(output, np.full(output.size, emf), _spread(values, output.size))
        current = np.asarray(model.current_A(state), dtype=np.float64)
        if current[0] <= 0.0:
            yield f"current_A: gives nothing into a short circuit at {emf:g} V"
        rises = np.diff(current) > _SAME * (1.0 + current[:-1])
        if rises.any():
            at = int(np.argmax(rises))
            yield (
                f"current_A: rises from {current[at]:g} to {current[at + 1]:g} A between "
                f"{output[at]:g} and {output[at + 1]:g} V"
            )
            return


def _parameters(
    name: str, wanted: tuple[str, ...], given: Mapping[str, float] | None
) -> Mapping[str, float]:
    __tracebackhide__ = True
    values = dict(given or {})
    if set(values) != set(wanted):
        fail(f"model {name!r} has the parameters {sorted(wanted)}, given are {sorted(values)}")
    return values


def _spread(values: Mapping[str, float], size: int) -> dict[str, Floats]:
    return {key: np.full(size, value) for key, value in values.items()}


def _bridges(
    size: int,
    values: Mapping[str, float],
    threshold_A: tuple[float, float],
    cold_ohm: tuple[float, float],
    most_A: float,
    random: np.random.Generator,
) -> BridgeState:
    """Bridges in every state; some cold, some without current."""
    x = random.uniform(0.0, 3.0, size) * (random.random(size) > 0.2)
    current = random.uniform(0.0, most_A, size) * (random.random(size) > 0.2)
    return BridgeState(
        x,
        current,
        random.uniform(*cold_ohm, size),
        random.uniform(0.0, 0.5, size),
        random.uniform(*threshold_A, size),
        10.0 ** random.uniform(-3.0, 0.5, size),
        _spread(values, size),
    )


def _wrong(
    what: str,
    function: Callable[[State], Floats]
    | Callable[[BridgeState], Floats]
    | Callable[[SupplyState], Floats],
    states: list[BridgeState] | list[SupplyState],
    *,
    above_zero: bool = False,
    may_be_infinite: bool = False,
) -> Iterator[str]:
    """Yield the first thing that is wrong with a function's answers."""
    for state in states:
        problem = _first_wrong(function, state, above_zero, may_be_infinite)  # type: ignore[arg-type]
        if problem:
            yield f"{what}: {problem}"
            return


def _first_wrong(
    function: Callable[[State], Floats], state: State, above_zero: bool, may_be_infinite: bool
) -> str:
    size = _size(state)
    before = _copy(state)
    try:
        with np.errstate(all="ignore"):
            answer = np.array(function(state), dtype=np.float64)
            again = np.array(function(state), dtype=np.float64)
            single = [np.array(function(_one(state, i)), dtype=np.float64) for i in range(size)]
    except Exception as error:
        return f"{type(error).__name__}: {error}"
    if not _same_state(state, before):
        return "it changes what it is given"
    if answer.shape != (size,):
        return f"shape {answer.shape} for {size} asked"
    if any(one.shape != (1,) for one in single):
        return "shape is not (1,) for one asked"
    usable = ~np.isnan(answer) if may_be_infinite else np.isfinite(answer)
    if not usable.all():
        return f"{answer[~usable][0]} is no number to go on with"
    low = answer <= 0.0 if above_zero else answer < 0.0
    if low.any():
        return f"{answer[low][0]:g} is {'not above 0' if above_zero else 'negative'}"
    if not np.array_equal(answer, again):
        return "asked twice the same it answers differently"
    alone = np.concatenate(single)
    if not np.allclose(answer, alone, rtol=_SAME, atol=0.0):
        return "a batch gives something else than its members one by one"
    return ""


def _arrays(state: State) -> dict[str, Floats]:
    found = {a.name: getattr(state, a.name) for a in fields(type(state)) if a.name != "parameters"}
    return found | {f"parameters.{k}": v for k, v in state.parameters.items()}


def _rebuilt(state: State, change: Callable[[Floats], Floats]) -> State:
    names = [a.name for a in fields(type(state)) if a.name != "parameters"]
    parameters = {k: change(v) for k, v in state.parameters.items()}
    return type(state)(**{n: change(getattr(state, n)) for n in names}, parameters=parameters)


def _size(state: State) -> int:
    first = state.x if isinstance(state, BridgeState) else state.emf_V
    return int(first.size)


def _copy(state: State) -> State:
    return _rebuilt(state, lambda a: a.copy())


def _one(state: State, index: int) -> State:
    return _rebuilt(state, lambda a: a[index : index + 1].copy())


def _same_state(state: State, before: State) -> bool:
    now, then = _arrays(state), _arrays(before)
    return now.keys() == then.keys() and all(np.array_equal(now[k], then[k]) for k in then)
