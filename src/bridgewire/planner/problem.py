"""A plan site made ready: references resolved, what is wanted put into cues, routes known."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import cached_property

from attrs import define, field

from bridgewire.circuit.catalogue import Catalogue, nearest
from bridgewire.circuit.problems import Problems
from bridgewire.diagnostics import Finding
from bridgewire.model.plan_site import PlanSite
from bridgewire.physics.laws import Models
from bridgewire.planner.loads import WantedCue, cues_of
from bridgewire.planner.routes import Router
from bridgewire.planner.stock import Shelf, shelf_of


@define(eq=False, slots=False)
class Problem:
    """What the planner is to solve.

    Attributes
    ----------
    site : PlanSite
    catalogue : Catalogue
    models : Models
        That plugins provide.
    cues : tuple of WantedCue
    shelf : Shelf
    router : Router
    """

    site: PlanSite
    catalogue: Catalogue
    cues: tuple[WantedCue, ...]
    shelf: Shelf
    router: Router
    models: Models = field(factory=Models)

    @cached_property
    def positions(self) -> tuple[str, ...]:
        """Ids of the positions where something is wanted, in the site's order."""
        used = {p.position for c in self.cues for p in c.pieces}
        return tuple(p.id for p in self.site.position if p.id in used)

    @cached_property
    def at(self) -> Mapping[str, tuple[int, ...]]:
        """Indexes of the cues that light something at each position."""
        found: dict[str, list[int]] = {p: [] for p in self.positions}
        for i, cue in enumerate(self.cues):
            for piece in cue.pieces:
                found[piece.position].append(i)
        return {p: tuple(cues) for p, cues in found.items()}

    def run_m(self, distance_m: float) -> float:
        """Length of a run for a way on the ground: slack, both ends, whole steps, m."""
        plan = self.site.plan
        slack = 1.0 + (self.site.site.cable_slack_pct or 0.0) / 100.0
        steps = math.ceil((distance_m * slack + plan.end_allowance_m) / plan.length_step_m - 1e-9)
        return round(max(steps, 1) * plan.length_step_m, 6)


def problem_of(
    site: PlanSite, catalogue: Catalogue, models: Models | None = None
) -> tuple[Problem | None, tuple[Finding, ...]]:
    """Resolve a plan site.

    Parameters
    ----------
    site : PlanSite
    catalogue : Catalogue
        Of its kits.
    models : Models, optional
        That plugins provide.

    Returns
    -------
    problem : Problem or None
        None if there is anything wrong.
    problems : tuple of Finding
        Dangling references (DOC011), ids used twice (DOC010), contradictions (DOC019), missing
        lengths (DOC005), each with its path.
    """
    problems = Problems()
    where: dict[str, tuple[float, float]] = {}
    for i, position in enumerate(site.position):
        if position.id in where:
            problems.add("DOC010", ("position", i, "id"), f"there are two of {position.id!r}")
        where[position.id] = position.at_m
    for i, place in enumerate(site.box_places):
        _known(("box_places", i), place, where, problems)
    for i, item in enumerate(site.wanted):
        _known(("wanted", i, "position"), item.position, where, problems)
    for i, path in enumerate(site.path):
        for k, name in enumerate(path.through):
            _known(("path", i, "through", k), name, where, problems)
    cues = cues_of(site.wanted, catalogue, problems)
    shelf = shelf_of(site.stock, catalogue, problems)
    joint = site.plan.joint_contact
    if joint is not None and catalogue.contacts.get(joint) is None:
        problems.add(
            "DOC011",
            ("plan", "joint_contact"),
            f"no kit has a contact {joint!r}",
            expected="a contact of one of the site's kits",
            got=repr(joint),
            suggestion=catalogue.contacts.suggestion(joint),
        )
    if problems.found:
        return None, tuple(problems.found)
    router = Router(where, tuple(p.through for p in site.path))
    return Problem(site, catalogue, cues, shelf, router, models or Models()), ()


def _known(
    path: tuple[str | int, ...],
    name: str,
    where: Mapping[str, Sequence[float]],
    problems: Problems,
) -> None:
    if name not in where:
        problems.add(
            "DOC011",
            path,
            f"there is no position {name!r}",
            expected="the id of a [[position]]",
            got=repr(name),
            suggestion=nearest(name, where),
        )
