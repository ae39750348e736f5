"""The wiring of a show, resolved: which part hangs on which, what sits on which way.

`resolve` checks every reference and the shape of the wiring and reports all problems at once.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping
from functools import cached_property

from attrs import define, frozen

from bridgewire.circuit.catalogue import Catalogue, nearest
from bridgewire.diagnostics import DocPath, Finding
from bridgewire.model.band import Band
from bridgewire.model.kit import BoxKind, CableSpec, IgniterClass, SplitterKind, StripKind
from bridgewire.model.show import Box, Cue, Igniter, Show, Splitter, Strip
from bridgewire.physics.laws import Models

OutputKey = tuple[str, int]
"""Box id and output number (from 1)."""
WayKey = tuple[str, int, int]
"""Box id, output number and way number (both from 1)."""


@define(eq=False)
class Part:
    """A strip or splitter with the run that feeds it."""

    id: str
    kind: StripKind | SplitterKind
    kind_id: str
    path: DocPath
    first_way: int = 1
    run: int | None = None
    """Index of the run that feeds it, None where it hangs on nothing."""
    parent: Part | None = None
    output: OutputKey | None = None
    depth: int = 0

    @property
    def is_strip(self) -> bool:
        """Whether the part is a strip (else a splitter)."""
        return isinstance(self.kind, StripKind)


@frozen
class PlacedIgniter:
    """An igniter entry of the show on its terminal."""

    index: int
    id: str
    igniter: Igniter
    klass: IgniterClass
    class_id: str
    part: Part
    way: int

    @property
    def path(self) -> DocPath:
        """Where the igniter stands in the show document."""
        return ("igniter", self.index)


@frozen
class ResolvedCue:
    """A cue with its circuit."""

    index: int
    cue: Cue
    way: WayKey | None
    """None where the cue names a box, output or way that does not exist."""
    lights: tuple[int, ...] | None
    """Indexes of the igniters it names, None where it names none."""

    @property
    def path(self) -> DocPath:
        """Where the cue stands in the show document."""
        return ("cue", self.index)


@define(eq=False)
class Layout:
    """A show's wiring, resolved."""

    show: Show
    catalogue: Catalogue
    boxes: dict[str, tuple[int, BoxKind, str]]
    """Box id -> index in the show, kind, kind's full id."""
    parts: dict[str, Part]
    run_lengths: list[Band | None]
    """One-way length of each run, m; None where neither length nor coordinates tell."""
    run_cables: list[CableSpec]
    igniters: list[PlacedIgniter]
    by_way: dict[WayKey, list[PlacedIgniter]]
    strips_on_output: dict[OutputKey, list[Part]]
    cues: list[ResolvedCue]
    igniter_ids: dict[str, int]
    models: Models
    """Models that plugins provide."""

    @cached_property
    def names(self) -> dict[int, str]:
        """Id of each igniter by its index in the show."""
        return {p.index: p.id for p in self.igniters}

    def way_of(self, placed: PlacedIgniter) -> WayKey | None:
        """The way an igniter is on, or None where its strip hangs on no output."""
        if placed.part.output is None:
            return None
        box, output = placed.part.output
        return (box, output, placed.way)


class _Problems:
    def __init__(self) -> None:
        self.found: list[Finding] = []

    def add(
        self,
        code: str,
        path: DocPath,
        message: str,
        *,
        expected: str = "",
        got: str = "",
        suggestion: str = "",
    ) -> None:
        self.found.append(
            Finding(code, message, path=path, expected=expected, got=got, suggestion=suggestion)
        )


def resolve(
    show: Show, catalogue: Catalogue, models: Models | None = None
) -> tuple[Layout | None, tuple[Finding, ...]]:
    """Resolve a show against its kits.

    Returns
    -------
    layout : Layout or None
        None if there is any problem.
    problems : tuple of Finding
        Dangling references (DOC011), duplicate ids (DOC010), cycles (DOC012), inlets fed twice
        (DOC013), too many strips (DOC014) and outlets used up (DOC015), each with its path.
    """
    problems = _Problems()
    coordinates = _coordinates(show, problems)
    boxes = _boxes(show, catalogue, problems)
    parts = _parts(show, catalogue, problems)
    cables = _connect(show, catalogue, boxes, parts, problems)
    _root(parts, show, problems)
    strips_on_output = _count_strips(boxes, parts, problems)
    igniters, by_way, igniter_ids = _igniters(show, catalogue, parts, problems)
    cues = _cues(show, boxes, parts, igniters, igniter_ids, problems)
    if problems.found:
        return None, tuple(problems.found)
    layout = Layout(
        show=show,
        catalogue=catalogue,
        boxes=boxes,
        parts=parts,
        run_lengths=[_length(show, i, coordinates) for i in range(len(show.run))],
        run_cables=cables,
        igniters=igniters,
        by_way=by_way,
        strips_on_output=strips_on_output,
        cues=cues,
        igniter_ids=igniter_ids,
        models=models or Models(),
    )
    return layout, ()


