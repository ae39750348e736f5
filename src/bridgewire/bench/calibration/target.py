"""Log likelihood of a record for many values of its unknowns, trial by trial."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor

import numpy as np
from attrs import define, field

from bridgewire.bench.calibration.observed import GO_LOG_SD, TrialData, log_likelihood
from bridgewire.bench.forward import BenchModel
from bridgewire.physics.network import Floats


@define(eq=False)
class Target:
    """What is to be drawn from: standard normal unknowns, times the likelihood of the record.

    Attributes
    ----------
    model : BenchModel
    data : sequence of TrialData
        One for each trial. All have one data set, or all have one for each island.
    soft : float
        See `bridgewire.bench.calibration.observed.GO_LOG_SD`.
    threads : int
    evaluations : int
        Trials run so far, over all draws.
    """

    model: BenchModel
    data: Sequence[TrialData]
    soft: float = GO_LOG_SD
    threads: int = 1
    evaluations: int = 0
    _pool: ThreadPoolExecutor | None = field(init=False, default=None)

    def log_likelihood(self, z: Floats, only: Sequence[int] | None = None) -> Floats:
        """Of each trial in each draw.

        Parameters
        ----------
        z : array, shape (draws, unknowns)
            With several data sets: those of the first set first.
        only : sequence of int, optional
            Trials to run; the others are ``nan``.

        Returns
        -------
        array, shape (draws, trials)
        """
        trials = range(len(self.model.trials)) if only is None else only
        out = np.full((z.shape[0], len(self.model.trials)), np.nan)

        def one(t: int) -> None:
            out[:, t] = log_likelihood(self.model.trials[t].run(z), self.data[t], self.soft)

        if self.threads > 1 and len(trials) > 1:
            if self._pool is None:
                self._pool = ThreadPoolExecutor(self.threads)
            list(self._pool.map(one, trials))
        else:
            for t in trials:
                one(t)
        self.evaluations += z.shape[0] * len(trials)
        return out

    def close(self) -> None:
        """End the threads."""
        if self._pool is not None:
            self._pool.shutdown()
            self._pool = None
