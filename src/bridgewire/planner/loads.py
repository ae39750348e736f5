"""What is wanted, as cues: which igniters each lights at which position, and what kind of load
that is for a way."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Literal

from attrs import frozen

from bridgewire.circuit.catalogue import Catalogue
from bridgewire.circuit.problems import Problems
from bridgewire.model.plan_site import Wanted
from bridgewire.model.show import Fuse


@frozen
class LoadPart:
    """Igniters alike on one terminal."""

    igniter_class: str
    """Full id."""
    count: int = 1
    connection: Literal["series", "parallel"] | None = None


@frozen(cache_hash=True)
class Load:
    """What a way lights on one terminal, and what is asked of it."""

    parts: tuple[LoadPart, ...]
    pulse_s: float | None = None
    """The only pulse that will do, if any."""
    latest_light_s: float | None = None
    spread_s: float | None = None
    together: bool = False
    by_effect: bool = False
    """Whether the moment of the effect is wanted, so that fuses count."""
    fuses: tuple[Fuse | None, ...] = ()
    """Of the parts, where `by_effect`."""


@frozen
class Lit:
    """One `[[wanted]]` entry at one of its moments."""

    index: int
    """In the site's list."""
    id: str
    """Of the igniter in the plan."""


@frozen
class Piece:
    """What one cue lights at one position."""

    position: str
    load: Load
    lit: tuple[Lit, ...]


@frozen
class WantedCue:
    """A cue to be planned."""

    id: str
    time_s: float | None
    effect_at_s: float | None
    pieces: tuple[Piece, ...]
    """One for each position, in the site's order."""

    def at(self, position: str) -> Piece | None:
        """What it lights at a position."""
        return next((p for p in self.pieces if p.position == position), None)

    @property
    def group(self) -> tuple[tuple[str, Load], ...]:
        """Positions and loads; cues with the same are interchangeable but for their time."""
        return tuple((p.position, p.load) for p in self.pieces)


def cues_of(
    wanted: Sequence[Wanted], catalogue: Catalogue, problems: Problems
) -> tuple[WantedCue, ...]:
    """Put what is wanted into cues.

    Parameters
    ----------
    wanted : sequence of Wanted
    catalogue : Catalogue
    problems : Problems
        Gets unknown classes (DOC011), ids used twice (DOC010) and things of one cue that are
        wanted at different moments or with different pulses (DOC019).

    Returns
    -------
    tuple of WantedCue
        In the order in which they first appear.
    """
    moments: dict[str, tuple[float | None, float | None]] = {}
    members: dict[str, list[Lit]] = defaultdict(list)
    seen: dict[str, int] = {}
    for i, item in enumerate(wanted):
        if catalogue.igniters.get(item.class_) is None:
            problems.add(
                "DOC011",
                ("wanted", i, "class"),
                f"no kit has an igniter class {item.class_!r}",
                expected="an igniter class of one of the site's kits",
                got=repr(item.class_),
                suggestion=catalogue.igniters.suggestion(item.class_),
            )
        for number, moment in enumerate(_moments(item), start=1):
            several = bool(item.times_s or item.effects_at_s)
            ident = f"{item.id} {number}" if several else item.id
            if ident in seen:
                problems.add(
                    "DOC010",
                    ("wanted", i, "id"),
                    f"{ident!r} is already at wanted[{seen[ident]}]",
                )
                continue
            seen[ident] = i
            cue = item.cue or item.id
            name = f"{cue} {number}" if several else cue
            if moments.setdefault(name, moment) != moment:
                problems.add(
                    "DOC019",
                    ("wanted", i),
                    f"{item.id!r} is to light with cue {name!r}, but at another moment than "
                    f"{wanted[members[name][0].index].id!r}",
                )
            _same_pulse(wanted, i, name, members[name], problems)
            members[name].append(Lit(i, ident))
    return tuple(
        WantedCue(name, *moments[name], _pieces(lit, wanted, catalogue))
        for name, lit in members.items()
    )


def _same_pulse(
    wanted: Sequence[Wanted], index: int, name: str, members: Sequence[Lit], problems: Problems
) -> None:
    """What lights with one cue gets one pulse: two that are stated must be the same."""
    pulse_s = wanted[index].pulse_s
    others = [o for m in members if (o := wanted[m.index]).pulse_s not in (None, pulse_s)]
    if pulse_s is not None and others:
        problems.add(
            "DOC019",
            ("wanted", index, "pulse_s"),
            f"{wanted[index].id!r} is to light with cue {name!r}, but with another pulse than "
            f"{others[0].id!r}",
            expected=f"{others[0].pulse_s:g} s, or another cue",
            got=f"{pulse_s:g} s",
        )


def _moments(item: Wanted) -> list[tuple[float | None, float | None]]:
    if item.time_s is not None:
        return [(item.time_s, None)]
    if item.effect_at_s is not None:
        return [(None, item.effect_at_s)]
    if item.times_s:
        return [(t, None) for t in item.times_s]
    return [(None, t) for t in item.effects_at_s]


def _pieces(
    lit: Sequence[Lit], wanted: Sequence[Wanted], catalogue: Catalogue
) -> tuple[Piece, ...]:
    at: dict[str, list[Lit]] = defaultdict(list)
    for one in lit:
        at[wanted[one.index].position].append(one)
    together = len(lit) > 1
    by_effect = any(wanted[m.index].effect_at_s is not None for m in lit) or any(
        wanted[m.index].effects_at_s for m in lit
    )
    items = [wanted[one.index] for one in lit]
    pulses = [w.pulse_s for w in items if w.pulse_s is not None]
    latest = [w.latest_light_s for w in items if w.latest_light_s is not None]
    spread = [w.spread_s for w in items if w.spread_s is not None]
    return tuple(
        Piece(
            position,
            Load(
                tuple(
                    LoadPart(
                        catalogue.igniters.full_id(wanted[m.index].class_)
                        or wanted[m.index].class_,
                        wanted[m.index].count,
                        wanted[m.index].connection,
                    )
                    for m in mine
                ),
                max(pulses, default=None),
                min(latest, default=None),
                min(spread, default=None),
                together,
                by_effect,
                tuple(wanted[m.index].fuse for m in mine) if by_effect else (),
            ),
            tuple(mine),
        )
        for position, mine in at.items()
    )


def counted(cues: Sequence[WantedCue]) -> Mapping[tuple[tuple[str, Load], ...], list[int]]:
    """Indexes of the cues of each group that is interchangeable but for time."""
    found: dict[tuple[tuple[str, Load], ...], list[int]] = defaultdict(list)
    for i, cue in enumerate(cues):
        found[cue.group].append(i)
    return found
