"""The pieces of cable that a show needs: runs, parallel ones one by one, and extra leads."""

from __future__ import annotations

import math

from attrs import frozen

from bridgewire.circuit.layout import Layout
from bridgewire.diagnostics import DocPath
from bridgewire.model.show import Igniter
from bridgewire.rules.wiring import run_name

STEP_M = 0.1
"""Pieces are rounded up to a multiple of this where the show does not say, m."""


@frozen
class Piece:
    """One piece of cable to cut.

    Attributes
    ----------
    name : str
        Of the run (with a number where several lie side by side) or of the igniter.
    use : str
        ``run`` or ``lead``.
    cable : str
        Full id of the cable.
    start, end : str
        What it connects.
    longest_m : float or None
        Upper end of its length band; None where the length is not known.
    cut_m : float or None
        What to cut: `longest_m` and the allowance, rounded up.
    drum : str or None
        The drum that the show cuts it from; any where None.
    place : DocPath
        Where it stands in the show.
    """

    name: str
    use: str
    cable: str
    start: str
    end: str
    longest_m: float | None
    cut_m: float | None
    drum: str | None
    place: DocPath


def cut_list(layout: Layout) -> tuple[Piece, ...]:
    """List the pieces of cable of a show, runs first, in the show's order.

    A piece is cut to the upper end of its length band plus the show's allowance, rounded up to a
    multiple of the show's step.

    Parameters
    ----------
    layout : Layout
    """
    pieces: list[Piece] = []
    cables = layout.catalogue.cables
    for i, run in enumerate(layout.show.run):
        length = layout.run_lengths[i]
        longest = None if length is None else length.max
        drum = run.drum if layout.show.drum else None
        for n in range(run.parallel):
            name = run_name(run)
            if run.parallel > 1:
                name += f" ({n + 1} of {run.parallel})"
            pieces.append(
                Piece(
                    name,
                    "run",
                    cables.full_id(run.cable) or run.cable,
                    run.from_,
                    run.to,
                    longest,
                    to_cut_m(layout, longest),
                    drum,
                    ("run", i),
                )
            )
    for placed in layout.igniters:
        extra, ref = placed.igniter.extra_lead_m, placed.igniter.lead_cable
        if extra is None or ref is None:
            continue
        leads = leads_of(placed.igniter)
        for n in range(leads):
            name = placed.id + (f" ({n + 1} of {leads})" if leads > 1 else "")
            pieces.append(
                Piece(
                    name,
                    "lead",
                    cables.full_id(ref) or ref,
                    placed.igniter.at,
                    placed.id,
                    extra.max,
                    to_cut_m(layout, extra.max),
                    None,
                    ("igniter", placed.index),
                )
            )
    return tuple(pieces)


def leads_of(igniter: Igniter) -> int:
    """How many extra leads an igniter entry has: one for each of its strings."""
    alone = igniter.string is None and igniter.connection == "parallel"
    return igniter.count if alone else 1


def step_m(layout: Layout) -> float:
    """What lengths are multiples of, m."""
    stated = layout.show.cutting.step_m
    return STEP_M if stated is None else stated


def to_cut_m(layout: Layout, longest_m: float | None) -> float | None:
    """Length to cut for a piece that must be so long, m; None where it is not known."""
    if longest_m is None:
        return None
    return steps_to_cut(layout, longest_m) * step_m(layout)


def steps_to_cut(layout: Layout, longest_m: float) -> int:
    """Length to cut in whole steps, at least one."""
    full = longest_m + (layout.show.cutting.allowance_m or 0.0)
    return max(1, math.ceil(full / step_m(layout) - 1e-6))
