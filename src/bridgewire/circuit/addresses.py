"""Igniters on their terminals and cues on their ways."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from bridgewire.circuit.catalogue import Catalogue, nearest
from bridgewire.circuit.layout import Part, PlacedIgniter, ResolvedCue, WayKey
from bridgewire.circuit.places import address_number, part_name
from bridgewire.circuit.problems import Problems
from bridgewire.diagnostics import DocPath
from bridgewire.model.kit import BoxKind, StripKind
from bridgewire.model.show import Cue, Show

NOT_WIRED = "is not wired to any box"
"""Said of a part that no run leads to."""


def terminal(text: str, parts: Mapping[str, Part]) -> tuple[Part | None, int | None, str, str, str]:
    """Read ``strip/way``: part, way, problem, expected, suggestion."""
    name, _, written = text.partition("/")
    number = address_number(written)
    part = parts.get(name)
    if part is None or not isinstance(part.kind, StripKind):
        strips = [p.id for p in parts.values() if p.is_strip]
        return None, None, f"there is no strip {name!r}", "strip/way", nearest(name, strips)
    last = part.first_way + part.kind.ways - 1
    if not written:
        expected = f"{name}/{part.first_way} to {name}/{last}"
        return part, None, f"{name!r} names a strip, but no way of it", expected, ""
    if number is None or not part.first_way <= number <= last:
        return (
            part,
            None,
            f"strip {name!r} has no terminal for way {written!r}",
            f"{name}/{part.first_way} to {name}/{last}",
            "",
        )
    return part, number, "", "", ""


def igniters_of(
    show: Show, catalogue: Catalogue, parts: dict[str, Part], problems: Problems
) -> tuple[list[PlacedIgniter], dict[WayKey, list[PlacedIgniter]], dict[str, int]]:
    """Igniters on their terminals, the same by way, and the index of each id."""
    placed: list[PlacedIgniter] = []
    by_way: dict[WayKey, list[PlacedIgniter]] = defaultdict(list)
    ids: dict[str, int] = {}
    declared = {s.id for s in show.strip}
    used = {i.id for i in show.igniter if i.id is not None}
    for i, igniter in enumerate(show.igniter):
        ident = igniter.id or _unnamed(igniter.at, used)
        if igniter.id is not None and ident in ids:
            problems.add(
                "DOC010",
                ("igniter", i, "id"),
                f"igniter {ident!r} is already at igniter[{ids[ident]}]",
            )
        ids[ident] = i
        used.add(ident)
        if igniter.count > 1 and igniter.connection is None:
            problems.add(
                "DOC005",
                ("igniter", i),
                f"{igniter.count} igniters: joined how?",
                expected='connection = "series" or "parallel" where count is above 1',
            )
        klass = catalogue.igniters.find(igniter.class_, ("igniter", i, "class"), problems)
        if igniter.lead_cable is not None:
            catalogue.cables.find(igniter.lead_cable, ("igniter", i, "lead_cable"), problems)
        part, way, problem, expected, suggestion = terminal(igniter.at, parts)
        if problem and (part is not None or part_name(igniter.at) not in declared):
            problems.add(
                "DOC011",
                ("igniter", i, "at"),
                problem,
                expected=expected,
                got=repr(igniter.at),
                suggestion=suggestion,
            )
        if klass is None or part is None or way is None:
            continue
        full = catalogue.igniters.full_id(igniter.class_) or igniter.class_
        one = PlacedIgniter(i, ident, igniter, klass, full, part, way)
        placed.append(one)
        if part.output is not None:
            by_way[(*part.output, way)].append(one)
    return placed, dict(by_way), ids


def _unnamed(at: str, used: set[str]) -> str:
    """An id for an igniter that has none: its terminal, numbered if there are several."""
    if at not in used:
        return at
    number = 2
    while f"{at}#{number}" in used:
        number += 1
    return f"{at}#{number}"


def cues_of(
    show: Show,
    boxes: dict[str, tuple[int, BoxKind, str]],
    parts: dict[str, Part],
    igniters: list[PlacedIgniter],
    igniter_ids: Mapping[str, int],
    problems: Problems,
) -> list[ResolvedCue]:
    """Cues with their ways and the igniters they name."""
    out: list[ResolvedCue] = []
    seen: dict[str, int] = {}
    by_index = {p.index: p for p in igniters}
    declared_boxes = {b.id for b in show.box}
    declared_strips = {s.id for s in show.strip}
    for i, cue in enumerate(show.cue):
        if cue.id in seen:
            problems.add(
                "DOC010", ("cue", i, "id"), f"cue {cue.id!r} is already at cue[{seen[cue.id]}]"
            )
        seen[cue.id] = i
        if cue.time_s is None and cue.effect_at_s is None:
            problems.add(
                "DOC005",
                ("cue", i),
                f"cue {cue.id!r} has no time",
                expected="time_s (when the box switches) or effect_at_s (when the "
                "effect should be seen)",
            )
        lights = _named_igniters(cue, i, igniter_ids, problems)
        if cue.target is not None and _faulty(cue.target, parts, declared_strips):
            out.append(ResolvedCue(i, cue, None, lights))
            continue
        way = _address(cue, i, boxes, declared_boxes, parts, by_index, igniter_ids, problems)
        out.append(ResolvedCue(i, cue, way, lights))
    return out


def _named_igniters(
    cue: Cue, i: int, igniter_ids: Mapping[str, int], problems: Problems
) -> tuple[int, ...] | None:
    if cue.lights is None:
        return None
    found: list[int] = []
    for j, name in enumerate(cue.lights):
        if name in igniter_ids:
            found.append(igniter_ids[name])
        else:
            problems.add(
                "DOC011",
                ("cue", i, "lights", j),
                f"there is no igniter {name!r}",
                expected="the id of an igniter",
                got=repr(name),
                suggestion=nearest(name, igniter_ids),
            )
    return tuple(found)


def _address(
    cue: Cue,
    i: int,
    boxes: dict[str, tuple[int, BoxKind, str]],
    declared_boxes: set[str],
    parts: dict[str, Part],
    by_index: Mapping[int, PlacedIgniter],
    igniter_ids: Mapping[str, int],
    problems: Problems,
) -> WayKey | None:
    """The way a cue fires. A number out of range is a rule's matter, not bad input."""
    forms = [
        cue.fire is not None,
        cue.target is not None,
        any(v is not None for v in (cue.box, cue.output, cue.way)),
    ]
    if sum(forms) != 1:
        problems.add(
            "DOC005" if not any(forms) else "DOC007",
            ("cue", i),
            f"cue {cue.id!r} names its circuit {sum(forms)} times",
            expected="one of: fire, target, or box + output + way",
        )
        return None
    if cue.target is not None:
        return _target(cue.target, i, parts, by_index, igniter_ids, problems)
    if cue.fire is not None:
        pieces = cue.fire.split("/")
        numbers = [address_number(piece) for piece in pieces[1:]]
        if len(numbers) != 2 or numbers[0] is None or numbers[1] is None:
            problems.add(
                "DOC007",
                ("cue", i, "fire"),
                "this is no address of a way",
                expected="box/output/way, e.g. heron-1/1/4",
                got=repr(cue.fire),
            )
            return None
        box, output, way = pieces[0], numbers[0], numbers[1]
        path: DocPath = ("cue", i, "fire")
    else:
        for key in ("box", "output", "way"):
            if getattr(cue, key) is None:
                problems.add(
                    "DOC005",
                    ("cue", i),
                    f"cue {cue.id!r} has no {key}",
                    expected="box, output and way together",
                )
                return None
        assert cue.box is not None
        assert cue.output is not None
        assert cue.way is not None
        box, output, way = cue.box, cue.output, cue.way
        path = ("cue", i, "box")
    if box not in boxes:
        if box not in declared_boxes:
            problems.add(
                "DOC011",
                path,
                f"there is no box {box!r}",
                expected="the id of a box",
                got=repr(box),
                suggestion=nearest(box, boxes),
            )
        return None
    return (box, output, way)


