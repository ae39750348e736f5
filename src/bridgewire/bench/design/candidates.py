"""Trials that could be made next: layouts, cables, lengths, pulses and voltages of the kit.

Only what the kits state is used: pulses that the box offers, lengths that the cable comes in, as
many strips and outlets as there are. What the kits do not state leaves candidates out, and that is
said.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product

import numpy as np
from attrs import evolve, frozen

from bridgewire.bench.design.means import Means
from bridgewire.circuit.catalogue import Catalogue
from bridgewire.model.band import Band
from bridgewire.model.bench import BenchRecord, Shot, Trial
from bridgewire.model.kit import BoxKind, CableSpec, SplitterKind, StripKind
from bridgewire.model.show import Box, Igniter, Run, Splitter, Strip

MOST = 160
"""Candidates that are looked at; of more, so many are drawn, always the same ones."""
NAMES = ("one", "two", "three", "four", "five", "six", "seven", "eight")
_LENGTHS = (0.2, 0.5, 1.0)
"""Parts of the longest piece of a cable: for a single strip,"""
_CHAIN_LENGTHS = (0.4, 1.0)
"""and for each run of a chain or a star."""
_LONGEST_CHAIN = 4
_PULSES = (0.125, 0.25, 0.5, 1.0, 2.0)
"""Times a class's usual pulse."""
_SEED = 20_261


@frozen
class Candidate:
    """A trial that has not been made.

    Attributes
    ----------
    trial : Trial
    layout : str
        In words.
    igniters : int
        That it takes.
    cable_m : float
        That is laid out; 0 where it stands already.
    alike : bool
        Whether all its igniters stand in equal places.
    """

    trial: Trial
    layout: str
    igniters: int
    cable_m: float
    alike: bool = False

    @property
    def shot(self) -> Shot:
        """Its first shot."""
        return self.trial.shot[0]


def offered(kind: BoxKind, wanted_s: Sequence[float]) -> tuple[float, ...]:
    """Pulses of a box that are nearest to those wanted (not shorter), shortest first.

    Parameters
    ----------
    kind : BoxKind
    wanted_s : sequence of float

    Returns
    -------
    tuple of float
        Empty where the kit does not say which pulses the box offers.
    """
    if kind.pulses is None:
        return ()
    found = {kind.pulses.shortest_at_least(p) for p in wanted_s}
    longest = max(kind.pulses.offered_s) if kind.pulses.offered_s else kind.pulses.max_s
    if any(p is None for p in found) and longest is not None:
        found.add(longest)
    return tuple(sorted(p for p in found if p is not None))


def make_candidates(
    means: Means, record: BenchRecord, catalogue: Catalogue, *, most: int = MOST
) -> tuple[tuple[Candidate, ...], tuple[str, ...]]:
    """Make candidates.

    Parameters
    ----------
    means : Means
    record : BenchRecord
        Its wirings are candidates with other pulses; ids of trials stay clear of its own.
    catalogue : Catalogue
        Of the record's kits.
    most : int

    Returns
    -------
    tuple of Candidate
        At most `most`.
    tuple of str
        What the kits do not say, and what is left out for it.
    """
    notes = list(means.lacking)
    kind = catalogue.boxes.get(means.box)
    if kind is None:
        return (), (*notes, f"{means.box} is in no kit of the record, so there is no candidate")
    if not means.volts:
        notes.append(f"nobody says which voltage {means.box} has: the kit's values are used")
    pulses = {full: _pulses(full, means, kind, catalogue, notes) for full in means.classes}
    plans = list(_plans(means, catalogue, kind, notes))
    every = [
        _candidate(plan, means, klass, pulse, volts)
        for (plan, klass), volts in product(product(plans, means.classes), means.volts or (None,))
        for pulse in pulses[klass]
    ]
    every += _again(record, means, pulses)
    if len(every) > most:
        keep = np.random.default_rng(_SEED).permutation(len(every))[:most]
        notes.append(f"of {len(every)} candidates {most} are looked at, drawn by lot")
        every = [every[n] for n in sorted(keep.tolist())]
    free = _free_id(record)
    named = tuple(evolve(c, trial=evolve(c.trial, id=free)) for c in every)
    return named, tuple(dict.fromkeys(notes))


def _pulses(
    full: str, means: Means, kind: BoxKind, catalogue: Catalogue, notes: list[str]
) -> tuple[float, ...]:
    """Pulses that are tried with a class."""
    if kind.pulses is None:
        notes.append(f"{means.box} states no pulses: only the pulses asked about are tried")
        return tuple(sorted(means.pulses_s))
    klass = catalogue.igniters.get(full)
    usual = None if klass is None else klass.default_pulse_s
    if usual is None:
        notes.append(f"{full} states no default_pulse_s: only the pulses asked about are tried")
        return offered(kind, sorted(set(means.pulses_s)))
    return offered(kind, sorted({*means.pulses_s, *(usual * factor for factor in _PULSES)}))


