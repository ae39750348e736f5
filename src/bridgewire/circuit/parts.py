"""Boxes, strips and splitters and the runs between them: references, cycles, outlets used up."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from bridgewire.circuit.catalogue import Catalogue, nearest
from bridgewire.circuit.layout import OutputKey, Part
from bridgewire.circuit.places import address_number, part_name
from bridgewire.circuit.problems import Problems
from bridgewire.diagnostics import DocPath, format_path
from bridgewire.model.kit import BoxKind, CableSpec, StripKind
from bridgewire.model.show import Show


def boxes_of(
    show: Show, catalogue: Catalogue, problems: Problems
) -> dict[str, tuple[int, BoxKind, str]]:
    """Box id -> index in the show, kind, kind's full id."""
    boxes: dict[str, tuple[int, BoxKind, str]] = {}
    for i, box in enumerate(show.box):
        if box.id in boxes:
            problems.add(
                "DOC010", ("box", i, "id"), f"box {box.id!r} is already at box[{boxes[box.id][0]}]"
            )
            continue
        kind = catalogue.boxes.find(box.kind, ("box", i, "kind"), problems)
        if kind is not None:
            boxes[box.id] = (i, kind, catalogue.boxes.full_id(box.kind) or box.kind)
    return boxes


def parts_of(show: Show, catalogue: Catalogue, problems: Problems) -> dict[str, Part]:
    """Strips and splitters by id, not yet connected."""
    parts: dict[str, Part] = {}
    box_ids = {b.id: i for i, b in enumerate(show.box)}

    def is_new(ident: str, path: DocPath) -> bool:
        if ident in parts:
            other = format_path(parts[ident].path)
            problems.add("DOC010", (*path, "id"), f"part {ident!r} is already at {other}")
        elif ident in box_ids:
            problems.add(
                "DOC010", (*path, "id"), f"{ident!r} is already the id of box[{box_ids[ident]}]"
            )
        else:
            return True
        return False

    strips, splitters = catalogue.strips, catalogue.splitters
    for i, strip in enumerate(show.strip):
        path: DocPath = ("strip", i)
        if not is_new(strip.id, path):
            continue
        if strip.id.lower() == "box":
            problems.add(
                "DOC007",
                (*path, "id"),
                f"a strip cannot be called {strip.id!r}: readings name the box itself so",
                expected="another id",
                got=repr(strip.id),
            )
        kind = strips.find(strip.kind, (*path, "kind"), problems)
        if kind is not None:
            full = strips.full_id(strip.kind) or strip.kind
            parts[strip.id] = Part(strip.id, kind, full, path, strip.first_way)
    for i, splitter in enumerate(show.splitter):
        path = ("splitter", i)
        if not is_new(splitter.id, path):
            continue
        fork = splitters.find(splitter.kind, (*path, "kind"), problems)
        if fork is not None:
            full = splitters.full_id(splitter.kind) or splitter.kind
            parts[splitter.id] = Part(splitter.id, fork, full, path)
    return parts


def connect(
    show: Show,
    catalogue: Catalogue,
    boxes: dict[str, tuple[int, BoxKind, str]],
    parts: dict[str, Part],
    problems: Problems,
) -> list[CableSpec]:
    """Hang every part on what feeds it; returns the cable of each run."""
    cables: list[CableSpec] = []
    fed_by: dict[str, int] = {}
    outlets_used: dict[str, list[int]] = defaultdict(list)
    # Names that failed earlier keep their own finding; do not report them again as dangling.
    declared = {s.id for s in show.strip} | {s.id for s in show.splitter}
    declared_boxes = {b.id for b in show.box}
    for i, run in enumerate(show.run):
        cable = catalogue.cables.find(run.cable, ("run", i, "cable"), problems)
        if cable is not None:
            cables.append(cable)
        if run.joint_contact is not None:
            catalogue.contacts.find(run.joint_contact, ("run", i, "joint_contact"), problems)
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
    _count_outlets(outlets_used, parts, problems)
    return cables


def _count_outlets(
    outlets_used: Mapping[str, list[int]], parts: Mapping[str, Part], problems: Problems
) -> None:
    """Report the runs for which a part has no outlet left."""
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


def _connect_output(
    text: str,
    number: str,
    i: int,
    kind: BoxKind,
    box: str,
    target: Part | None,
    problems: Problems,
) -> None:
    output = address_number(number)
    if output is None or not 1 <= output <= kind.outputs:
        problems.add(
            "DOC011",
            ("run", i, "from"),
            f"box {box!r} has no output {number!r}",
            expected=f"{box}/1 to {box}/{kind.outputs}",
            got=repr(text),
        )
    elif target is not None:
        target.output = (box, output)


def _dangling_start(
    text: str,
    i: int,
    boxes: Mapping[str, object],
    parts: Mapping[str, Part],
    problems: Problems,
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


def give_outputs(parts: dict[str, Part], show: Show, problems: Problems) -> None:
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


def count_strips(
    boxes: dict[str, tuple[int, BoxKind, str]], parts: dict[str, Part], problems: Problems
) -> dict[OutputKey, list[Part]]:
    """Strips on each output; too many for an output to address are problems."""
    on_output: dict[OutputKey, list[Part]] = defaultdict(list)
    for part in parts.values():
        if part.output is not None and part.is_strip:
            on_output[part.output].append(part)
    for (box, output), strips in on_output.items():
        limit = boxes[box][1].max_strips
        if limit is None:
            continue
        plural = "" if limit == 1 else "s"
        for strip in strips[limit:]:
            problems.add(
                "DOC014",
                (*strip.path, "id"),
                f"output {output} of box {box!r} addresses {limit} strip{plural}; "
                f"{strip.id!r} is one too many",
                expected=f"at most {limit} strip{plural}",
                got=f"{len(strips)} strips",
            )
    return dict(on_output)
