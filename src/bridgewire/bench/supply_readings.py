"""The supply voltage that was read before each shot of a trial, in the place of the kit's."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from attrs import evolve

from bridgewire.bench.forward import ShotPlan
from bridgewire.model.band import Band
from bridgewire.model.bench import Meter, Trial
from bridgewire.physics.network import Floats, Ints
from bridgewire.uncertainty.plan import FiringPlan, Plan
from bridgewire.uncertainty.quantities import Latent, Quantities


def with_supply_readings(
    plan: Plan, trial: Trial, shots: Sequence[ShotPlan], meter: Meter, sigmas: float
) -> Plan:
    """The plan of a trial with the supply voltages that were read.

    Parameters
    ----------
    plan : Plan
    trial : Trial
    shots : sequence of ShotPlan
        Of the trial, in its order.
    meter : Meter
        Its tolerance counts where a voltage is a plain number.
    sigmas : float
        Standard deviations between a band's typical value and its ends.

    Returns
    -------
    Plan
        Each reading has one latent, ``shot/<name>/voltage``, unless it is exact.
    """
    latents = list(plan.quantities.latents)
    rows: list[tuple[int, float, float, float]] = []
    firings: list[FiringPlan] = list(plan.firings)
    count = plan.quantities.typical.size
    for shot, spec in zip(shots, trial.shot, strict=True):
        if spec.supply_V is None:
            continue
        band = spec.supply_V
        if not band.stated and meter.voltage_tol_V is not None:
            band = Band.with_tolerance(band.typical, meter.voltage_tol_V)
        latent = -1
        if band.max > band.min:
            latent = len(latents)
            latents.append(Latent(f"shot/{shot.name}/voltage", "supply voltage"))
        up, down = (band.max - band.typical) / sigmas, (band.typical - band.min) / sigmas
        rows.append((latent, band.typical, up, down))
        place = count + len(rows) - 1
        for k, n in enumerate(shot.firings):
            f = firings[n]
            again = f.after if k else -1
            supply = evolve(f.supply, emf_V=place)
            firings[n] = evolve(f, supply=supply, fall_V=0.0, after=again)
    return evolve(
        plan,
        quantities=_extended(plan.quantities, tuple(latents), rows),
        firings=tuple(firings),
    )


def _extended(
    q: Quantities, latents: tuple[Latent, ...], rows: Sequence[tuple[int, float, float, float]]
) -> Quantities:
    """Quantities with some more, each with a latent of its own on a straight scale.

    A row is latent (-1 for none), typical value, and change for each unit above and below it.
    """
    none, before = len(latents), len(q.latents)
    n = len(rows)
    own = np.array([none if r[0] < 0 else r[0] for r in rows], dtype=np.intp)

    def moved(places: Ints) -> Ints:
        return np.where(places == before, none, places).astype(np.intp)

    def joined(old: Floats, new: Sequence[float] | Floats) -> Floats:
        return np.concatenate([old, np.asarray(new, dtype=np.float64)])

    return Quantities(
        latents,
        np.concatenate([moved(q.common), np.full(n, none, dtype=np.intp)]),
        np.concatenate([moved(q.own), own]),
        joined(q.common_weight, np.zeros(n)),
        joined(q.own_weight, np.ones(n)),
        joined(q.typical, [r[1] for r in rows]),
        joined(q.up, [r[2] for r in rows]),
        joined(q.down, [r[3] for r in rows]),
        np.concatenate([q.linear, np.ones(n, dtype=bool)]),
        joined(q.offset, np.zeros(n)),
        joined(q.least, np.zeros(n)),
        joined(q.most, np.full(n, np.inf)),
        q.mixed,
        q.mix,
    )