def _faulty(target: str, parts: Mapping[str, Part], declared_strips: set[str]) -> bool:
    """Whether a cue's target is on a strip that has its own finding already."""
    name = part_name(target)
    return name in declared_strips and name not in parts


def _hangs_on_nothing(part: Part) -> bool:
    """Whether no run leads to a part or to what is before it.

    False where a faulty run or a circle, which have their own findings, is the reason.
    """
    seen = {part.id}
    while part.parent is not None:
        part = part.parent
        if part.id in seen:
            return False
        seen.add(part.id)
    return part.run is None


def _target(
    text: str,
    i: int,
    parts: Mapping[str, Part],
    by_index: Mapping[int, PlacedIgniter],
    igniter_ids: Mapping[str, int],
    problems: Problems,
) -> WayKey | None:
    if text in igniter_ids:
        placed = by_index.get(igniter_ids[text])
        if placed is None:
            return None
        part, way = placed.part, placed.way
    else:
        found, number, problem, expected, suggestion = terminal(text, parts)
        if problem or found is None or number is None:
            problems.add(
                "DOC011",
                ("cue", i, "target"),
                problem,
                expected=expected or "an igniter's id or strip/way",
                got=repr(text),
                suggestion=suggestion or nearest(text, igniter_ids),
            )
            return None
        part, way = found, number
    if part.output is None:
        if _hangs_on_nothing(part):
            problems.add(
                "DOC011",
                ("cue", i, "target"),
                f"{part.id!r} {NOT_WIRED}, so the cue reaches nothing",
                expected="an igniter or terminal on a strip that a run leads to",
                got=repr(text),
            )
        return None
    return (*part.output, way)
