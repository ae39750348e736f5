"""Cable of less resistance out of the show's kits."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from bridgewire.circuit.layout import Layout
from bridgewire.model.kit import CableSpec
from bridgewire.physics.cable import cable_ohm_per_m
from bridgewire.remedies.case import Case
from bridgewire.remedies.change import Change, Effort, Item
from bridgewire.remedies.edits import Edit, Remove, Set
from bridgewire.remedies.wiring import more_cable, parts_of, run_words, runs_to, typical_m

KIND = "heavier-cable"
WORTH = 0.98
"""A cable is heavier where it has at most this part of the resistance."""


def changes(case: Case, cue_id: str) -> Iterator[Change]:
    """Propose every cable that is heavier, for each run to the cue's igniters and for all."""
    outcome = case.as_written.cues[cue_id]
    layout = case.as_written.layout
    if outcome.way is None:
        return
    runs = runs_to(parts_of(layout, outcome))
    groups: list[Sequence[int]] = [[run] for run in runs]
    if len(runs) > 1:
        groups.append(runs)
    for group in groups:
        for full_id, spec in heavier(case, [layout.run_cables[r] for r in group]):
            lengths = [typical_m(layout, r) for r in group]
            if any(m is None for m in lengths):
                continue
            metres = math.fsum(
                (m or 0.0) * layout.show.run[r].parallel
                for m, r in zip(lengths, group, strict=True)
            )
            if spec.max_length_m is not None and max(m or 0 for m in lengths) > spec.max_length_m:
                continue
            what = (
                run_words(layout, group[0])
                if len(group) == 1
                else f"all {len(group)} runs to the igniters of cue {cue_id!r}"
            )
            which = "all" if len(group) > 1 or len(runs) == 1 else str(runs.index(group[0]))
            yield Change(
                KIND,
                f"use {full_id!r} for {what}",
                tuple(e for r in group for e in cable_edits(case, r, full_id)),
                frozenset((outcome.way[0],)),
                Effort((Item("cable", full_id, metres), *_replaced(layout, group))),
                recipe=f"{full_id} {which}",
            )


def cable_edits(case: Case, run: int, full_id: str) -> list[Edit]:
    """Another cable, and so no longer from its drum."""
    edits: list[Edit] = [Set(("run", run, "cable"), full_id)]
    if case.show.run[run].drum is not None:
        edits.append(Remove(("run", run, "drum")))
    return edits


def _replaced(layout: Layout, runs: Sequence[int]) -> list[Item]:
    """The cable that is no longer needed."""
    return [more_cable(layout, run, -(typical_m(layout, run) or 0.0)) for run in runs]


def heavier(case: Case, present: Sequence[CableSpec]) -> list[tuple[str, CableSpec]]:
    """Cables of the kits with less resistance and no fewer conductors than all of `present`."""
    bands = [cable_ohm_per_m(spec) for spec in present]
    if not bands or any(b is None for b in bands):
        return []
    limit = min(b.typical for b in bands if b is not None)
    conductors = max(spec.conductors for spec in present)
    found = []
    for kit_id, kit in case.catalogue.kits.items():
        for spec in kit.cable:
            band = cable_ohm_per_m(spec)
            if band is None or band.typical >= limit * WORTH or spec.conductors < conductors:
                continue
            found.append((band.typical, f"{kit_id}:{spec.id}", spec))
    return [(full_id, spec) for _, full_id, spec in sorted(found, key=lambda f: (-f[0], f[1]))]
