"""Outcomes of a trial as a person sees them, sorted into a limited number of kinds.

Of every igniter: in which shot it lit (or never), roughly when, and whether it then read open.
Times carry the error of reading and are sorted into classes of about equal frequency. Where there
would be too many kinds for the draws at hand, times get coarser, then the state is left out; kinds
that are rare all the same are put together by how many igniters lit. That can only lose
information, so the figures are never too high for it.
"""

from __future__ import annotations

import numpy as np
from attrs import frozen

from bridgewire.bench.calibration.observed import TrialData, time_error_s
from bridgewire.bench.calibration.simulated import Design
from bridgewire.bench.wiring import record_sigma
from bridgewire.model.bench import BenchRecord
from bridgewire.physics.network import Bools, Floats, Ints

RARE = 8
"""Kinds of outcome that came up less often are put together."""
_FINENESS = ((6, True), (4, True), (3, True), (2, True), (2, False), (1, True), (1, False))
"""Classes of time, and whether the state after counts: finest first."""
_FEWEST_IN_RARE = 0.05
"""Part of all draws that may lie in rare kinds."""


def way_of_seeing(record: BenchRecord) -> Design:
    """What the people of a record write down, so that a further trial is seen as well.

    Parameters
    ----------
    record : BenchRecord

    Returns
    -------
    Design
        Times as readings where the meter's error is stated; as intervals where the record has
        those; else only the order.
    """
    times = [
        s.time_s for t in record.trial for shot in t.shot for s in shot.seen if s.time_s is not None
    ]
    widths = [t.max - t.min for t in times if t.stated and t.max > t.min]
    error = time_error_s(record, record_sigma(record))
    states = [s.state_after for t in record.trial for shot in t.shot for s in shot.seen if s.lit]
    state = not states or any(s not in (None, "unknown") for s in states)
    if error > 0.0 and (not times or len(widths) < len(times) / 2):
        return Design(time_sd_s=error, order=True, state=state)
    if widths:
        return Design(interval_s=float(np.median(widths)), order=True, state=state)
    return Design(order=True, state=state)


@frozen(eq=False)
class Outcomes:
    """Kinds of outcome.

    Attributes
    ----------
    code : int array, shape (draws,)
    count : int
    """

    code: Ints
    count: int

    def counts(self, rows: Ints, draws: int) -> Floats:
        """How often each kind came up in each draw of the unknowns.

        Parameters
        ----------
        rows : int array
            The draw that each outcome is of.
        draws : int

        Returns
        -------
        array, shape (draws, count)
        """
        flat = np.bincount(rows * self.count + self.code, minlength=draws * self.count)
        out: Floats = flat.reshape(draws, self.count).astype(np.float64)
        return out


def sort_outcomes(data: TrialData, *, alike: bool = False) -> Outcomes:
    """Sort what would be seen into kinds.

    Parameters
    ----------
    data : TrialData
        One data set for each draw.
    alike : bool
        Whether all igniters stand in equal places, so that it does not matter which one it was.

    Returns
    -------
    Outcomes
    """
    lit = data.lit & data.lit_known
    sets, shots, _ = lit.shape
    ever: Bools = np.asarray(lit.any(axis=1))
    first = np.where(ever, lit.argmax(axis=1), shots)
    at = np.minimum(first, shots - 1)[:, None, :]
    known = np.take_along_axis(data.time_known, at, axis=1)[:, 0] & ever
    middle = 0.5 * (data.time_low_s + data.time_high_s)
    time = np.take_along_axis(middle, at, axis=1)[:, 0]
    opened = (data.open_ & data.open_known).any(axis=1) & ever
    stated = data.open_known.any(axis=1) & ever
    # Where nobody reads times, the order tells: of the first shot only.
    order = np.zeros((sets, 0), dtype=np.intp)
    if not known.any():
        order = data.relation[:, 0].astype(np.intp)
    code = np.zeros(sets, dtype=np.intp)
    for classes, state in _FINENESS:
        parts = [first]
        if known.any() and classes > 1:
            parts.append(_time_classes(time, known, classes, alike))
        if state:
            parts.append(np.where(stated, 1 + opened, 0))
        igniters = np.stack(parts, axis=2)
        flat = _ranked(igniters) if alike else igniters.reshape(sets, -1)
        if classes > 1 and not alike:
            flat = np.hstack([flat, order])
        _, code = np.unique(flat, axis=0, return_inverse=True)
        code = code.ravel()
        sizes = np.bincount(code)
        if sizes[sizes < RARE].sum() <= _FEWEST_IN_RARE * sets:
            break
    return _merged(code, ever.sum(axis=1))


def _time_classes(time: Floats, known: Bools, classes: int, alike: bool) -> Ints:
    """Class of each time, from 1; 0 where there is none."""
    out = np.zeros(time.shape, dtype=np.intp)
    columns = [np.arange(time.shape[1])] if alike else [np.array([i]) for i in range(time.shape[1])]
    cuts = np.arange(1, classes) / classes
    for group in columns:
        here = known[:, group]
        values = time[:, group][here]
        if values.size < classes * RARE:
            continue
        edges = np.unique(np.quantile(values, cuts))
        out[:, group] = np.where(here, 1 + np.searchsorted(edges, time[:, group], "right"), 0)
    return out


def _ranked(igniters: Ints) -> Ints:
    """Igniters in an order of their own, so that it does not matter which is which."""
    size = int(igniters.max(initial=0)) + 1
    number = np.zeros(igniters.shape[:2], dtype=np.intp)
    for part in range(igniters.shape[2]):
        number = number * size + igniters[:, :, part]
    return np.sort(number, axis=1)


def _merged(code: Ints, lit: Ints) -> Outcomes:
    """Rare kinds together by how many igniters lit, rare ones of these together."""
    sizes = np.bincount(code)
    rare = sizes[code] < RARE
    new = np.where(rare, sizes.size + lit, code)
    sizes = np.bincount(new)
    still = sizes[new] < RARE
    if still.any():
        largest = int(np.bincount(new[~still]).argmax()) if (~still).any() else 0
        left = int(still.sum())
        new = np.where(still, new.max() + 1 if left >= RARE else largest, new)
    _, back = np.unique(new, return_inverse=True)
    back = back.ravel()
    return Outcomes(back.astype(np.intp), int(back.max(initial=0)) + 1)
