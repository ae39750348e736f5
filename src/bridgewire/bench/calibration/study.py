"""A record, fitted and checked: all that a report needs, in one piece."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from attrs import frozen

from bridgewire.bench.calibration.agreement import Agreement, check_agreement
from bridgewire.bench.calibration.parameters import class_values
from bridgewire.bench.calibration.posterior import Posterior
from bridgewire.bench.calibration.profile import Learned, learned_values
from bridgewire.bench.record_notes import assumptions
from bridgewire.model.band import Band

FAR = 2.5
"""A median further than this many of the prior's standard deviations from it is doubtful."""


@frozen
class ClassSummary:
    """Threshold current and time constant of an igniter class: median and central 90 %."""

    class_id: str
    threshold_A: Band
    tau_s: Band
    threshold_before_A: Band
    tau_before_s: Band


@frozen(eq=False)
class FitStudy:
    """A record, fitted and checked."""

    posterior: Posterior
    learned: tuple[Learned, ...]
    classes: tuple[ClassSummary, ...]
    agreement: tuple[Agreement, ...]

    @property
    def disagreeing(self) -> tuple[Agreement, ...]:
        """Trials that disagree with the rest."""
        return tuple(a for a in self.agreement if a.disagrees)

    def cautions(self) -> Iterator[str]:
        """What to know before anything is built on this, one sentence each."""
        if not self.posterior.diagnostics.good:
            yield self.posterior.diagnostics.caution
        for v in self.learned:
            if abs(v.shift) > FAR:
                yield (
                    f"{v.parameter.label} lies far from what the kit profile says "
                    f"({v.shift:+.1f} standard deviations): check the profile, or what was wired."
                )
        yield from assumptions(self.posterior.model)
        yield (
            "The figures hold for the box, the drums and the batch that were tried, at about that "
            "temperature. Another batch needs trials of its own."
        )


def study_of(posterior: Posterior) -> FitStudy:
    """What a fitted record says; every trial is held against the rest."""
    return FitStudy(
        posterior,
        learned_values(posterior),
        class_summaries(posterior),
        check_agreement(posterior),
    )


def class_summaries(posterior: Posterior) -> tuple[ClassSummary, ...]:
    """Threshold and time constant of each class, before and after the trials."""
    rng = np.random.default_rng((posterior.seed, 204))
    before = rng.standard_normal(posterior.z.shape)

    def central(values: np.ndarray) -> Band:
        low, middle, high = np.quantile(values, [0.05, 0.5, 0.95])
        return Band(float(low), float(middle), float(high))

    model = posterior.model
    return tuple(
        ClassSummary(
            now.class_id,
            central(now.threshold_A),
            central(now.tau_s),
            central(then.threshold_A),
            central(then.tau_s),
        )
        for now, then in zip(
            class_values(model, posterior.z, rng), class_values(model, before, rng), strict=True
        )
    )
