"""What each igniter may be after the show, over all corners of the simulation."""

from __future__ import annotations

from typing import Literal

import numpy as np
from attrs import frozen

from bridgewire.model.band import Band
from bridgewire.model.kit import IgniterClass
from bridgewire.timeline.corners import TYPICAL_ROW, UNPARTED_ROW
from bridgewire.timeline.outcomes import Assessment, EndState, Verdict


@frozen
class PossibleEnds:
    """Possible states of the bridges of one igniter entry after the show."""

    states: frozenset[EndState]
    typical: EndState

    @property
    def unknown(self) -> bool:
        """Whether nothing is known."""
        return EndState.UNKNOWN in self.states

    def resistance(self, klass: IgniterClass) -> tuple[Band | None, Literal["yes", "no", "may"]]:
        """Resistance of a bridge where it conducts, and whether it is open: yes, no or may.

        A bridge that is lit but has not parted counts as it was before, once it is cold.
        """
        bands: dict[EndState, Band] = {}
        for state in self.states:
            band = _ohm(state, klass)
            if band is not None:
                bands[state] = band
        if not bands:
            return None, "yes"
        low = min(b.min for b in bands.values())
        high = max(b.max for b in bands.values())
        middle = bands.get(self.typical, next(iter(bands.values())))
        may_open = EndState.OPEN in self.states
        return Band(low, middle.typical, high), "may" if may_open else "no"


def _ohm(state: EndState, klass: IgniterClass) -> Band | None:
    if state in (EndState.UNLIT, EndState.CLOSED):
        return klass.bridge_ohm
    if state in (EndState.SHORTED, EndState.RESIDUAL):
        return klass.after_fire_ohm
    return None


_AFTER = {"open": EndState.OPEN, "shorted": EndState.SHORTED, "residual": EndState.RESIDUAL}


def possible_ends(assessment: Assessment) -> dict[int, PossibleEnds]:
    """Possible end states of every igniter of a show that is fired as planned.

    Parameters
    ----------
    assessment : Assessment

    Returns
    -------
    mapping of igniter index to PossibleEnds
        An igniter that no cue reaches is unlit; one whose cue cannot be computed is unknown.
    """
    unknown: set[int] = set()
    stated: dict[int, set[EndState]] = {}
    for cue in assessment.by_time():
        for igniter in cue.igniters:
            if igniter.verdict is Verdict.UNKNOWN:
                unknown.add(igniter.igniter)
            elif cue.results:
                stated[igniter.igniter] = {igniter.end_state, igniter.worst_end_state}
    last: dict[int, tuple[frozenset[EndState], EndState]] = {}
    classes = {p.index: p.klass for p in assessment.layout.igniters}
    for result in sorted(assessment.simulation.results, key=lambda r: r.firing.start_s):
        component = result.component
        rows = [r for r in range(result.lit_after.shape[0]) if r != UNPARTED_ROW]
        for igniter in set(component.bridge_igniter.tolist()):
            bridges = np.flatnonzero(component.bridge_igniter == igniter).tolist()
            columns = [result.columns[b] for b in bridges if b in result.columns]
            if not columns:
                continue
            parted = _AFTER[classes[igniter].after_fire or "open"]
            lit, part = result.lit_after[:, columns], result.parted_after[:, columns]
            states = np.where(part, 2, np.where(lit, 1, 0))
            names = (EndState.UNLIT, EndState.CLOSED, parted)
            found = frozenset(names[int(s)] for s in np.unique(states[rows]))
            last[igniter] = found, names[int(states[TYPICAL_ROW].min())]
    out: dict[int, PossibleEnds] = {}
    for index in classes:
        if index in unknown:
            out[index] = PossibleEnds(frozenset({EndState.UNKNOWN}), EndState.UNKNOWN)
            continue
        found, typical = last.get(index, (frozenset({EndState.UNLIT}), EndState.UNLIT))
        out[index] = PossibleEnds(found | (stated.get(index, set()) - {EndState.UNKNOWN}), typical)
    return out
