"""``bridgewire bench``: what trials on the bench say. Each command is a module ``bench_<name>``."""

from __future__ import annotations

import click

from bridgewire.cli.lazy import LazyGroup

COMMANDS = {
    "check": "Read a bench record: is anything wrong, missing or contradictory?",
    "fit": "Trials to a kit profile: what your own kit and igniters are.",
    "next": "Which trial next? What each tells, for each igniter spent.",
    "predict": "A show before and after what trials taught: what changes, and why.",
    "sensitivity": "At which level do igniters light? Go/no-go trials to statistics.",
}
"""Name of each command (``-`` is ``_`` in its module), with its short help."""


@click.group("bench", cls=LazyGroup, table=COMMANDS, module="bridgewire.cli.bench_")
def command() -> None:
    """Learn from trials on the bench about your own igniters.

    It only computes with what was written down; it fires nothing. Trials are made by people who
    may do so, in a place made for it, with nobody near.
    """