def part_name(end: str) -> str:
    """The part that a run's end names: ``heron-1/1`` is on ``heron-1``.

    >>> part_name("heron-1/1"), part_name("jetty-1")
    ('heron-1', 'jetty-1')
    """
    return end.split("/", 1)[0]


def _coordinates(show: Show, problems: _Problems) -> dict[str, tuple[float, float]]:
    places: dict[str, tuple[float, float]] = {}
    seen: dict[str, int] = {}
    for i, position in enumerate(show.position):
        if position.id in seen:
            problems.add(
                "DOC010",
                ("position", i, "id"),
                f"position {position.id!r} is already at position[{seen[position.id]}]",
            )
        seen[position.id] = i
        places[position.id] = position.at_m
    out: dict[str, tuple[float, float]] = {}
    things: list[tuple[str, int, Box | Strip | Splitter]] = [
        *(("box", i, box) for i, box in enumerate(show.box)),
        *(("strip", i, strip) for i, strip in enumerate(show.strip)),
        *(("splitter", i, splitter) for i, splitter in enumerate(show.splitter)),
    ]
    for key, i, thing in things:
        if thing.at_m is not None:
            out[thing.id] = thing.at_m
        elif thing.position in places:
            out[thing.id] = places[thing.position]
        elif thing.position is not None:
            problems.add(
                "DOC011",
                (key, i, "position"),
                f"there is no position {thing.position!r}",
                expected="the id of a [[position]]",
                got=repr(thing.position),
                suggestion=nearest(thing.position, places),
            )
    return out


def straight_distance_m(show: Show, run_index: int) -> float | None:
    """Straight distance between a run's ends by their coordinates, m; None where unknown."""
    return _distance(show, run_index, _coordinates(show, _Problems()))


def _distance(
    show: Show, run_index: int, places: Mapping[str, tuple[float, float]]
) -> float | None:
    run = show.run[run_index]
    a, b = places.get(part_name(run.from_)), places.get(part_name(run.to))
    return None if a is None or b is None else math.dist(a, b)


def _length(show: Show, run_index: int, places: Mapping[str, tuple[float, float]]) -> Band | None:
    stated = show.run[run_index].length_m
    if stated is not None:
        return stated
    distance = _distance(show, run_index, places)
    if distance is None or show.site.cable_slack_pct is None:
        return None
    return Band.exact(distance * (1.0 + show.site.cable_slack_pct / 100.0))


def _boxes(
    show: Show, catalogue: Catalogue, problems: _Problems
) -> dict[str, tuple[int, BoxKind, str]]:
    boxes: dict[str, tuple[int, BoxKind, str]] = {}
    for i, box in enumerate(show.box):
        if box.id in boxes:
            problems.add(
                "DOC010", ("box", i, "id"), f"box {box.id!r} is already at box[{boxes[box.id][0]}]"
            )
            continue
        kind = catalogue.boxes.get(box.kind)
        if kind is None:
            problems.add(
                "DOC011",
                ("box", i, "kind"),
                f"no kit has a box {box.kind!r}",
                expected="a box of one of the show's kits",
                got=repr(box.kind),
                suggestion=catalogue.boxes.suggestion(box.kind),
            )
            continue
        boxes[box.id] = (i, kind, catalogue.boxes.full_id(box.kind) or box.kind)
    return boxes


def _parts(show: Show, catalogue: Catalogue, problems: _Problems) -> dict[str, Part]:
    parts: dict[str, Part] = {}
    box_ids = {b.id: i for i, b in enumerate(show.box)}
    things: list[tuple[DocPath, str, str, StripKind | SplitterKind | None, str, str, int]] = []
    for i, strip in enumerate(show.strip):
        table = catalogue.strips
        full = table.full_id(strip.kind) or strip.kind
        hint = table.suggestion(strip.kind)
        things.append(
            (("strip", i), strip.id, strip.kind, table.get(strip.kind), full, hint, strip.first_way)
        )
    for i, splitter in enumerate(show.splitter):
        kinds = catalogue.splitters
        full = kinds.full_id(splitter.kind) or splitter.kind
        hint = kinds.suggestion(splitter.kind)
        things.append(
            (("splitter", i), splitter.id, splitter.kind, kinds.get(splitter.kind), full, hint, 1)
        )
    for path, ident, ref, kind, full, hint, first_way in things:
        noun = str(path[0])
        if ident in parts:
            problems.add("DOC010", (*path, "id"), f"part {ident!r} is already defined")
        elif ident in box_ids:
            problems.add(
                "DOC010", (*path, "id"), f"{ident!r} is already the id of box[{box_ids[ident]}]"
            )
        elif kind is None:
            problems.add(
                "DOC011",
                (*path, "kind"),
                f"no kit has a {noun} {ref!r}",
                expected=f"a {noun} of one of the show's kits",
                got=repr(ref),
                suggestion=hint,
            )
        else:
            parts[ident] = Part(ident, kind, full, path, first_way)
    return parts


