"""What changes cost, by the prices of the kits and the weights of the show."""

from __future__ import annotations

from collections.abc import Iterable

from attrs import frozen

from bridgewire.circuit.catalogue import Catalogue
from bridgewire.model.show import Costs
from bridgewire.remedies.change import Effort, Item

_TABLES = {
    "cable": ("cables", "price_per_m"),
    "strip": ("strips", "price_each"),
    "splitter": ("splitters", "price_each"),
    "igniter_class": ("igniters", "price_each"),
    "box": ("boxes", "price_each"),
    "contact": ("contacts", "price_each"),
}


@frozen
class Cost:
    """What a change costs, by kind of cost, and weighed together.

    Attributes
    ----------
    money : float or None
        Of things to buy, in the show's currency; None where a price is not stated.
    metres : float
        Of cable laid more than before.
    outputs : int
        In use more than before.
    minutes : float or None
        Of rigging; None where a rigging time that it needs is not stated.
    shift_s : float
        By which cues move in time.
    total : float or None
        All of these in money, by the weights that the show states; None where a price, a
        rigging time or a weight that it needs is not stated.
    not_stated : tuple of str
        The keys that would have to be stated for a total.
    """

    money: float | None
    metres: float
    outputs: int
    minutes: float | None
    shift_s: float
    total: float | None
    not_stated: tuple[str, ...] = ()

    def vector(self) -> tuple[float, float, float, float, float]:
        """Money, metres, outputs, minutes and shift; what is not known counts as infinite."""
        infinite = float("inf")
        return (
            infinite if self.money is None else self.money,
            self.metres,
            float(self.outputs),
            infinite if self.minutes is None else self.minutes,
            self.shift_s,
        )


def cost_of(effort: Effort, costs: Costs, catalogue: Catalogue) -> Cost:
    """Price an effort.

    Parameters
    ----------
    effort : Effort
    costs : Costs
        Of the show.
    catalogue : Catalogue
        Of its kits, for prices.

    Examples
    --------
    >>> cost = cost_of(Effort(outputs=1), Costs(per_output=2.5), Catalogue({}))
    >>> cost.total
    2.5
    """
    money, unpriced = priced(effort.items, catalogue)
    absent = [f"{full_id} {_TABLES[table][1]}" for table, full_id in unpriced]
    minutes = effort.minutes
    slow: list[str] = []
    for key, count in (
        ("minutes_per_run", effort.runs),
        ("minutes_per_m", effort.metres),
        ("minutes_per_part", effort.parts),
        ("minutes_per_igniter", effort.igniters),
    ):
        stated = getattr(costs, key)
        if stated is not None:
            minutes += stated * count
        elif count:
            slow.append(f"costs.{key}")
    total = money
    weights: list[str] = []
    for key, amount in (
        ("per_m", effort.metres),
        ("per_output", effort.outputs),
        ("per_minute", minutes),
        ("per_shift_s", effort.shift_s),
    ):
        weight = getattr(costs, key)
        if weight is not None:
            total += weight * amount
        elif amount:
            weights.append(f"costs.{key}")
    return Cost(
        None if absent else money,
        effort.metres,
        effort.outputs,
        None if slow else minutes,
        effort.shift_s,
        None if absent or slow or weights else total,
        (*absent, *slow, *weights),
    )


def priced(
    items: Iterable[Item], catalogue: Catalogue
) -> tuple[float, dict[tuple[str, str], float]]:
    """Money for all items that have a price, and how many of each that has none.

    Parameters
    ----------
    items : iterable of Item
    catalogue : Catalogue

    Returns
    -------
    money : float
    unpriced : dict
        Pieces or metres by table and full id.
    """
    money = 0.0
    unpriced: dict[tuple[str, str], float] = {}
    for item in items:
        price = _price(item, catalogue)
        if price is not None:
            money += price * item.count
        else:
            key = item.table, item.full_id
            unpriced[key] = unpriced.get(key, 0.0) + item.count
    return money, {key: count for key, count in unpriced.items() if count}


def _price(item: Item, catalogue: Catalogue) -> float | None:
    table, key = _TABLES[item.table]
    entry = getattr(catalogue, table).get(item.full_id)
    price: float | None = getattr(entry, key, None)
    return price
