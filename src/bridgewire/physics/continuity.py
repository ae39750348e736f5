"""How much current a continuity test may send through an igniter.

The limits concern people's safety. Whoever tests follows the law, the maker's instructions and
the safety distances that hold for firing; a computed limit replaces none of them.
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from bridgewire.errors import ModelRangeError
from bridgewire.physics._arguments import FloatOrArray, plain

Rule = Literal["fireworks-code", "one-tenth"]

CAP_A = 0.05
"""Upper limit of both rules whatever the igniter, A."""


def allowed_test_current_A(no_fire_A: FloatOrArray, rule: Rule = "fireworks-code") -> FloatOrArray:
    """Largest allowed test current into a short circuit.

    Parameters
    ----------
    no_fire_A : float or array
        No-fire current of the igniter class (0.999 at 95 % confidence), A, above 0.
    rule : {"fireworks-code", "one-tenth"}
        ``fireworks-code``: 0.05 A or 20 % of the no-fire current, whichever is less.
        ``one-tenth``: one tenth of the no-fire current, and no more than 0.05 A.

    Returns
    -------
    float or array
        Current, A.

    Raises
    ------
    ModelRangeError
        For a no-fire current that is not above 0.

    References
    ----------
    Washington Administrative Code WAC 212-17-317(6), which adopts the text of the fireworks
    display code NFPA 1123. One tenth: 14 CFR Part 417 Appendix D, D417.21(d); the 0.05 A cap on
    it: range payload safety requirements (NASA-STD-8719.24 annex, 13.8.1.1.1).

    Examples
    --------
    >>> round(allowed_test_current_A(0.18), 4), allowed_test_current_A(1.0)
    (0.036, 0.05)
    >>> round(allowed_test_current_A(0.18, "one-tenth"), 4)
    0.018
    """
    value = np.asarray(no_fire_A, dtype=float)
    if not bool(np.all(value > 0.0)):
        raise ModelRangeError(f"no-fire current must be above 0, got {no_fire_A}")
    fraction = 0.2 if rule == "fireworks-code" else 0.1
    limit = np.minimum(CAP_A, fraction * value)
    return plain(limit)
