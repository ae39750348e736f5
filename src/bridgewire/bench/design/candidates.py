"""Trials that could be made next: layouts, cables, lengths, pulses and voltages of the kit.

Only what the kits state is used: pulses that the box offers, lengths that the cable comes in, as
many strips and outlets as there are. What the kits do not state leaves candidates out, and that is
said.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product

import numpy as np
from attrs import evolve, field, frozen

from bridgewire.circuit.catalogue import Catalogue
from bridgewire.circuit.layout import Layout, Part
from bridgewire.model.band import Band
from bridgewire.model.bench import BenchRecord, Shot, Trial
from bridgewire.model.kit import (
    BatterySupply,
    BoxKind,
    CableSpec,
    CapacitorSupply,
    SplitterKind,
    StripKind,
)
from bridgewire.model.show import Box, Igniter, Run, Splitter, Strip

MOST = 160
"""Candidates that are looked at; of more, a part is left out evenly."""
NAMES = ("one", "two", "three", "four", "five", "six", "seven", "eight")
_LENGTHS = (0.2, 0.5, 1.0)
"""Of the longest piece of a cable."""
_CHAIN_LENGTHS = (0.4, 1.0)
_LONGEST_CHAIN = 4
_PULSES = (0.125, 0.25, 0.5, 1.0, 2.0)
"""Times a class's usual pulse."""
_SET_ABOUT = 20_261


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


@frozen
class Means:
    """What trials can be made with. All names are full ids.

    Attributes
    ----------
    box : str
        A kind of box.
    classes, cables, splitters : tuple of str
    strip : str
    volts : tuple of float
        Voltages that the supply can have.
    pulses_s : tuple of float
        That are asked about.
    lacking : tuple of str
        What the kits do not say, and what is left out for it.
    """

    box: str
    classes: tuple[str, ...]
    cables: tuple[str, ...]
    strip: str
    splitters: tuple[str, ...] = ()
    volts: tuple[float, ...] = ()
    pulses_s: tuple[float, ...] = ()
    lacking: tuple[str, ...] = field(default=())


def means_of(
    layout: Layout,
    box: str,
    igniters: Sequence[int],
    pulses_s: Sequence[float],
    known: Catalogue,
    further_cables: Sequence[str] = (),
    volts: Sequence[float] = (),
) -> Means:
    """What trials about some igniters can be made with.

    Parameters
    ----------
    layout : Layout
        Of the show, or of a trial.
    box : str
        Id in it of the box that fires them.
    igniters : sequence of int
        Their indexes.
    pulses_s : sequence of float
    known : Catalogue
        Of the record's kits: only what is in it can be used.
    further_cables : sequence of str
        Full ids of cables that trials have used.
    volts : sequence of float
        Voltages that were read, if any.

    Returns
    -------
    Means
    """
    lacking: list[str] = []
    placed = [p for p in layout.igniters if p.index in set(igniters)]
    kind = layout.boxes[box][2]
    classes = tuple(dict.fromkeys(p.class_id for p in placed))
    cables: dict[str, None] = {}
    strips: dict[str, None] = {}
    splitters: dict[str, None] = {}
    for p in placed:
        part: Part | None = p.part
        while part is not None:
            if part.run is not None:
                full = layout.catalogue.cables.full_id(layout.show.run[part.run].cable)
                if full is not None:
                    cables[full] = None
            (strips if part.is_strip else splitters)[part.kind_id] = None
            part = part.parent
    cables.update(dict.fromkeys(further_cables))

    def usable(table: str, names: Sequence[str]) -> tuple[str, ...]:
        kept = []
        for name in names:
            if getattr(known, table).get(name) is None:
                lacking.append(f"{name} is in no kit of the record, so it is in no candidate")
            else:
                kept.append(name)
        return tuple(kept)

    index, box_kind, _ = layout.boxes[box]
    stated = layout.show.box[index].supply_V
    return Means(
        kind,
        usable("igniters", classes),
        usable("cables", tuple(cables)),
        next(iter(strips)),
        usable("splitters", tuple(splitters)),
        _volts(box_kind, stated, volts, lacking),
        tuple(pulses_s),
        tuple(lacking),
    )


def _volts(
    kind: BoxKind, stated: Band | None, read: Sequence[float], lacking: list[str]
) -> tuple[float, ...]:
    """The usual voltage, and that of a battery that has run low."""
    supply = kind.supply
    usual = None
    if read:
        usual = float(np.median(np.asarray(read)))
    elif stated is not None:
        usual = stated.typical
    else:
        full = supply.charged_V if isinstance(supply, CapacitorSupply) else supply.open_circuit_V
        usual = None if full is None else full.typical
    if usual is None:
        return ()
    if not isinstance(supply, BatterySupply):
        return (round(usual, 2),)
    if not supply.charge_curve:
        lacking.append(f"{kind.id} states no charge_curve: only its usual voltage is tried")
        return (round(usual, 2),)
    if kind.min_supply_V is None:
        lacking.append(f"{kind.id} states no min_supply_V: only its usual voltage is tried")
        return (round(usual, 2),)
    low = min(p.open_circuit_V for p in supply.charge_curve)
    low = max(low, kind.min_supply_V)
    return (round(usual, 2), round(low, 2)) if low < usual - 0.5 else (round(usual, 2),)


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
    pulses: dict[str, tuple[float, ...]] = {}
    for full in means.classes:
        klass = catalogue.igniters.get(full)
        usual = None if klass is None else klass.default_pulse_s
        wanted = set(means.pulses_s)
        if usual is None:
            notes.append(f"{full} states no default_pulse_s: only the pulses asked about are tried")
        else:
            wanted |= {usual * factor for factor in _PULSES}
        pulses[full] = offered(kind, sorted(wanted))
        if kind.pulses is None:
            notes.append(f"{means.box} states no pulses: only the pulses asked about are tried")
            pulses[full] = tuple(sorted(means.pulses_s))
    plans = list(_plans(means, catalogue, kind, notes))
    every = [
        candidate
        for (plan, klass), volts in product(product(plans, means.classes), means.volts or (None,))
        for pulse in pulses[klass]
        for candidate in [_candidate(plan, means, klass, pulse, volts)]
    ]
    every += _again(record, means, pulses)
    if len(every) > most:
        keep = np.random.default_rng(_SET_ABOUT).permutation(len(every))[:most]
        notes.append(f"of {len(every)} candidates {most} are looked at, spread evenly")
        every = [every[n] for n in sorted(keep.tolist())]
    named = tuple(evolve(c, trial=evolve(c.trial, id=_free_id(record))) for c in every)
    return named, tuple(dict.fromkeys(notes))


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
