"""How much a show may ask to be computed: a short file can state very much."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from bridgewire.circuit.layout import PlacedIgniter, WayKey
from bridgewire.circuit.problems import Problems
from bridgewire.documents.limits import MAX_BRIDGES_ON_WAY, MAX_PULSES
from bridgewire.documents.problems import TOO_LARGE
from bridgewire.model.show import Show


def check_amounts(
    show: Show, by_way: Mapping[WayKey, Sequence[PlacedIgniter]], problems: Problems
) -> None:
    """Refuse more than can be computed in reasonable time and memory.

    Parameters
    ----------
    show : Show
    by_way : mapping of way to igniters
    problems : Problems
        Ways with too many igniters, and too many pulses in all, are added here (DOC009).
    """
    for (box, output, way), placed in by_way.items():
        bridges = 0
        for igniter in placed:
            bridges += show.igniter[igniter.index].count
            if bridges > MAX_BRIDGES_ON_WAY:
                problems.add(
                    TOO_LARGE,
                    igniter.path,
                    f"{box}/{output}/{way} has more igniters than can be computed",
                    expected=f"at most {MAX_BRIDGES_ON_WAY} on one way",
                )
                break
    pulses = 0
    for n, cue in enumerate(show.cue):
        pulses += 1 + (cue.repeat.times if cue.repeat is not None else 0)
        if pulses > MAX_PULSES:
            problems.add(
                TOO_LARGE,
                ("cue", n),
                "the cues have more pulses in all than can be computed",
                expected=f"at most {MAX_PULSES}, repeats counted",
            )
            break
