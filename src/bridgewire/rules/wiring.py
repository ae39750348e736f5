"""What wiring rules ask of runs and of the parts behind them."""

from __future__ import annotations

from collections.abc import Iterator

from attrs import frozen

from bridgewire.circuit.layout import Part
from bridgewire.diagnostics import DocPath
from bridgewire.model.kit import CableSpec, PathMap
from bridgewire.model.show import Run
from bridgewire.rules.context import Context


@frozen
class CableUse:
    """A run or an igniter's extra lead, and its cable."""

    path: DocPath
    """Of the key that names the cable."""
    subject: str
    full_id: str
    spec: CableSpec


def run_name(run: Run, arrow: str = "->") -> str:
    """What a person calls a run: its id, or its two ends.

    >>> run_name(Run("heron-1/1", "jetty-1", "c")), run_name(Run("a/1", "b", "c", id="long run"))
    ('heron-1/1 -> jetty-1', 'long run')
    """
    return run.id or f"{run.from_} {arrow} {run.to}"


def run_label(run: Run) -> str:
    """A run's name in a sentence.

    >>> run_label(Run("heron-1/1", "jetty-1", "c"))
    "run 'heron-1/1 -> jetty-1'"
    """
    return f"run {run_name(run)!r}"


def run_subjects(run: Run) -> tuple[str, ...]:
    """Ids that a finding about a run is about: its own, where it has one, and the part it feeds."""
    return tuple(s for s in (run.id, run.to) if s is not None)


def cable_uses(context: Context) -> Iterator[CableUse]:
    """Every run and every extra lead with its cable, in the order of the document."""
    cables = context.catalogue.cables
    for i, run in enumerate(context.show.run):
        spec = context.layout.run_cables[i]
        full = cables.full_id(run.cable) or run.cable
        yield CableUse(("run", i, "cable"), run.id or run.to, full, spec)
    for placed in context.layout.igniters:
        ref = placed.igniter.lead_cable
        spec_or_none = None if ref is None else cables.get(ref)
        if ref is None or spec_or_none is None:
            continue
        yield CableUse(
            (*placed.path, "lead_cable"), placed.id, cables.full_id(ref) or ref, spec_or_none
        )


def path_map_of(context: Context, part: Part) -> PathMap | None:
    """Path map of the box that feeds a part; None where no box does."""
    return None if part.output is None else context.box(part.output[0])[1].path


def ways_behind(context: Context) -> dict[str, set[int]]:
    """Ways that carry igniters at or behind each part."""
    behind: dict[str, set[int]] = {part: set() for part in context.layout.parts}
    for placed in context.layout.igniters:
        part: Part | None = placed.part
        while part is not None and placed.way not in behind[part.id]:
            behind[part.id].add(placed.way)
            part = part.parent
    return behind


def parts_behind(context: Context) -> dict[str, list[Part]]:
    """Parts behind each part, near and far."""
    behind: dict[str, list[Part]] = {part: [] for part in context.layout.parts}
    for part in context.layout.parts.values():
        above = part.parent
        while above is not None:
            behind[above.id].append(part)
            above = above.parent
    return behind
