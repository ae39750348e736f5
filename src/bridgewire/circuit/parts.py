"""Boxes, strips and splitters and the runs between them: references, cycles, outlets used up."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from bridgewire.circuit.catalogue import Catalogue, nearest
from bridgewire.circuit.layout import OutputKey, Part
from bridgewire.circuit.places import part_name
from bridgewire.circuit.problems import Problems
from bridgewire.diagnostics import DocPath
from bridgewire.model.kit import BoxKind, CableSpec, SplitterKind, StripKind
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


def parts_of(show: Show, catalogue: Catalogue, problems: Problems) -> dict[str, Part]:
    """Strips and splitters by id, not yet connected."""
    parts: dict[str, Part] = {}
    box_ids = {b.id: i for i, b in enumerate(show.box)}
    things: list[tuple[DocPath, str, str, StripKind | SplitterKind | None, str, str, int]] = []
    for i, strip in enumerate(show.strip):
        table = catalogue.strips
        full = table.full_id(strip.kind) or strip.kind
        hint = "" if table.get(strip.kind) else table.suggestion(strip.kind)
        things.append(
            (("strip", i), strip.id, strip.kind, table.get(strip.kind), full, hint, strip.first_way)
        )
    for i, splitter in enumerate(show.splitter):
        kinds = catalogue.splitters
        full = kinds.full_id(splitter.kind) or splitter.kind
        hint = "" if kinds.get(splitter.kind) else kinds.suggestion(splitter.kind)
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
    problems: Problems,
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