def _connect(
    show: Show,
    catalogue: Catalogue,
    boxes: dict[str, tuple[int, BoxKind, str]],
    parts: dict[str, Part],
    problems: _Problems,
) -> list[CableSpec]:
    cables: list[CableSpec] = []
    fed_by: dict[str, int] = {}
    outlets_used: dict[str, list[int]] = defaultdict(list)
    # Names that failed earlier keep their own finding; do not report them again as dangling.
    declared = {s.id for s in show.strip} | {s.id for s in show.splitter}
    declared_boxes = {b.id for b in show.box}
    for i, run in enumerate(show.run):
        cable = catalogue.cables.get(run.cable)
        if cable is None:
            problems.add(
                "DOC011",
                ("run", i, "cable"),
                f"no kit has a cable {run.cable!r}",
                expected="a cable of one of the show's kits",
                got=repr(run.cable),
                suggestion=catalogue.cables.suggestion(run.cable),
            )
        else:
            cables.append(cable)
        if run.joint_contact is not None and catalogue.contacts.get(run.joint_contact) is None:
            problems.add(
                "DOC011",
                ("run", i, "joint_contact"),
                f"no kit has a contact {run.joint_contact!r}",
                expected="a contact of one of the show's kits",
                got=repr(run.joint_contact),
                suggestion=catalogue.contacts.suggestion(run.joint_contact),
            )
        target = parts.get(run.to)
        if target is None and run.to not in declared:
            problems.add(
                "DOC011",
                ("run", i, "to"),
                f"there is no strip or splitter {run.to!r}",
                expected="the id of a strip or splitter",
                got=repr(run.to),
                suggestion=nearest(run.to, parts),
            )
        if run.to in fed_by:
            problems.add(
                "DOC013",
                ("run", i, "to"),
                f"the inlet of {run.to!r} is already fed by run[{fed_by[run.to]}]",
                expected="one run into each inlet",
            )
            target = None
        fed_by.setdefault(run.to, i)
        if target is not None:
            target.run = i
        name, _, number = run.from_.partition("/")
        if name in boxes:
            _connect_output(run.from_, number, i, boxes[name][1], name, target, problems)
        elif name in parts and not number:
            outlets_used[name].append(i)
            if target is not None:
                target.parent = parts[name]
        elif name not in declared_boxes and not (name in declared and not number):
            _dangling_start(run.from_, i, boxes, parts, problems)
    for name, runs in outlets_used.items():
        kind = parts[name].kind
        have = kind.through if isinstance(kind, StripKind) else kind.outlets
        for i in runs[have:]:
            noun = "through connector" if isinstance(kind, StripKind) else "outlet"
            problems.add(
                "DOC015",
                ("run", i, "from"),
                f"{name!r} has {have} {noun}{'s' if have != 1 else ''}, all in use",
                expected=f"at most {have} run{'s' if have != 1 else ''} from {name!r}",
                got=f"{len(runs)} runs",
            )
    return cables


def _connect_output(
    text: str,
    number: str,
    i: int,
    kind: BoxKind,
    box: str,
    target: Part | None,
    problems: _Problems,
) -> None:
    if not number.isdecimal() or not 1 <= int(number) <= kind.outputs:
        problems.add(
            "DOC011",
            ("run", i, "from"),
            f"box {box!r} has no output {number!r}",
            expected=f"{box}/1 to {box}/{kind.outputs}",
            got=repr(text),
        )
    elif target is not None:
        target.output = (box, int(number))


def _dangling_start(
    text: str,
    i: int,
    boxes: Mapping[str, object],
    parts: Mapping[str, Part],
    problems: _Problems,
) -> None:
    name = part_name(text)
    if name in parts:
        problems.add(
            "DOC011",
            ("run", i, "from"),
            f"{name!r} is no box: write it without a number",
            expected=repr(name),
            got=repr(text),
        )
        return
    problems.add(
        "DOC011",
        ("run", i, "from"),
        f"there is no box, strip or splitter {name!r}",
        expected="box/output, a strip or a splitter",
        got=repr(text),
        suggestion=nearest(name, [*boxes, *parts]),
    )


