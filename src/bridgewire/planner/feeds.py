"""Feeds: shapes with their cable, and what each can light surely.

In one feed the first run is of one cable, all further runs of one, which may be another.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from attrs import field, frozen

from bridgewire.model.kit import StripKind
from bridgewire.planner.circuits import Circuit, Hop, Lay
from bridgewire.planner.cutting import pieces_m
from bridgewire.planner.electrics import Electrics
from bridgewire.planner.loads import Load
from bridgewire.planner.problem import Problem
from bridgewire.planner.shapes import Shape
from bridgewire.planner.stock import BoxStock, CablePieces, CableStock

WHOLE_CHOICES = 3
"""How many made-up cables that reach, the shortest, are looked at for a run."""

MOST_JOINTS = 20

Group = tuple[tuple[str, Load], ...]
"""See `bridgewire.planner.loads.WantedCue.group`."""


@frozen(cache_hash=True)
class Take:
    """A way of a feed: what a cue of one group lights there.

    Attributes
    ----------
    group : int
        Index in the problem's groups.
    positions : tuple of str
        Where; all positions of the group that the feed reaches.
    """

    group: int
    positions: tuple[str, ...]


@frozen(cache_hash=True)
class Feed:
    """A shape with its cable."""

    shape: Shape
    lays: tuple[Lay, ...]


@frozen(cache_hash=True)
class FeedClass:
    """Feeds of one shape that can light the same things.

    Attributes
    ----------
    shape : Shape
    takes : tuple of Take
        What any of them can light surely.
    feeds : tuple of Feed
    """

    shape: Shape
    takes: tuple[Take, ...]
    feeds: tuple[Feed, ...] = field(eq=False)


def stand_ins(problem: Problem, shape: Shape) -> dict[str, str]:
    """The strip kinds that a shape is judged with: those with the most resistance inside."""

    def ohm(entry: tuple[str, StripKind, int]) -> tuple[float, str]:
        inner = entry[1].inner_ohm
        return (float("inf") if inner is None else inner.max, entry[0])

    return {
        p: max(kinds, key=ohm)[0]
        for p in shape.positions
        if (kinds := strips_at(problem, shape, p))
    }


def strips_at(problem: Problem, shape: Shape, position: str) -> list[tuple[str, StripKind, int]]:
    """Strip kinds in stock that can stand at a position: along a chain they must go on."""
    inner = shape.splitter is None and position != shape.positions[-1]
    return [s for s in problem.shelf.strips if s[1].through > 0 or not inner]


def circuit_of(feed: Feed, loads: Mapping[str, Load], strips: Mapping[str, str]) -> Circuit:
    """The circuit of a way of a feed.

    Parameters
    ----------
    feed : Feed
    loads : mapping of str to Load
        By position. Runs that lead to none of them are left out.
    strips : mapping of str to str
        Full id of the strip's kind at each position.
    """
    shape = feed.shape
    wanted = [i for i, p in enumerate(shape.positions) if p in loads]
    needed: set[int] = set()
    for i in wanted:
        hop = shape.hop_of(i)
        while hop >= 0:
            needed.add(hop)
            hop = shape.parents[hop]
    kept = sorted(needed)
    hops = []
    for hop in kept:
        parent = shape.parents[hop]
        at = hop - (shape.splitter is not None)
        position = shape.positions[at] if at >= 0 else ""
        hops.append(
            Hop(
                kept.index(parent) if parent >= 0 else -1,
                feed.lays[hop],
                strips[position] if position else shape.splitter or "",
                loads.get(position) if position else None,
            )
        )
    return Circuit(shape.box, tuple(hops))


def feeds_of(problem: Problem, shape: Shape) -> Iterator[Feed]:
    """Every way to lay a shape with the cable in stock."""
    box = problem.shelf.boxes[shape.box]
    metres = [problem.run_m(r.length_m) for r in shape.routes]
    sources = [s for c in problem.shelf.cables for s in _sources(c, box)]
    seen: set[tuple[Lay, ...]] = set()
    for first in sources:
        start = _lay(problem, first, metres[0])
        if start is None:
            continue
        for rest in sources if len(metres) > 1 else sources[:1]:
            others = [_lay(problem, rest, m) for m in metres[1:]]
            if any(o is None for o in others):
                continue
            lays = (start, *(o for o in others if o is not None))
            if lays not in seen:
                seen.add(lays)
                yield Feed(shape, lays)


_Source = tuple[CableStock, CablePieces | None]
"""A cable from its drums (None), or one length of made-up cables."""


def _sources(cable: CableStock, box: BoxStock) -> list[_Source]:
    if cable.spec.conductors < box.kind.path.conductors_needed(box.kind.ways):
        return []
    cut: list[_Source] = [(cable, None)] if cable.drums else []
    return [*cut, *((cable, p) for p in cable.whole)]


def _lay(problem: Problem, source: _Source, metres: float) -> Lay | None:
    cable, piece = source
    if piece is not None:
        reach = [p.length_m for p in cable.whole if p.length_m >= metres - 1e-9]
        if piece.length_m not in reach[:WHOLE_CHOICES]:
            return None
        return Lay(cable.item, piece.length_m, whole=True)
    longest = cable.drums[0].length_m
    if cable.spec.max_length_m is not None:
        longest = min(longest, cable.spec.max_length_m)
    most = MOST_JOINTS if problem.site.plan.joint_contact is not None else 0
    for joints in range(most + 1):
        lay = Lay(cable.item, metres, joints)
        if pieces_m(problem, lay)[0] <= longest + 1e-9:
            return lay
    return None


def takes_of(shape: Shape, groups: Sequence[Group]) -> list[Take]:
    """What a feed of a shape could light, whether surely or not."""
    found = []
    for g, group in enumerate(groups):
        here = tuple(p for p, _ in group if p in shape.positions)
        if here:
            found.append(Take(g, here))
    return found


def classes_of(
    problem: Problem,
    shapes: Sequence[Shape],
    groups: Sequence[Group],
    electrics: Electrics,
) -> tuple[FeedClass, ...]:
    """All feeds of some shapes, by what they can light surely; feeds that light nothing are out.

    Parameters
    ----------
    problem : Problem
    shapes : sequence of Shape
    groups : sequence of Group
    electrics : Electrics
        Learns of every circuit that is new to it.

    Raises
    ------
    OutOfTimeError
        If the time is up by the clock of `electrics`.
    """
    if not problem.shelf.strips:
        return ()
    plans: list[tuple[Feed, list[tuple[Take, Circuit]]]] = []
    for shape in shapes:
        electrics.clock.look()
        takes = takes_of(shape, groups)
        strips = stand_ins(problem, shape)
        if len(strips) < len(shape.positions):
            continue
        for feed in feeds_of(problem, shape):
            circuits = [
                (t, circuit_of(feed, loads_of(groups[t.group], t.positions), strips)) for t in takes
            ]
            plans.append((feed, circuits))
    electrics.learn(c for _, circuits in plans for _, c in circuits)
    found: dict[tuple[Shape, tuple[Take, ...]], list[Feed]] = defaultdict(list)
    for feed, circuits in plans:
        sure = tuple(t for t, c in circuits if electrics.pulse_s(c) is not None)
        reached = {p for t in sure for p in t.positions}
        if len(reached) == len(feed.shape.positions):
            found[feed.shape, sure].append(feed)
    return tuple(FeedClass(s, takes, tuple(feeds)) for (s, takes), feeds in found.items())


def loads_of(group: Group, positions: Sequence[str]) -> dict[str, Load]:
    """What a cue of a group lights at some of its positions."""
    return {p: load for p, load in group if p in positions}
