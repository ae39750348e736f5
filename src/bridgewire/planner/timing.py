"""When cues keep a way busy, and which of them cannot share an output or a box."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from attrs import frozen

from bridgewire.planner.problem import Problem
from bridgewire.timeline.schedule import fuse_delay_s

ROUNDING_S = 1e-6


@frozen
class Busy:
    """From when to when a cue may keep its way switched on, s.

    `moment` is the switching time where the site states it. Cues of one moment are one command.
    """

    start_s: float
    end_s: float
    moment: float | None = None


def busy_times(
    problem: Problem, lights_s: Sequence[tuple[float, float]], pulses_s: Sequence[float]
) -> tuple[Busy, ...]:
    """When each cue is on, whatever the plan: the longest pulse it may get, and where only its
    effect is given the whole band of switching times.

    Parameters
    ----------
    problem : Problem
    lights_s : sequence of (float, float)
        Earliest and latest light time that each cue may have.
    pulses_s : sequence of float
        The longest pulse that each may get.
    """
    found = []
    for cue, (earliest, latest), pulse_s in zip(problem.cues, lights_s, pulses_s, strict=True):
        if cue.time_s is not None:
            found.append(Busy(cue.time_s, cue.time_s + pulse_s, cue.time_s))
            continue
        assert cue.effect_at_s is not None
        fuses = [
            fuse_delay_s(problem.site.wanted[lit.index].fuse)
            for piece in cue.pieces
            for lit in piece.lit
        ]
        fuse = min((f[1] for f in fuses if f is not None), default=0.0)
        switch = cue.effect_at_s - fuse
        found.append(Busy(switch - latest, switch - earliest + pulse_s))
    return tuple(found)


def clash(one: Busy, other: Busy, pause_s: float = 0.0) -> bool:
    """Whether one is on, or within a pause after it, when the other comes.

    >>> clash(Busy(0.0, 1.0), Busy(1.2, 2.0)), clash(Busy(0.0, 1.0), Busy(1.2, 2.0), 0.5)
    (False, True)
    """
    first, last = sorted((one, other), key=lambda b: b.start_s)
    return last.start_s < first.end_s + pause_s - ROUNDING_S


def crowds(
    busy: Mapping[int, Busy] | Sequence[Busy], of: Iterable[int], pause_s: float = 0.0
) -> list[tuple[int, ...]]:
    """Largest sets of cues each two of which clash.

    Parameters
    ----------
    busy : mapping or sequence of Busy
        By index of the cue.
    of : iterable of int
        The cues to look at.
    pause_s : float
        See `clash`.

    Returns
    -------
    list of tuple of int
        Of at least two cues; none within another. Times are intervals, so that cues of which each
        two clash all do at one moment.
    """
    order = sorted(of, key=lambda i: (busy[i].start_s, i))
    found: list[tuple[int, ...]] = []
    now: list[int] = []
    for i in order:
        left = [k for k in now if clash(busy[k], busy[i], pause_s)]
        if len(left) < len(now) and len(now) > 1 and not (found and set(now) <= set(found[-1])):
            found.append(tuple(now))
        now = [*left, i]
    if len(now) > 1:
        found.append(tuple(now))
    return found
