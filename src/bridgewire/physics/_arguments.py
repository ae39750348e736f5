"""Numbers and arrays as arguments of the closed forms."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from bridgewire.errors import ModelRangeError

FloatOrArray: TypeAlias = float | NDArray[np.float64]


def plain(value: NDArray[np.float64]) -> FloatOrArray:
    """A number for an array without axes, else the array."""
    return float(value) if value.ndim == 0 else value


def need_positive(**values: FloatOrArray) -> None:
    """Raise ModelRangeError where one of the named arguments is not above 0."""
    for name, value in values.items():
        if not bool(np.all(np.asarray(value) > 0.0)):
            raise ModelRangeError(f"{name} must be above 0, got {value}")
