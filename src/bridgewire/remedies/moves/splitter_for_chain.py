"""Strips of a chain on runs of their own from one splitter."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from attrs import evolve

from bridgewire.circuit.layout import Layout, Part
from bridgewire.diagnostics import DocPath
from bridgewire.model.kit import StripKind
from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change, Effort, Item
from bridgewire.remedies.edits import Append, Edit, Set
from bridgewire.remedies.moves.heavier_cable import cable_edits, heavier
from bridgewire.remedies.plain import plain_item
from bridgewire.remedies.wiring import (
    chains,
    distance_m,
    fresh,
    laid_m,
    length_to,
    more_cable,
    parts_of,
    same_place,
    typical_m,
)

KIND = "splitter-for-chain"
SHORT_M = 1.0
"""Run from the splitter to the strip that it stands beside, or to the box."""
MOST_M = 500.0
"""Nobody lays longer runs from a splitter."""


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose a splitter where a chain begins, with runs as long as the chain or all equal, and
    one at the box."""
    outcome = case.as_written.cues[cue_id]
    layout = case.as_written.layout
    if outcome.way is None:
        return
    for chain in chains(parts_of(layout, outcome)):
        kinds = fitting(case, chain)
        lengths = lengths_from_first(layout, chain)
        if not kinds or lengths is None:
            continue
        full_id, same_plugs = kinds[0]
        caveat = "" if same_plugs else "its plugs are of another kind than those of the strips"
        if max(lengths) <= MOST_M:
            yield _beside_first(case, chain, lengths, full_id, "a run of its own", caveat)
        if len(set(lengths)) > 1:
            equal = [max(lengths)] * len(lengths)
            how = f"equal runs of {max(lengths):.4g} m"
            yield _beside_first(case, chain, equal, full_id, how, caveat)
        found = heavier(case, [layout.run_cables[p.run] for p in chain if p.run is not None])
        for cable in (None, found[-1][0]) if found else (None,):
            if cable is not None:
                how = f"equal runs of {max(lengths):.4g} m of {cable!r}"
                equal = [max(lengths)] * len(lengths)
                yield _beside_first(case, chain, equal, full_id, how, caveat, cable)
            box = _at_the_box(case, chain, full_id, caveat, cable)
            if box is not None:
                yield box


def lengths_from_first(layout: Layout, chain: list[Part]) -> list[float] | None:
    """Cable from the first strip of a chain to each, m; None where a length is not known."""
    total, out = 0.0, [SHORT_M]
    for part in chain[1:]:
        assert part.run is not None
        metres = typical_m(layout, part.run)
        if metres is None:
            return None
        total += metres
        out.append(total + SHORT_M)
    return out


def fitting(case: Case, chain: Sequence[Part]) -> list[tuple[str, bool]]:
    """Splitters of the kits with outlets enough, those with the strips' plugs and the smallest
    first; whether the plugs are alike beside each."""
    plugs = {p.kind.inlet_contact for p in chain if isinstance(p.kind, StripKind)}
    found = [
        ({kind.inlet_contact, kind.outlet_contact} != plugs, kind.outlets, f"{kit_id}:{kind.id}")
        for kit_id, kit in case.catalogue.kits.items()
        for kind in kit.splitter
        if kind.outlets >= len(chain)
    ]
    return [(full_id, not other) for other, _, full_id in sorted(found)]


def _beside_first(
    case: Case,
    chain: list[Part],
    lengths: list[float],
    full_id: str,
    how: str,
    caveat: str,
    cable: str | None = None,
) -> Change:
    """A splitter where the chain begins; the run to there stays, perhaps with another cable."""
    layout = case.as_written.layout
    first = chain[0]
    assert first.run is not None
    name = fresh(layout, f"{first.id} splitter")
    edits: list[Edit] = [
        Append(("splitter",), _splitter(case, name, full_id, first.path)),
        Set(("run", first.run, "to"), name),
        Append(("run",), _run(case, chain[1], name, first.id, lengths[0], cable)),
    ]
    for part, metres in zip(chain[1:], lengths[1:], strict=True):
        assert part.run is not None
        edits.append(Set(("run", part.run, "from"), name))
        edits.append(Set(("run", part.run, "length_m"), round(metres, 3)))
    items = [_cable(case, chain[1], lengths[0], cable)]
    for part, metres in zip(chain, (_length(case, first) or 0.0, *lengths[1:]), strict=True):
        if cable is not None and part.run is not None:
            edits += cable_edits(case, part.run, cable)
        items.append(_cable(case, part, metres, cable))
        items.append(_cable(case, part, -(_length(case, part) or 0.0)))
    names = ", ".join(repr(p.id) for p in chain)
    return _change(
        case,
        chain,
        f"put a splitter {full_id!r} beside {first.id!r} and feed {names} from it by {how} "
        "in place of the chain",
        edits,
        full_id,
        items,
        caveat,
    )


