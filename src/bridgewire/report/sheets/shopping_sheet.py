"""The shopping list as a sheet."""

from __future__ import annotations

import math
from collections.abc import Mapping

from bridgewire.circuit.layout import Layout
from bridgewire.report.figures import number
from bridgewire.report.sheets.contents import Column, Grid, Section, Sheet
from bridgewire.report.sheets.shopping import ShoppingRow, shopping_list

NAME = "shopping"

_IGNITERS = (
    Column("class", 2.5),
    Column("what it is", 3.0),
    Column("batch", 1.3, optional=True),
    Column("needed", 1.2, right=True),
    Column("duds, %", 1.2, right=True),
    Column("spares", 1.1, right=True),
    Column("take", 1.0, right=True),
    Column("enough good, %", 1.2, right=True),
    Column("packed", 1.2, write=True),
)
_OTHERS = (
    Column("kind", 1.4),
    Column("item", 2.8),
    Column("what it is", 3.8),
    Column("needed", 1.2, right=True),
    Column("note", 2.2),
    Column("packed", 1.2, write=True),
)


def shopping_sheet(layout: Layout, *, dud_rates: Mapping[str, float], confidence: float) -> Sheet:
    """Make the shopping list of a show.

    Parameters
    ----------
    layout : Layout
    dud_rates : mapping of str to float
        As for `bridgewire.report.sheets.shopping.shopping_list`.
    confidence : float
    """
    rows = shopping_list(layout, dud_rates=dud_rates, confidence=confidence)
    igniters = [r for r in rows if r.group == "igniter"]
    others = [r for r in rows if r.group != "igniter"]
    lines = (
        f"Spares: the fewest with which, with a probability of at least {_percent(confidence)}, "
        "enough are good, for each class and batch by itself. Duds are taken to come singly and by "
        "chance; a damp or wrong batch is not in it.",
    )
    alerts: tuple[str, ...] = ()
    if any(r.spares is None for r in igniters):
        alerts = (
            "SPARES NOT COMPUTED where the share of duds is not known: state it with --dud-rate "
            "CLASS=SHARE, from your own records. It is never taken to be nought.",
        )
    return Sheet(
        NAME,
        "Shopping list",
        lines,
        (
            Section("Igniters", grids=(Grid(_IGNITERS, tuple(_igniter(r) for r in igniters)),)),
            Section(
                "Cables, parts and connectors",
                ("Cable is the total of the cut list. Connectors are the ends of runs.",),
                (Grid(_OTHERS, tuple(_other(r) for r in others)),),
            ),
        ),
        {NAME: (ShoppingRow, rows)},
        alerts=alerts,
    )


def _percent(share: float) -> str:
    """A probability near 1, never rounded up to 100 %."""
    text = f"{100.0 * share:.4g}"
    return f"{text} %" if text != "100" or share == 1.0 else "above 99.99 %"


def _reached(chance: float) -> str:
    """A probability in percent for a column, never rounded up.

    >>> _reached(0.99849), _reached(0.99), _reached(0.9999999)
    ('99.84', '99.00', '99.99')
    """
    return f"{math.floor(1e4 * chance + 1e-9) / 100.0:.2f}"


def _igniter(row: ShoppingRow) -> tuple[str, ...]:
    known = row.spares is not None
    return (
        row.item,
        row.title,
        row.batch,
        f"{row.needed:.0f}",
        "not known" if row.dud_rate is None else number(100.0 * row.dud_rate),
        f"{row.spares}" if known else "not known",
        f"{row.needed + (row.spares or 0):.0f}" if known else f"over {row.needed:.0f}",
        "" if row.chance is None else _reached(row.chance),
    )


def _other(row: ShoppingRow) -> tuple[str, ...]:
    amount = f"{row.needed:.1f} m" if row.unit == "m" else f"{row.needed:.0f}"
    return (row.group, row.item, row.title, amount, row.note)
