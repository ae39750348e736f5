"""Which piece comes from which drum, cable by cable."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable
from typing import Literal

from attrs import frozen

from bridgewire.circuit.layout import Layout
from bridgewire.diagnostics import Finding, Severity
from bridgewire.report.figures import number
from bridgewire.report.plain_text import count
from bridgewire.report.sheets.cut_list import Piece, step_m
from bridgewire.report.sheets.cutting_plan import Demand, Plan, Stock
from bridgewire.report.sheets.cutting_stock import plan_cuts

Basis = Literal["listed", "kit", "none"]
"""Where the drums come from: the show's list; drums as long as the kit says, as many as it takes;
or nowhere."""

KIT_DRUM = "drum"
"""What a drum of the kit's length is called."""


@frozen
class DrumCut:
    """A drum that is opened, and the pieces cut from it, longest first."""

    name: str
    length_m: float
    pieces: tuple[Piece, ...]
    left_m: float
    keep: bool
    """Whether what is left is long enough to be kept; else it is waste."""


@frozen
class CablePlan:
    """How one kind of cable is cut."""

    cable: str
    title: str
    basis: Basis
    pieces: tuple[Piece, ...]
    """All, whether they can be cut or not."""
    drums: tuple[DrumCut, ...]
    uncut: tuple[Piece, ...]
    """For which the drums have no cable."""
    unknown: tuple[Piece, ...]
    """Whose length is not known."""
    have_m: float | None
    """On all listed drums; None where none are listed."""
    proven: bool
    tidy: bool
    least_drums: int

    @property
    def needed_m(self) -> float:
        """Total of all pieces whose length is known, m."""
        return sum(p.cut_m for p in self.pieces if p.cut_m is not None)

    @property
    def missing_m(self) -> float:
        """Total of the pieces that cannot be cut, m."""
        return sum(p.cut_m for p in self.uncut if p.cut_m is not None)

    @property
    def waste_m(self) -> float:
        """Total of left-overs that are too short to be kept, m."""
        return sum(d.left_m for d in self.drums if not d.keep)

    @property
    def kept_m(self) -> float:
        """Total of left-overs that are kept, m."""
        return sum(d.left_m for d in self.drums if d.keep)


def plan_drums(
    layout: Layout, pieces: Iterable[Piece], *, time_limit_s: float = 20.0
) -> tuple[CablePlan, ...]:
    """Plan the cutting of every cable that a show needs.

    Parameters
    ----------
    layout : Layout
    pieces : iterable of Piece
        See `bridgewire.report.sheets.cut_list.cut_list`.
    time_limit_s : float
        For the search, for each cable, s.

    Raises
    ------
    SolverMissingError
        If there are drums to plan for and scipy is not installed.
    """
    by_cable: dict[str, list[Piece]] = defaultdict(list)
    for piece in pieces:
        by_cable[piece.cable].append(piece)
    return tuple(
        _cable_plan(layout, cable, group, time_limit_s) for cable, group in by_cable.items()
    )


def _cable_plan(layout: Layout, cable: str, pieces: list[Piece], time_limit_s: float) -> CablePlan:
    spec = layout.catalogue.cables.get(cable)
    step = step_m(layout)
    known = [p for p in pieces if p.cut_m is not None]
    unknown = tuple(p for p in pieces if p.cut_m is None)
    stocks, basis, have = _stocks(layout, cable, len(known), step)
    title = "" if spec is None else spec.title
    if basis == "none":
        return CablePlan(cable, title, basis, tuple(pieces), (), (), unknown, have, True, True, 0)
    waiting: dict[tuple[int, str | None], list[Piece]] = defaultdict(list)
    for piece in known:
        assert piece.cut_m is not None
        waiting[(round(piece.cut_m / step), piece.drum)].append(piece)
    demands = [Demand(steps, len(group), drum) for (steps, drum), group in waiting.items()]
    keep_from = math.ceil((layout.show.cutting.keep_from_m or 0.0) / step - 1e-6)
    plan = plan_cuts(stocks, demands, keep_from=keep_from, time_limit_s=time_limit_s)
    drums = _drum_cuts(plan, stocks, waiting, step, keep_from)
    uncut = tuple(waiting[(d.length, d.pinned)].pop(0) for d in plan.uncut for _ in range(d.count))
    return CablePlan(
        cable,
        title,
        basis,
        tuple(pieces),
        drums,
        uncut,
        unknown,
        have,
        plan.proven,
        plan.tidy,
        plan.least_drums,
    )