def _at_the_box(
    case: Case, chain: list[Part], full_id: str, caveat: str, cable: str | None
) -> Change | None:
    """A splitter at the box, and a run from there to each strip."""
    layout = case.as_written.layout
    first = chain[0]
    if first.parent is not None or first.output is None or first.run is None:
        return None
    box, output = first.output
    lengths = []
    for part in chain:
        straight = distance_m(layout, box, part.id)
        metres = length_to(layout, part) if straight is None else laid_m(layout, straight)
        spec = None if part.run is None else layout.run_cables[part.run]
        spec = spec if cable is None else case.catalogue.cables.get(cable)
        longest = None if spec is None else spec.max_length_m
        if metres is None or _length(case, part) is None or metres > (longest or math.inf):
            return None
        lengths.append(metres)
    name = fresh(layout, f"{box} splitter {output}")
    edits: list[Edit] = [
        Append(("splitter",), _splitter(case, name, full_id, ("box", layout.boxes[box][0]))),
        Append(("run",), _run(case, first, f"{box}/{output}", name, SHORT_M, cable)),
    ]
    items = [_cable(case, first, SHORT_M, cable)]
    for part, metres in zip(chain, lengths, strict=True):
        assert part.run is not None
        edits.append(Set(("run", part.run, "from"), name))
        edits.append(Set(("run", part.run, "length_m"), round(metres, 3)))
        if cable is not None:
            edits += cable_edits(case, part.run, cable)
        items.append(_cable(case, part, metres, cable))
        items.append(_cable(case, part, -(_length(case, part) or 0.0)))
    of = "a cable" if cable is None else f"{cable!r}"
    each = ", ".join(f"{p.id!r} ({m:.4g} m)" for p, m in zip(chain, lengths, strict=True))
    return _change(
        case,
        chain,
        f"put a splitter {full_id!r} at box {box!r} on output {output} and run {of} from it to "
        f"each of {each} in place of the chain",
        edits,
        full_id,
        items,
        caveat,
    )


def _change(
    case: Case,
    chain: list[Part],
    words: str,
    edits: list[Edit],
    full_id: str,
    cables: list[Item],
    caveat: str,
) -> Change:
    output = chain[0].output
    assert output is not None
    return Change(
        KIND,
        words,
        tuple(edits),
        frozenset((output[0],)),
        Effort(
            (Item("splitter", full_id, 1), *cables),
            metres=math.fsum(i.count for i in cables),
            runs=1,
            parts=1,
        ),
        caveat=caveat,
    )


def _splitter(case: Case, name: str, full_id: str, beside: DocPath) -> dict[str, Any]:
    stated = getattr(case.show, str(beside[0]))[int(beside[1])]
    return {"id": name, "kind": full_id, **same_place(stated)}


def _length(case: Case, part: Part) -> float | None:
    """Of the run that feeds a part."""
    assert part.run is not None
    return typical_m(case.as_written.layout, part.run)


def _cable(case: Case, part: Part, metres: float, cable: str | None = None) -> Item:
    """More of the cable that feeds a part, or of another."""
    assert part.run is not None
    own = more_cable(case.as_written.layout, part.run, metres)
    return own if cable is None else evolve(own, full_id=cable)


def _run(
    case: Case, like: Part, start: str, end: str, metres: float, cable: str | None
) -> Mapping[str, Any]:
    """A run of the cable that feeds a part, or of another."""
    assert like.run is not None
    stated = plain_item(case.show.run[like.run])
    keep = {k: v for k, v in stated.items() if k in ("cable", "parallel", "drum")}
    if cable is not None:
        keep = {**keep, "cable": cable}
        keep.pop("drum", None)
    return {"from": start, "to": end, **keep, "length_m": round(metres, 3)}
