"""How far a cable reaches with so many igniters: the longest run on which all of them are sure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np
from attrs import evolve, field, frozen

from bridgewire.circuit.catalogue import Catalogue
from bridgewire.circuit.resolve import resolve
from bridgewire.model.band import Band
from bridgewire.model.show import Box, Cue, Igniter, Run, Show, Site, Strip
from bridgewire.physics.laws import Models
from bridgewire.timeline.assess import assess
from bridgewire.timeline.outcomes import CueOutcome, Verdict
from bridgewire.uncertainty.proof import proven

SHORTEST_M = 0.5
POINTS = 13
ROUNDS = 4
"""Each round looks at `POINTS` lengths between the last that did and the first that did not."""

COUNTS = (1, 2, 3, 4, 6)
"""Igniters on the way where nobody says how many."""
Wiring = Literal["strip", "chain"]


@frozen
class ReachQuestion:
    """What is asked.

    Attributes
    ----------
    box, strip, cable, igniter_class : str
        Full ids of kit entries.
    counts : tuple of int
        Igniters on the way.
    pulse_s : float
        Of the cue.
    ambient_C : Band
        Of everything.
    wiring : str
        ``strip``: all in parallel on one strip at the end of the run; ``chain``: one on each of
        as many strips, at equal distances on one chain.
    supply_V : Band, optional
        Read on the meter; what the kit says where absent.
    longest_m : float
        No answer goes beyond.
    """

    box: str
    strip: str
    cable: str
    igniter_class: str
    pulse_s: float
    ambient_C: Band
    counts: tuple[int, ...] = COUNTS
    wiring: Wiring = "strip"
    supply_V: Band | None = None
    longest_m: float = 500.0


@frozen
class Reach:
    """The answer for one count of igniters.

    Attributes
    ----------
    count : int
    sure_m : float or None
        Cable from the box to the last igniter up to which every igniter is *sure*; None where not
        even the shortest run does, the question's `longest_m` where that still does.
    typical_m : float or None
        The same at typical values.
    unknown : bool
        Whether a value is missing in the kits, so that nobody can tell.
    missing : tuple of str
        The values for want of which it is unknown: ``cable club:reel: ohm_per_m``.
    """

    count: int
    sure_m: float | None
    typical_m: float | None
    unknown: bool = False
    missing: tuple[str, ...] = ()


@frozen
class _Edge:
    """Where one answer lies."""

    good: float = 0.0
    bad: float = field(default=float("inf"))

    def narrowed(self, lengths: Sequence[float], does: Sequence[bool]) -> _Edge:
        """Take the first length that fails as the end, whatever comes after it."""
        good, bad = self.good, self.bad
        for length, ok in zip(lengths, does, strict=True):
            if not ok:
                return _Edge(good, min(bad, length))
            good = max(good, length)
        return _Edge(good, bad)


def reaches(
    question: ReachQuestion, catalogue: Catalogue, models: Models | None = None
) -> tuple[Reach, ...]:
    """Seek the longest run for each count of igniters.

    Parameters
    ----------
    question : ReachQuestion
    catalogue : Catalogue
        With everything the question names.
    models : Models, optional
        That plugins provide.

    Returns
    -------
    tuple of Reach
        One for each count. A length is right to about 0.3 % and never too long by more than that;
        all shorter lengths that were looked at do as well.

    Raises
    ------
    ValueError
        If the catalogue lacks an entry, or the box or strip cannot be wired like this.

    Notes
    -----
    The judgment is that of `check`: verdicts proven over all tolerances. One way fires at a time,
    from a box that has used none of its charge.
    """
    edges = {n: (_Edge(), _Edge()) for n in question.counts}
    unknown: dict[int, tuple[str, ...]] = {}
    first = [float(m) for m in np.geomspace(SHORTEST_M, question.longest_m, POINTS)]
    for _ in range(ROUNDS):
        asked = [
            (n, which, length)
            for n in question.counts
            for which in (0, 1)
            for length in (first if edges[n][which] == _Edge() else _inside(edges[n][which]))
        ]
        wanted = sorted({(n, length) for n, _, length in asked})
        if not wanted:
            break
        cues = _cues(question, wanted, catalogue, models)
        verdicts = {key: cue.verdict for key, cue in cues.items()}
        for key in wanted:
            if verdicts[key] is Verdict.UNKNOWN:
                lacks = (f"{m.noun} {m.item}: {m.key}" for m in cues[key].missing if m.blocks)
                unknown[key[0]] = tuple(dict.fromkeys((*unknown.get(key[0], ()), *lacks)))
        for n in question.counts:
            new = []
            for which, enough in ((0, (Verdict.SURE,)), (1, (Verdict.SURE, Verdict.MARGINAL))):
                mine = sorted({m for k, w, m in asked if k == n and w == which})
                does = [verdicts[n, m] in enough for m in mine]
                new.append(edges[n][which].narrowed(mine, does))
            edges[n] = (new[0], new[1])
    return tuple(
        Reach(n, _answer(edges[n][0]), _answer(edges[n][1]), n in unknown, unknown.get(n, ()))
        for n in question.counts
    )


def _answer(edge: _Edge) -> float | None:
    return edge.good or None


def _inside(edge: _Edge) -> list[float]:
    if edge.good == 0.0 or edge.bad == float("inf") or edge.bad - edge.good < 1e-3 * edge.good:
        return []
    return [float(m) for m in np.linspace(edge.good, edge.bad, POINTS + 2)[1:-1]]


def _cues(
    question: ReachQuestion,
    wanted: Sequence[tuple[int, float]],
    catalogue: Catalogue,
    models: Models | None,
) -> dict[tuple[int, float], CueOutcome]:
    show = Show(1, "reach", tuple(catalogue.kits), site=Site(ambient_C=question.ambient_C))
    for i, (count, length) in enumerate(wanted):
        show = _with_bench(show, question, f"b{i}", count, length)
    layout, problems = resolve(show, catalogue, models)
    if layout is None:
        raise ValueError("; ".join(dict.fromkeys(p.message for p in problems)))
    return dict(zip(wanted, proven(assess(layout)).cues, strict=True))


def _with_bench(show: Show, question: ReachQuestion, name: str, count: int, length: float) -> Show:
    """Add one box with the wiring in question."""
    links = count if question.wiring == "chain" else 1
    step = Band.exact(length / links)
    strips = [Strip(f"{name} strip {k}", question.strip) for k in range(links)]
    ends = [f"{name}/1", *(s.id for s in strips)]
    each = 1 if question.wiring == "chain" else count
    return evolve(
        show,
        box=(*show.box, Box(name, question.box, supply_V=question.supply_V)),
        strip=(*show.strip, *strips),
        run=(
            *show.run,
            *(
                Run(a, b.id, question.cable, length_m=step)
                for a, b in zip(ends, strips, strict=False)
            ),
        ),
        igniter=(
            *show.igniter,
            *(
                Igniter(f"{s.id}/1", question.igniter_class, id=f"{s.id} igniter {j}")
                for s in strips
                for j in range(each)
            ),
        ),
        cue=(*show.cue, Cue(name, fire=f"{name}/1/1", time_s=10.0, pulse_s=question.pulse_s)),
    )