def _free_id(record: BenchRecord) -> str:
    """The next number that no trial of the record has."""
    taken = {t.id for t in record.trial}
    return next(str(n) for n in range(1, len(taken) + 2) if str(n) not in taken)


@frozen
class _Plan:
    """Where igniters stand: strips with the part before each, a cable and lengths."""

    words: str
    cable: str
    runs: tuple[tuple[str, str, float], ...]
    """From, to, metres."""
    at: tuple[str, ...]
    splitter: str | None = None
    alike: bool = False


def _plans(means: Means, catalogue: Catalogue, kind: BoxKind, notes: list[str]) -> Iterator[_Plan]:
    strip = catalogue.strips.get(means.strip)
    if strip is None:
        notes.append(f"{means.strip} is in no kit of the record, so there is no candidate")
        return
    for full in means.cables:
        cable = catalogue.cables.get(full)
        assert cable is not None
        if cable.max_length_m is None:
            notes.append(f"{full} states no max_length_m, so it is in no candidate")
            continue
        yield from _on_cable(full, cable, cable.max_length_m, strip, kind, means, catalogue)


def _on_cable(
    full: str,
    cable: CableSpec,
    longest: float,
    strip: StripKind,
    kind: BoxKind,
    means: Means,
    catalogue: Catalogue,
) -> Iterator[_Plan]:
    name = full.split(":", 1)[1]

    def metres(part: float) -> float:
        return float(max(round(longest * part), 1))

    for length in dict.fromkeys(metres(p) for p in _LENGTHS):
        runs = (("box/1", NAMES[0], length),)
        yield _Plan(f"one, {length:g} m of {name}", full, runs, (NAMES[0],))
    chain = _LONGEST_CHAIN if kind.max_strips is None else min(_LONGEST_CHAIN, kind.max_strips)
    if strip.through < 1:
        chain = 1
    for count in range(2, chain + 1):
        for length in dict.fromkeys(metres(p) for p in _CHAIN_LENGTHS):
            before = ("box/1", *NAMES[: count - 1])
            chained = tuple((b, s, length) for b, s in zip(before, NAMES, strict=False))
            at = NAMES[:count]
            words = f"chain of {count}, {length:g} m runs of {name}"
            yield _Plan(words, full, chained, at)
            if length == metres(1.0) and count < _LONGEST_CHAIN:
                words = f"one at the end of {count} x {length:g} m of {name}"
                yield _Plan(words, full, chained, at[-1:])
    for splitter in means.splitters:
        part = catalogue.splitters.get(splitter)
        assert isinstance(part, SplitterKind)
        arms = min(part.outlets, _LONGEST_CHAIN, kind.max_strips or _LONGEST_CHAIN)
        if arms < 2:
            continue
        for length in dict.fromkeys(metres(p) for p in _CHAIN_LENGTHS):
            arms_of = (("box/1", "middle", length), *(("middle", n, length) for n in NAMES[:arms]))
            words = f"{arms} on {splitter.split(':', 1)[1]}, {length:g} m runs of {name}"
            yield _Plan(words, full, arms_of, NAMES[:arms], splitter, alike=True)


def _candidate(
    plan: _Plan, means: Means, klass: str, pulse_s: float, volts: float | None
) -> Candidate:
    strips = [to for _, to, _ in plan.runs if to != "middle"]
    igniters = tuple(
        Igniter(f"{strip}/1", klass, f"igniter {n}") for n, strip in enumerate(plan.at, 1)
    )
    trial = Trial(
        "next",
        plan.words,
        box=(Box("box", means.box, standby_s=0.0),),
        splitter=(Splitter("middle", plan.splitter),) if plan.splitter else (),
        strip=tuple(Strip(s, means.strip) for s in strips),
        run=tuple(
            Run(start, end, plan.cable, length_m=Band.exact(length))
            for start, end, length in plan.runs
        ),
        igniter=igniters,
        shot=(Shot("box/1/1", pulse_s, supply_V=None if volts is None else Band.exact(volts)),),
    )
    metres = sum(length for _, _, length in plan.runs)
    return Candidate(trial, plan.words, len(igniters), metres, plan.alike)


def _again(
    record: BenchRecord, means: Means, pulses: dict[str, tuple[float, ...]]
) -> Iterator[Candidate]:
    """Wirings of the record that have igniters of their own, with other pulses."""
    lengths = sorted({p for some in pulses.values() for p in some})
    for wiring in record.bench:
        shots = [t.shot[0] for t in record.trial if t.bench == wiring.id and t.shot]
        if not wiring.igniter or not shots:
            continue
        for pulse in lengths:
            trial = Trial(
                "next",
                f"bench {wiring.id} again",
                bench=wiring.id,
                shot=(Shot(shots[-1].fire, pulse, supply_V=shots[-1].supply_V),),
            )
            on_way = len(wiring.igniter)
            yield Candidate(trial, f"bench {wiring.id} again", on_way, 0.0)