def _stocks(
    layout: Layout, cable: str, pieces: int, step: float
) -> tuple[list[Stock], Basis, float | None]:
    """Drums to cut from, in whole steps."""
    if layout.show.drum:
        mine = [d for d in layout.show.drum if layout.catalogue.cables.full_id(d.cable) == cable]
        stocks = [Stock(d.id, _whole_steps(d.length_m, step), d.count) for d in mine]
        have = sum(d.length_m * d.count for d in mine)
        return [s for s in stocks if s.length], "listed", have
    spec = layout.catalogue.cables.get(cable)
    if spec is None or spec.max_length_m is None or not pieces:
        return [], "none", None
    steps = _whole_steps(spec.max_length_m, step)
    return ([Stock(KIT_DRUM, steps, pieces)], "kit", None) if steps else ([], "none", None)


def _whole_steps(length_m: float, step: float) -> int:
    return math.floor(length_m / step + 1e-6)


def _drum_cuts(
    plan: Plan,
    stocks: list[Stock],
    waiting: dict[tuple[int, str | None], list[Piece]],
    step: float,
    keep_from: int,
) -> tuple[DrumCut, ...]:
    by_id = {s.id: s for s in stocks}
    order = {s.id: i for i, s in enumerate(stocks)}
    many = Counter(cut.stock for cut in plan.cuts)
    opened: Counter[str] = Counter()
    out: list[DrumCut] = []
    for cut in sorted(plan.cuts, key=lambda c: order[c.stock]):
        stock = by_id[cut.stock]
        opened[cut.stock] += 1
        name = cut.stock
        if many[cut.stock] > 1:
            name += f" no. {opened[cut.stock]}"
        pieces = tuple(waiting[(p.length, p.pinned)].pop(0) for p in cut.pieces)
        out.append(
            DrumCut(name, stock.length * step, pieces, cut.left * step, cut.left >= keep_from)
        )
    return tuple(out)


def cut_findings(plans: Iterable[CablePlan]) -> tuple[Finding, ...]:
    """What is wrong with the cutting plans: cable that is missing (CUT001), a plan that may not be
    the best (CUT002), pieces whose length nobody knows (CUT003).
    """
    found: list[Finding] = []
    for plan in plans:
        if plan.uncut:
            found.append(_too_little(plan))
        if not plan.proven:
            found.append(
                Finding(
                    "CUT002",
                    f"the cutting plan of {plan.cable} opens {count(len(plan.drums), 'drum')}; "
                    f"fewer than {plan.least_drums} cannot do, but the search ended before it was "
                    "known whether any number between would",
                    Severity.INFO,
                    measured=float(len(plan.drums)),
                    limit=float(plan.least_drums),
                    remedy="cut by this plan, or give the search more time with --seconds",
                    subjects=(plan.cable,),
                )
            )
        found += [
            Finding(
                "CUT003",
                f"the length of {piece.name} is not known, so it is in no cutting plan",
                Severity.WARNING,
                piece.place,
                remedy="give it a length_m, or coordinates and site.cable_slack_pct",
                subjects=(piece.name,),
            )
            for piece in plan.unknown
        ]
    return tuple(found)


def _too_little(plan: CablePlan) -> Finding:
    names = ", ".join(f"{p.name} ({number(p.cut_m or 0.0)} m)" for p in plan.uncut[:4])
    more = f" and {len(plan.uncut) - 4} more" if len(plan.uncut) > 4 else ""
    if plan.basis == "kit":
        why = "no single piece in the kit is so long"
        remedy = "join two pieces and state the joint, or get longer cable"
    elif plan.have_m == 0.0:
        why = "no drum of it is listed"
        remedy = "list the drums of this cable in [[drum]]"
    else:
        why = f"the drums listed hold {plan.have_m or 0.0:.1f} m"
        remedy = "list more drums, pin fewer runs to one drum, or use other cable"
    return Finding(
        "CUT001",
        f"{plan.missing_m:.1f} m of {plan.cable} are missing of the {plan.needed_m:.1f} m needed: "
        f"{why}, and {count(len(plan.uncut), 'piece')} cannot be cut: {names}{more}",
        Severity.ERROR,
        plan.uncut[0].place,
        measured=plan.have_m if plan.basis == "listed" else None,
        limit=plan.needed_m if plan.basis == "listed" else None,
        unit="m" if plan.basis == "listed" else "",
        remedy=remedy,
        subjects=tuple(p.name for p in plan.uncut),
    )
