"""An igniter model: the head is damp, and dries before it warms.

Until the bridge has reached `dry_x` of the rise that lights it, a share of the heat goes into
drying; the share falls evenly to nothing. The law is invented, to show how a model is made.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bridgewire.plugins import BridgeState, IgniterModel


def heating(state: BridgeState) -> NDArray[np.float64]:
    """The built-in law, less what goes into drying."""
    ratio = state.current_A / state.threshold_A
    dry = ratio * ratio * (1.0 + state.rise_per_x * state.x)
    wet = np.clip(1.0 - state.x / state.parameters["dry_x"], 0.0, 1.0)
    share: NDArray[np.float64] = dry * (1.0 - state.parameters["damp_share"] * wet)
    return share


MODEL = IgniterModel(
    "damp-head",
    heating,
    parameters=("damp_share", "dry_x"),
    title="a damp head, which dries before it warms",
)
