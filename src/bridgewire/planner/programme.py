"""The integer programme with its variables, as everything that limits it sees it."""

from __future__ import annotations

from typing import Any

from attrs import define, field

from bridgewire.planner.choice import Choice
from bridgewire.planner.demand_names import Demand
from bridgewire.planner.feeds import Feed, FeedClass, Take
from bridgewire.planner.problem import Problem
from bridgewire.planner.solver import cp_model


def _new_model() -> Any:
    return cp_model().CpModel()


@define(eq=False)
class Programme:
    """Variables that stand for a design; plain numbers where something stays as it is.

    Attributes
    ----------
    problem : Problem
    choice : Choice
    relaxed : frozenset of Demand
        What does not count.
    model : CpModel
        Of OR-Tools.
    uses : dict
        By feed, on how many outputs it is.
    used : dict
        By class of feeds, on how many outputs one of its feeds is.
    ways : dict
        By class of feeds and take, how many ways.
    strips : dict
        By class of feeds, position and full id, how many strips.
    boxes : dict
        By box (index in the stock) and place, how many boxes.
    """

    problem: Problem
    choice: Choice
    relaxed: frozenset[Demand]
    model: Any = field(init=False, factory=_new_model)
    uses: dict[Feed, Any] = field(init=False, factory=dict)
    used: dict[FeedClass, Any] = field(init=False, factory=dict)
    ways: dict[tuple[FeedClass, Take], Any] = field(init=False, factory=dict)
    strips: dict[tuple[FeedClass, str, str], Any] = field(init=False, factory=dict)
    boxes: dict[tuple[int, str], Any] = field(init=False, factory=dict)

    def room(self, box: int) -> int:
        """Ways of an output that a plan may use, of a box by its index in the stock."""
        kind = self.problem.shelf.boxes[box].kind
        return max(kind.ways - self.problem.site.plan.spare_ways, 0)
