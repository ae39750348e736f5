"""How a cue stands, and what a remedy costs, in a few words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bridgewire.report.figures import number
from bridgewire.report.plain_text import count, visible
from bridgewire.units import seconds

if TYPE_CHECKING:
    from bridgewire.remedies.cost import Cost
    from bridgewire.remedies.judge import State


def state_words(state: State) -> str:
    """How a cue stands: ``sure, margin 1.26, lit after 0.5 s at the latest``."""
    if state.left_out:
        return "left out"
    verdict = "lights nothing" if state.verdict is None else state.verdict.value
    words = [verdict]
    if state.margin is not None:
        words.append(f"margin {state.margin:.2f}")
    if state.latest_s is not None:
        words.append(f"lit after {seconds(state.latest_s)} at the latest")
    return ", ".join(words)


def margin_words(state: State) -> str:
    """The margin, or a question mark."""
    return "?" if state.margin is None else f"{state.margin:.2f}"


def cost_words(cost: Cost, currency: str = "") -> str:
    """Every kind of cost that there is, in words.

    >>> from bridgewire.remedies.cost import Cost
    >>> cost_words(Cost(4.5, 12.0, 1, None, 0.0, None), "EUR")
    '4.50 EUR to buy, 12 m more cable, 1 output more, rigging time not stated'
    """
    unit = f" {visible(currency)}" if currency else ""
    words = []
    if cost.total is not None and abs(cost.total) >= 0.005:
        verb = "costs" if cost.total > 0 else "saves"
        words.append(f"{verb} {abs(cost.total):.2f}{unit} in all")
    if cost.money is None:
        words.append("price not stated")
    elif abs(cost.money) >= 0.005 and cost.money != cost.total:
        words.append(f"{abs(cost.money):.2f}{unit} {'' if cost.money > 0 else 'less '}to buy")
    if abs(cost.metres) > 1e-9:
        words.append(f"{number(abs(cost.metres))} m {'more' if cost.metres > 0 else 'less'} cable")
    if cost.outputs:
        less = "more" if cost.outputs > 0 else "less"
        words.append(f"{count(abs(cost.outputs), 'output')} {less}")
    if cost.minutes is None:
        words.append("rigging time not stated")
    elif abs(cost.minutes) >= 0.05:
        less = "" if cost.minutes > 0 else " less"
        words.append(f"{number(round(abs(cost.minutes), 1))} min{less} of rigging")
    if cost.shift_s:
        words.append(f"moved by {seconds(cost.shift_s)} in all")
    if words:
        return ", ".join(words)
    return "costs nothing" if cost.total is not None else "costs nothing that the show states"
