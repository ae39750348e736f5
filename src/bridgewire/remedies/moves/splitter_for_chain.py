"""Strips of a chain on runs of their own from one splitter."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any

from bridgewire.circuit.layout import Layout, Part
from bridgewire.model.kit import SplitterKind
from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change, Effort, Item
from bridgewire.remedies.edits import Append, Edit, Set
from bridgewire.remedies.plain import plain_item
from bridgewire.remedies.wiring import fresh, parts_of, path_to, typical_m

KIND = "splitter-for-chain"
SHORT_M = 1.0
"""Run from the splitter to the strip that it stands beside."""


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose a splitter where a chain begins: runs as long as the chain, or all equal."""
    outcome = case.as_written.cues[cue_id]
    layout = case.as_written.layout
    if outcome.way is None:
        return
    for chain in chains(layout, parts_of(layout, outcome)):
        kinds = fitting(case, len(chain))
        reach = reaches(layout, chain)
        if not kinds or reach is None:
            continue
        for equal in (False, True):
            lengths = [max(reach)] * len(reach) if equal else reach
            full_id, kind = kinds[0]
            yield _change(case, cue_id, chain, lengths, full_id, kind, outcome.way[0], equal=equal)


def chains(layout: Layout, strips: list[Part]) -> list[list[Part]]:
    """Chains of two or more strips, each on the through connector of the last."""
    found: dict[str, list[Part]] = {}
    for strip in strips:
        path = path_to(strip)
        tail = [strip]
        while (before := tail[-1].parent) is not None and before.is_strip:
            tail.append(before)
        if len(tail) > 1 and all(p.run is not None for p in path):
            chain = tail[::-1]
            kept = found.get(chain[0].id, [])
            if len(chain) > len(kept):
                found[chain[0].id] = chain
    return list(found.values())


def reaches(layout: Layout, chain: list[Part]) -> list[float] | None:
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


def fitting(case: Case, outlets: int) -> list[tuple[str, SplitterKind]]:
    """Splitters of the kits with outlets enough, the smallest first."""
    found = [
        (kind.outlets, f"{kit_id}:{kind.id}", kind)
        for kit_id, kit in case.catalogue.kits.items()
        for kind in kit.splitter
        if kind.outlets >= outlets
    ]
    return [(full, kind) for _, full, kind in sorted(found, key=lambda f: f[:2])]


def _change(
    case: Case,
    cue_id: str,
    chain: list[Part],
    lengths: list[float],
    full_id: str,
    kind: SplitterKind,
    box: str,
    *,
    equal: bool,
) -> Change:
    layout = case.as_written.layout
    first = chain[0]
    assert first.run is not None
    stands = layout.show.strip[int(first.path[1])]
    name = fresh(layout, f"{first.id} splitter")
    splitter: dict[str, Any] = {"id": name, "kind": full_id}
    if stands.at_m is not None:
        splitter["at_m"] = list(stands.at_m)
    elif stands.position is not None:
        splitter["position"] = stands.position
    edits: list[Edit] = [
        Append(("splitter",), splitter),
        Set(("run", first.run, "to"), name),
        Append(("run",), _first_run(case, chain, name, lengths[0])),
    ]
    before = 0.0
    for part, metres in zip(chain[1:], lengths[1:], strict=True):
        assert part.run is not None
        before += typical_m(layout, part.run) or 0.0
        edits.append(Set(("run", part.run, "from"), name))
        edits.append(Set(("run", part.run, "length_m"), round(metres, 3)))
    more = math.fsum(lengths) - before
    cable = case.catalogue.cables.full_id(case.show.run[chain[1].run or 0].cable)
    assert cable is not None
    how = f"equal runs of {lengths[0]:.4g} m" if equal else "a run of its own"
    names = ", ".join(repr(p.id) for p in chain)
    return Change(
        KIND,
        f"put a splitter {full_id!r} beside {first.id!r} and feed {names} from it by {how} "
        "in place of the chain",
        tuple(edits),
        frozenset((box,)),
        Effort(
            (Item("splitter", full_id, 1), Item("cable", cable, more)),
            metres=more,
            runs=1,
            parts=1,
        ),
    )


def _first_run(case: Case, chain: list[Part], name: str, metres: float) -> Mapping[str, Any]:
    like = plain_item(case.show.run[chain[1].run or 0])
    keep = {k: v for k, v in like.items() if k in ("cable", "parallel", "drum")}
    return {"from": name, "to": chain[0].id, **keep, "length_m": round(metres, 3)}