def _root(parts: dict[str, Part], show: Show, problems: _Problems) -> None:
    """Give every part its output and depth; report cycles once each."""
    state: dict[str, bool] = {}
    for start in parts.values():
        chain: list[Part] = []
        seen: set[str] = set()
        part: Part | None = start
        while part is not None and part.id not in state and part.id not in seen:
            seen.add(part.id)
            chain.append(part)
            part = part.parent
        if part is not None and part.id not in state:
            loop = [p.id for p in chain[chain.index(part) :]]
            run = part.run if part.run is not None else 0
            problems.add(
                "DOC012",
                ("run", run, "from"),
                "the wiring runs in a circle: " + " <- ".join([*loop, loop[0]]),
                expected="every part reached from a box, once",
            )
            for p in chain:
                state[p.id] = False
            continue
        for p in reversed(chain):
            if p.parent is not None:
                p.output = p.parent.output
                p.depth = p.parent.depth + 1
            state[p.id] = True


def _count_strips(
    boxes: dict[str, tuple[int, BoxKind, str]], parts: dict[str, Part], problems: _Problems
) -> dict[OutputKey, list[Part]]:
    on_output: dict[OutputKey, list[Part]] = defaultdict(list)
    for part in parts.values():
        if part.output is not None and part.is_strip:
            on_output[part.output].append(part)
    for (box, output), strips in on_output.items():
        limit = boxes[box][1].max_strips
        if limit is None:
            continue
        for strip in strips[limit:]:
            problems.add(
                "DOC014",
                (*strip.path, "id"),
                f"output {output} of box {box!r} addresses {limit} strips; "
                f"{strip.id!r} is one too many",
                expected=f"at most {limit} strips",
                got=f"{len(strips)} strips",
            )
    return dict(on_output)


def _terminal(
    text: str, parts: Mapping[str, Part]
) -> tuple[Part | None, int | None, str, str, str]:
    """Read ``strip/way``: part, way, problem, expected, suggestion."""
    name, _, number = text.partition("/")
    part = parts.get(name)
    if part is None or not isinstance(part.kind, StripKind):
        strips = [p.id for p in parts.values() if p.is_strip]
        return None, None, f"there is no strip {name!r}", "strip/way", nearest(name, strips)
    last = part.first_way + part.kind.ways - 1
    if not number.isdecimal() or not part.first_way <= int(number) <= last:
        return (
            part,
            None,
            f"strip {name!r} has no terminal for way {number!r}",
            f"{name}/{part.first_way} to {name}/{last}",
            "",
        )
    return part, int(number), "", "", ""


def _igniters(
    show: Show, catalogue: Catalogue, parts: dict[str, Part], problems: _Problems
) -> tuple[list[PlacedIgniter], dict[WayKey, list[PlacedIgniter]], dict[str, int]]:
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
        klass = catalogue.igniters.get(igniter.class_)
        if klass is None:
            problems.add(
                "DOC011",
                ("igniter", i, "class"),
                f"no kit has an igniter class {igniter.class_!r}",
                expected="an igniter class of one of the show's kits",
                got=repr(igniter.class_),
                suggestion=catalogue.igniters.suggestion(igniter.class_),
            )
        if igniter.lead_cable is not None and catalogue.cables.get(igniter.lead_cable) is None:
            problems.add(
                "DOC011",
                ("igniter", i, "lead_cable"),
                f"no kit has a cable {igniter.lead_cable!r}",
                expected="a cable of one of the show's kits",
                got=repr(igniter.lead_cable),
                suggestion=catalogue.cables.suggestion(igniter.lead_cable),
            )
        part, way, problem, expected, suggestion = _terminal(igniter.at, parts)
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


def _cues(
    show: Show,
    boxes: dict[str, tuple[int, BoxKind, str]],
    parts: dict[str, Part],
    igniters: list[PlacedIgniter],
    igniter_ids: Mapping[str, int],
    problems: _Problems,
) -> list[ResolvedCue]:
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
    cue: Cue, i: int, igniter_ids: Mapping[str, int], problems: _Problems
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
    problems: _Problems,
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
        if len(pieces) != 3 or not (pieces[1].isdecimal() and pieces[2].isdecimal()):
            problems.add(
                "DOC007",
                ("cue", i, "fire"),
                "this is no address of a way",
                expected="box/output/way, e.g. heron-1/1/4",
                got=repr(cue.fire),
            )
            return None
        box, output, way = pieces[0], int(pieces[1]), int(pieces[2])
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
    problems: _Problems,
) -> WayKey | None:
    if text in igniter_ids:
        placed = by_index.get(igniter_ids[text])
        if placed is None:
            return None
        part, way = placed.part, placed.way
    else:
        found, number, problem, expected, suggestion = _terminal(text, parts)
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
                f"{part.id!r} is not wired to any box, so the cue reaches nothing",
                expected="an igniter or terminal on a strip that a run leads to",
                got=repr(text),
            )
        return None
    return (*part.output, way)
