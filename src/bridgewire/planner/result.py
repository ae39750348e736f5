"""What the planner gives back."""

from __future__ import annotations

from typing import Any

from attrs import frozen

from bridgewire.planner.conflict import Conflict
from bridgewire.planner.free_bound import FreeBound
from bridgewire.planner.placing import Placed
from bridgewire.planner.prices import Prices
from bridgewire.planner.problem import Problem
from bridgewire.planner.verify import Miss, Verified


@frozen(eq=False)
class Plan:
    """The best plan found, and how good it is.

    Attributes
    ----------
    problem : Problem
    prices : Prices
    placed : tuple of Placed
        Every output with what it feeds.
    checked : Verified or None
        The plan as a show, checked; None where no plan was found.
    cost : float or None
    bound : float
        No plan of the family costs less; 0 where nothing is known.
    free : FreeBound
        No plan whose parts stand at box places and wanted positions costs less.
    exact : bool
        Whether nothing was shut out on suspicion: where `finished`, the plan is the best of its
        family.
    finished : bool
        Whether the search ended before its time.
    whole : bool
        Whether the whole family was looked at, not only one strip on each output.
    conflict : Conflict or None
        What conflicts, where no plan is possible.
    circuits, checked_circuits : int
        Circuits looked at; those that were checked themselves.
    rounds : int
    seconds, limit_s : float
    """

    problem: Problem
    prices: Prices
    placed: tuple[Placed, ...]
    checked: Verified | None
    cost: float | None
    bound: float
    free: FreeBound
    exact: bool
    finished: bool
    whole: bool
    conflict: Conflict | None
    circuits: int
    checked_circuits: int
    rounds: int
    seconds: float
    limit_s: float

    @property
    def misses(self) -> tuple[Miss, ...]:
        """What the plan misses; empty where it meets everything."""
        return () if self.checked is None else self.checked.misses

    @property
    def complete(self) -> bool:
        """Whether there is a plan that meets everything."""
        return self.checked is not None and not self.checked.misses

    @property
    def show(self) -> dict[str, Any] | None:
        """The plan as the plain data of a show."""
        return None if self.checked is None else self.checked.built.data

    @property
    def proven_bound(self) -> float:
        """The best bound that is proven for what it says."""
        return max(self.bound, self.free.total)

    @property
    def gap(self) -> float | None:
        """How much of the cost may be saved at most: 0 is the best; None without a plan."""
        if self.cost is None or not self.complete:
            return None
        if self.cost <= 0.0:
            return 0.0
        return max(0.0, (self.cost - self.proven_bound) / self.cost)
