"""The unknowns of a show's circuits under the names that a bench record has for them.

So that what trials say of a class, a drum, a kind of contact or a kind of box counts in a show.
"""

from __future__ import annotations

import numpy as np
from attrs import frozen

from bridgewire.bench.latents import SCATTER_LOG_SD
from bridgewire.circuit.layout import Layout
from bridgewire.physics.network import Floats
from bridgewire.uncertainty.plan import Plan
from bridgewire.uncertainty.quantities import Latent

_SHARED = ("drum", "contact-kind", "strip-kind", "splitter-kind", "batch", "kind")


@frozen
class ShowUnknown:
    """What one latent of a show's plan is to a bench record.

    Attributes
    ----------
    key : str or None
        Name of the unknown; None for what is the show's own, and so drawn anew.
    scatter : str or None
        Name of the unknown that says how widely igniters of the class scatter.
    """

    key: str | None
    scatter: str | None = None


def show_unknowns(plan: Plan, layout: Layout) -> tuple[ShowUnknown, ...]:
    """Sort a plan's latents.

    Parameters
    ----------
    plan : Plan
    layout : Layout

    Returns
    -------
    tuple of ShowUnknown
        In the order of ``plan.quantities.latents``. Batches count as the one that was tried, as a
        record takes all igniters of a class as one population. Supply voltages and the weather
        are the show's own.
    """
    return tuple(_one(latent, layout) for latent in plan.quantities.latents)


def _one(latent: Latent, layout: Layout) -> ShowUnknown:
    head, _, rest = latent.key.partition("/")
    if latent.group == "igniter itself":
        placed = next(p for p in layout.igniters if p.index == latent.owner)
        what = latent.key.rsplit("/", 1)[1]
        return ShowUnknown(None, f"scatter/{placed.class_id}/{what}")
    if head == "box":
        box, _, what = rest.partition("/")
        if what == "voltage":
            return ShowUnknown(None)
        return ShowUnknown(f"kind/{layout.boxes[box][2]}/{what}")
    if head == "batch":
        # batch/class/batch/value: as if no batch were named.
        what = latent.key.rsplit("/", 1)[1]
        full = rest.split("/", 1)[0]
        return ShowUnknown(f"batch/{full}/{what}")
    if head in _SHARED:
        return ShowUnknown(latent.key)
    return ShowUnknown(None)


@frozen(eq=False)
class ShowDraw:
    """How values of a record's unknowns become those of a show's latents."""

    unknowns: tuple[ShowUnknown, ...]

    @property
    def keys(self) -> tuple[str, ...]:
        """Names of the unknowns that have a part in it, each once."""
        found: dict[str, None] = {}
        for u in self.unknowns:
            if u.key is not None:
                found[u.key] = None
            if u.scatter is not None:
                found[u.scatter] = None
        return tuple(found)

    def latent_z(self, values: Floats, rng: np.random.Generator) -> Floats:
        """Values of the latents: shape (latents, draws).

        Parameters
        ----------
        values : array, shape (draws, len(keys))
        rng : Generator
            For what is the show's own.
        """
        out = rng.standard_normal((len(self.unknowns), values.shape[0]))
        places = {k: n for n, k in enumerate(self.keys)}
        for n, u in enumerate(self.unknowns):
            if u.key is not None:
                out[n] = values[:, places[u.key]]
            if u.scatter is not None:
                out[n] *= np.exp(SCATTER_LOG_SD * values[:, places[u.scatter]])
        return out
