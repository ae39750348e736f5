"""What parts of a plan cost, by the prices of the kits and the weights of the site.

What is not stated counts nothing, and is named. Where a site states no costs and its kits no
prices, metres of cable, outputs and parts count by fixed weights.
"""

from __future__ import annotations

from typing import Any

from attrs import define, evolve, field

from bridgewire.model.show import Costs
from bridgewire.planner.circuits import Lay
from bridgewire.planner.problem import Problem
from bridgewire.remedies.change import Effort, Item
from bridgewire.remedies.cost import Cost, cost_of

DEFAULT = Costs(per_m=1.0, per_output=5.0, per_minute=1.0, minutes_per_part=10.0)
"""Weights where nothing is stated: a metre 1, an output 5, a box, strip or splitter 10."""
STEPS = 100
"""The solver counts costs in whole hundredths."""


@define(eq=False)
class Prices:
    """Prices the parts of a plan.

    Attributes
    ----------
    costs : Costs
        The weights that are used.
    stated : bool
        Whether the site or its kits state any; else `costs` is `DEFAULT`.
    not_stated : set of str
        Keys that something in the plan needs and nobody states; filled in as prices are asked.
    """

    problem: Problem
    costs: Costs
    stated: bool
    not_stated: set[str] = field(factory=set)

    @classmethod
    def of(cls, problem: Problem) -> Prices:
        """The prices of a site."""
        costs = problem.site.costs
        weighed = evolve(costs, currency="") != Costs() or _priced(problem)
        return cls(problem, costs if weighed else DEFAULT, weighed)

    def run(self, lay: Lay) -> Effort:
        """A run of cable."""
        items = [Item("cable", lay.cable, lay.length_m)]
        if lay.joints and self.problem.site.plan.joint_contact is not None:
            contact = self.problem.catalogue.contacts.full_id(self.problem.site.plan.joint_contact)
            conductors = self.problem.shelf.cable(lay.cable).spec.conductors
            items.append(Item("contact", contact or "", lay.joints * conductors))
        return Effort(tuple(items), metres=lay.length_m, runs=1)

    def part(self, table: str, full_id: str) -> Effort:
        """A box, strip or splitter."""
        return Effort((Item(table, full_id, 1),), parts=1)

    def output(self) -> Effort:
        """An output in use."""
        return Effort(outputs=1)

    def cost(self, effort: Effort) -> Cost:
        """Price an effort; what is not stated is in the answer and counts nothing in its total."""
        exact = cost_of(effort, self.costs, self.problem.catalogue)
        if exact.total is not None:
            return exact
        self.not_stated.update(exact.not_stated)
        lacking = set(exact.not_stated)
        known = tuple(
            i for i in effort.items if not any(k.startswith(f"{i.full_id} ") for k in lacking)
        )
        filled: dict[str, Any] = {
            k.removeprefix("costs."): 0.0 for k in lacking if k.startswith("costs.")
        }
        weighed = cost_of(
            evolve(effort, items=known), evolve(self.costs, **filled), self.problem.catalogue
        )
        return evolve(exact, total=weighed.total)

    def whole(self, effort: Effort) -> int:
        """The total in the solver's steps, rounded to the nearest."""
        total = self.cost(effort).total
        assert total is not None
        return round(total * STEPS)


def _priced(problem: Problem) -> bool:
    shelf = problem.shelf
    prices = [
        *(b.kind.price_each for b in shelf.boxes),
        *(s.price_each for _, s, _ in shelf.strips),
        *(s.price_each for _, s, _ in shelf.splitters),
        *(c.spec.price_per_m for c in shelf.cables),
    ]
    return any(p is not None for p in prices)
