"""Values of kits that were learned together: their common latents are drawn together.

Bands stay what they are; what their samples add is how the common parts go together (a normal
copula) and which part of a single one's variance is common. Boxes of one kind go together too, as
one box was measured.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np
from attrs import field, frozen

from bridgewire.kits.samples import JointSamples
from bridgewire.physics.network import Floats
from bridgewire.uncertainty.quantities import Group

_CLASS = {
    "bridge_ohm": "bridge resistance",
    "lead_ohm": "leads",
    "burn_open": "burn-open",
    "lit_C": "lighting temperature",
    "heat_capacity_J_per_K": "heat capacity",
    "loss_W_per_K": "heat loss",
    "threshold_A": "threshold",
    "tau_s": "time constant",
}
_BOX: Mapping[str, tuple[str, Group]] = {
    "supply.internal_ohm": ("internal resistance", "supply resistance"),
    "supply.series_ohm": ("internal resistance", "supply resistance"),
    "supply.limit.limit_A": ("limit", "supply limit"),
    "supply.limit.short_circuit_A": ("short-circuit current", "supply limit"),
    "supply.capacitance_F": ("capacitance", "capacitor"),
    "supply.recharge_s": ("recharge time", "capacitor"),
    "path.diode.drop_V": ("diode drop", "switch and diode"),
}
_SINGLE: Mapping[str, tuple[str, str, Group]] = {
    "cable": ("ohm_per_m", "drum", "cable"),
    "contact": ("contact_ohm", "contact-kind", "contacts"),
    "strip": ("inner_ohm", "strip-kind", "strips and splitters"),
    "splitter": ("inner_ohm", "splitter-kind", "strips and splitters"),
}


@frozen(eq=False)
class Together:
    """Latents that are drawn together: independent ones times a matrix."""

    keys: tuple[str, ...]
    groups: tuple[Group, ...]
    root: Floats
    """Symmetric square root of their correlation."""


@frozen(eq=False)
class Joint:
    """All of a show's kits: what is drawn together, and which part of a variance is common."""

    together: tuple[Together, ...] = ()
    shares: Mapping[str, float] = field(factory=dict)
    """By key of a common latent."""

    def share(self, key: str, otherwise: float) -> float:
        """Part of the variance that a common latent takes."""
        return self.shares.get(key, otherwise)


def latent_of(kit: str, table: str, ident: str, key: str) -> tuple[str, Group] | None:
    """The common latent of a value, and its group; None for a value that has none.

    Examples
    --------
    >>> latent_of("club", "cable", "reel", "ohm_per_m")
    ('drum/club:reel', 'cable')
    """
    full = f"{kit}:{ident}"
    if table == "igniter_class" and key in _CLASS:
        return f"batch/{full}/{_CLASS[key]}", "igniter batch"
    if table == "box" and key == "switch_ohm":
        return f"kind/{full}/switches", "switch and diode"
    if table == "box" and key in _BOX:
        what, group = _BOX[key]
        return f"kind/{full}/{what}", group
    if table in _SINGLE and _SINGLE[table][0] == key:
        _, head, group = _SINGLE[table]
        return f"{head}/{full}", group
    return None


def joint_of(samples: Iterable[tuple[str, JointSamples]]) -> Joint:
    """What some kits' samples say.

    Parameters
    ----------
    samples : iterable of tuple of str and JointSamples
        With the id of each kit.

    Returns
    -------
    Joint
    """
    together: list[Together] = []
    shares: dict[str, float] = {}
    for kit, found in samples:
        keys: list[str] = []
        groups: list[Group] = []
        columns: list[int] = []
        for n, (table, ident, key) in enumerate(found.columns):
            latent = latent_of(kit, table, ident, key)
            if latent is None:
                continue
            keys.append(latent[0])
            groups.append(latent[1])
            columns.append(n)
            if table != "box":
                shares[latent[0]] = found.share(n)
        if keys:
            correlation = found.correlation()[np.ix_(columns, columns)]
            together.append(Together(tuple(keys), tuple(groups), _root(correlation)))
    return Joint(tuple(together), shares)


def _root(correlation: Floats) -> Floats:
    """Symmetric square root, rows of length 1; it stays as near to independent as it can."""
    values, vectors = np.linalg.eigh(correlation)
    root = (vectors * np.sqrt(np.maximum(values, 1e-9))) @ vectors.T
    out: Floats = root / np.sqrt((root * root).sum(axis=1, keepdims=True))
    return out
