"""Whether a response curve can be computed at all: do lit and unlit levels overlap?

For one rising curve the question is answered exactly by ordering (A. Albert, J. A. Anderson,
Biometrika 71 (1984) 1-10; M. J. Silvapulle, JRSS B 43 (1981) 310-313): there is a finite maximum
where the highest unlit level is above the lowest lit one, and the highest lit above the lowest
unlit.
"""

from __future__ import annotations

import enum

from attrs import frozen

from bridgewire.bench.sensitivity.trials import Trials


class Pattern(enum.Enum):
    """How the lit and the unlit levels lie to each other."""

    OVERLAP = "overlap"
    ALL_LIT = "all lit"
    NONE_LIT = "none lit"
    ONE_LEVEL = "one level"
    SEPARATED = "separated"
    TOUCHING = "one-point overlap"
    REVERSED = "reversed"


@frozen
class Levels:
    """Ends of the lit and the unlit levels; None where there are none."""

    pattern: Pattern
    lowest_lit: float | None
    highest_lit: float | None
    lowest_unlit: float | None
    highest_unlit: float | None


def overlap(trials: Trials) -> Levels:
    """Order the lit and the unlit levels.

    Parameters
    ----------
    trials : Trials

    Returns
    -------
    Levels
        Only with the pattern ``OVERLAP`` has the likelihood a finite maximum.

    Examples
    --------
    >>> from bridgewire.bench.sensitivity.trials import from_shots
    >>> overlap(from_shots([14, 15, 16], [0, 1, 1])).pattern.value
    'separated'
    >>> overlap(from_shots([14, 16, 16], [0, 0, 1])).pattern.value
    'one-point overlap'
    """
    lit = trials.level[trials.lit > 0]
    unlit = trials.level[trials.lit < trials.tried]
    if not unlit.size:
        return Levels(Pattern.ALL_LIT, float(lit.min()), float(lit.max()), None, None)
    if not lit.size:
        return Levels(Pattern.NONE_LIT, None, None, float(unlit.min()), float(unlit.max()))
    ends = float(lit.min()), float(lit.max()), float(unlit.min()), float(unlit.max())
    low_lit, high_lit, low_unlit, high_unlit = ends
    if min(ends) == max(ends):
        pattern = Pattern.ONE_LEVEL
    elif high_unlit < low_lit:
        pattern = Pattern.SEPARATED
    elif high_unlit == low_lit:
        pattern = Pattern.TOUCHING
    elif high_lit <= low_unlit:
        pattern = Pattern.REVERSED
    else:
        pattern = Pattern.OVERLAP
    return Levels(pattern, *ends)
