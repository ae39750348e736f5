"""Up-and-down trials: each shot one step below a level that lit, one above one that did not.

Formulas: W. J. Dixon, A. M. Mood, JASA 43 (1948) 109-126, as printed in Frattura ed Integrità
Strutturale 58 (2021) 344-364, equations 1-4. The standard errors of the paper need two curves (G
and H) that we have not seen; they are left out. A fit gives intervals instead.
"""

from __future__ import annotations

import numpy as np
from attrs import frozen

from bridgewire.bench.sensitivity.trials import Trials, from_scale, to_scale

UNEQUAL = 0.02
"""Largest deviation of a level from equal steps, in steps: levels are rounded for people."""
BEND = 0.3
"""Above it the formula for s holds; at or below it s is only ``0.53 d``."""
_OUTCOMES = ("less-frequent", "lit", "unlit")


@frozen
class UpAndDown:
    """Mean and spread by Dixon and Mood, on the scale.

    Both are estimates without an interval: of the level at which half light, and of the standard
    deviation of a normal distribution of the igniters' own levels.
    """

    outcome: str
    """``lit`` or ``unlit``: the outcome that was counted."""
    step: float
    lowest: float
    """Lowest level of that outcome, on the scale: i = 0."""
    n: int
    a: int
    b: int
    """Sums of n_i, i n_i and i² n_i."""
    mean: float
    spread: float
    crude: bool
    """Whether s is ``0.53 d``, because ``(N B - A²) / N²`` is not above 0.3."""
    scale: str
    notes: tuple[str, ...] = ()
    """Conditions of the method that are in doubt."""

    @property
    def level(self) -> float:
        """The mean in the unit of the trials."""
        return from_scale(self.mean, self.scale)


@frozen
class NotUpAndDown:
    """Why the formulas do not apply."""

    reasons: tuple[str, ...]


@frozen
class Steps:
    """Levels of a sequence as whole steps from its lowest."""

    step: float
    lowest: float
    index: tuple[int, ...]
    lit: tuple[bool, ...]


def steps_of(trials: Trials, scale: str = "linear") -> Steps | NotUpAndDown:
    """Check that a sequence has equal steps and follows the rule.

    Parameters
    ----------
    trials : Trials
        With the order of the shots.
    scale : str
        On which the steps are equal.
    """
    if trials.order is None:
        return NotUpAndDown(("the order of the shots is not known",))
    if not 0 < trials.shots_lit < trials.shots:
        return NotUpAndDown(("all results are alike",))
    x = to_scale([level for level, _ in trials.order], scale)
    lit = tuple(result for _, result in trials.order)
    ladder = np.unique(x)
    if ladder.size < 2:
        return NotUpAndDown(("there is only one level",))
    step = float(np.median(np.diff(ladder)))
    place = (x - ladder[0]) / step
    index = np.rint(place).astype(int)
    reasons: list[str] = []
    if float(np.abs(place - index).max()) > UNEQUAL * max(1, int(index.max())):
        reasons.append("the levels are not equal steps apart on this scale")
    for n in range(1, len(lit)):
        wanted = index[n - 1] + (-1 if lit[n - 1] else 1)
        if index[n] != wanted and len(reasons) < 6:
            seen = "lit" if lit[n - 1] else "did not light"
            way = "lower" if lit[n - 1] else "higher"
            reasons.append(f"shot {n} {seen}, but shot {n + 1} is not one step {way}")
    if reasons:
        return NotUpAndDown(tuple(reasons))
    # rounded levels: the step that suits them all
    if index.max() > 0:
        step = float(ladder[-1] - ladder[0]) / int(index.max())
    return Steps(step, float(ladder[0]), tuple(int(i) for i in index), lit)


def up_and_down(
    trials: Trials, scale: str = "linear", *, outcome: str = "less-frequent"
) -> UpAndDown | NotUpAndDown:
    """Mean and spread by Dixon and Mood.

    Parameters
    ----------
    trials : Trials
        With the order of the shots.
    scale : str
        On which the steps are equal.
    outcome : str
        Which outcome to count. The method counts the less frequent one; of two equally frequent,
        here the lit. The other is offered because published results have used it.

    Returns
    -------
    UpAndDown or NotUpAndDown

    Raises
    ------
    ValueError
        If there is no such outcome.

    Examples
    --------
    >>> from bridgewire.bench.sensitivity.trials import from_shots
    >>> r = up_and_down(from_shots([3, 2, 3, 2, 3, 4, 3, 2], [1, 0, 1, 0, 0, 1, 1, 0]))
    >>> r.outcome, r.n, r.a, r.b, r.mean
    ('lit', 4, 1, 1, 2.75)
    """
    if outcome not in _OUTCOMES:
        raise ValueError(f"no outcome {outcome!r}; there are {', '.join(_OUTCOMES)}")
    steps = steps_of(trials, scale)
    if isinstance(steps, NotUpAndDown):
        return steps
    if outcome == "less-frequent":
        outcome = "lit" if 2 * trials.shots_lit <= trials.shots else "unlit"
    counted = [i for i, y in zip(steps.index, steps.lit, strict=True) if y == (outcome == "lit")]
    first = min(counted)
    n = len(counted)
    a = sum(i - first for i in counted)
    b = sum((i - first) ** 2 for i in counted)
    d, lowest = steps.step, steps.lowest + steps.step * first
    bend = (n * b - a * a) / (n * n)
    mean = lowest + d * (a / n + (-0.5 if outcome == "lit" else 0.5))
    crude = bend <= BEND
    spread = 0.53 * d if crude else 1.62 * d * (bend + 0.029)
    return UpAndDown(
        outcome, d, lowest, n, a, b, mean, spread, crude, scale, _notes(d, spread, trials, crude)
    )


def _notes(step: float, spread: float, trials: Trials, crude: bool) -> tuple[str, ...]:
    notes: list[str] = []
    if crude:
        notes.append(
            "the results lie so close that the spread is no more than a rule of thumb (0.53 step)"
        )
    if not 0.5 <= step / spread <= 2.0:
        notes.append(
            "the step is not between half and twice the spread found, as the method asks "
            "(from memory)"
        )
    if trials.shots < 40:
        notes.append(
            f"{trials.shots} shots are few: the formulas are those of large samples, 40 or more "
            "(from memory)"
        )
    return tuple(notes)


def running_mean(trials: Trials, scale: str = "linear") -> float | NotUpAndDown:
    """Mean level from the shot after which the results first turned, with the next level appended.

    The estimate of K. A. Brownlee, J. L. Hodges, M. Rosenblatt, JASA 48 (1953) 262-277, as used
    in Int. J. Appl. Eng. Res. 12(21) (2017) 11306-11322, table 6.

    Returns
    -------
    float or NotUpAndDown
        On the scale.

    Examples
    --------
    >>> from bridgewire.bench.sensitivity.trials import from_shots
    >>> running_mean(from_shots([3, 2, 3, 2], [1, 0, 1, 0]))
    2.5
    """
    steps = steps_of(trials, scale)
    if isinstance(steps, NotUpAndDown):
        return steps
    turn = next(n for n, y in enumerate(steps.lit) if y != steps.lit[0])
    after = steps.index[-1] + (-1 if steps.lit[-1] else 1)
    used = [*steps.index[turn:], after]
    return steps.lowest + steps.step * (sum(used) / len(used))
