"""The cut list and drum plan as a sheet."""

from __future__ import annotations

from attrs import frozen

from bridgewire.circuit.layout import Layout
from bridgewire.report.figures import number
from bridgewire.report.plain_text import count
from bridgewire.report.sheets.contents import Column, Grid, Section, Sheet
from bridgewire.report.sheets.cut_list import Piece, cut_list, step_m
from bridgewire.report.sheets.drums import CablePlan, DrumCut, cut_findings, plan_drums
from bridgewire.report.sheets.names import metres

NAME = "cut-list"


@frozen
class CutRow:
    """One piece as a row of a CSV file."""

    cable: str
    drum: str
    """Empty where the piece cannot be cut or no drums are planned."""
    piece: str
    use: str
    from_: str
    to: str
    longest_m: float | None
    cut_m: float | None


@frozen
class DrumRow:
    """One drum as a row of a CSV file."""

    cable: str
    drum: str
    length_m: float
    pieces: int
    cut_m: float
    left_m: float
    keep: bool


def cut_sheet(layout: Layout, *, time_limit_s: float = 20.0) -> Sheet:
    """Make the cut list and drum plan of a show.

    Parameters
    ----------
    layout : Layout
    time_limit_s : float
        For the search, for each cable, s.
    """
    plans = plan_drums(layout, cut_list(layout), time_limit_s=time_limit_s)
    totals = Section(
        "All cable", grids=(_totals(plans),) if plans else (), lines=() if plans else (_NOTHING,)
    )
    sections = [totals, *(_section(p) for p in plans)]
    return Sheet(
        NAME,
        "Cut list and drum plan",
        _how(layout),
        tuple(sections),
        {
            NAME: (CutRow, [row for p in plans for row in _cut_rows(p)]),
            f"{NAME}-drums": (DrumRow, [row for p in plans for row in _drum_rows(p)]),
        },
        findings=cut_findings(plans),
    )


_NOTHING = "The show has no runs and no extra leads."


def _how(layout: Layout) -> tuple[str, ...]:
    cutting = layout.show.cutting
    allowance = (
        f"plus an allowance of {number(cutting.allowance_m)} m"
        if cutting.allowance_m is not None
        else "without any allowance for ends, as the show states none (cutting.allowance_m)"
    )
    lines = [
        f"A piece is cut to the upper end of its length band, {allowance}, rounded up to "
        f"{number(step_m(layout))} m. Cables side by side are pieces of their own."
    ]
    if layout.show.drum:
        keep = cutting.keep_from_m
        lines.append(
            "The plan opens the fewest drums that do, then as little cable as can be, "
            + (
                "then leaves one piece as long as can be."
                if keep is None
                else f"then wastes least (left-overs below {number(keep)} m are waste), then "
                "leaves one piece as long as can be."
            )
        )
    else:
        lines.append(
            "The show lists no drums, so this plans with drums as long as the longest single "
            "piece that the kit states, as many as it takes; where the kit states none, only the "
            "total is given."
        )
    lines.append("Label both ends of a piece before the next one is cut.")
    return tuple(lines)


def _totals(plans: tuple[CablePlan, ...]) -> Grid:
    rows = [
        (
            p.cable,
            p.title,
            str(len(p.pieces)),
            metres(p.needed_m),
            "none listed" if p.have_m is None else metres(p.have_m),
            str(len(p.drums)) if p.basis != "none" else "not known",
            metres(p.missing_m) if p.missing_m else "",
            metres(p.waste_m),
            metres(p.kept_m),
        )
        for p in plans
    ]
    columns = (
        Column("cable", 3.4),
        Column("what it is", 3.6),
        Column("pieces", 1.25, right=True),
        Column("needed, m", 1.55, right=True),
        Column("on drums, m", 1.35, right=True),
        Column("drums opened", 1.45, right=True),
        Column("missing, m", 1.5, right=True),
        Column("waste, m", 1.25, right=True),
        Column("left over, m", 1.1, right=True),
    )
    return Grid(columns, tuple(rows))


_PIECE_COLUMNS = (
    Column("piece", 3.2),
    Column("from", 2.0),
    Column("to", 2.0),
    Column("longest, m", 1.4, right=True),
    Column("cut to, m", 1.3, right=True),
    Column("cut", 0.8, write=True),
    Column("labelled", 1.2, write=True),
)


def _piece_row(piece: Piece) -> tuple[str, ...]:
    name = piece.name if piece.use == "run" else f"lead of {piece.name}"
    longest = "not known" if piece.longest_m is None else metres(piece.longest_m, 2)
    return (name, piece.start, piece.end, longest, metres(piece.cut_m))


def _section(plan: CablePlan) -> Section:
    lines: list[str] = [plan.title] if plan.title else []
    alerts: tuple[str, ...] = ()
    grids: list[Grid] = []
    if plan.uncut:
        alerts = (
            f"TOO LITTLE CABLE: {metres(plan.missing_m)} m are missing, "
            f"{count(len(plan.uncut), 'piece')} cannot be cut; see the end of this part.",
        )
    if plan.basis == "none":
        lines.append("No drum length is known, so only the total is given.")
        grids.append(Grid(_PIECE_COLUMNS, tuple(_piece_row(p) for p in plan.pieces)))
    elif plan.drums:
        lines.append(_proof(plan))
        pieces: list[Piece] = []
        heads: list[tuple[int, str]] = []
        for drum in plan.drums:
            heads.append((len(pieces), _drum_head(drum)))
            pieces += drum.pieces
        rows = tuple(_piece_row(p) for p in pieces)
        grids.append(
            Grid(_PIECE_COLUMNS, rows, f"Pieces of {plan.cable} by drum", heads=tuple(heads))
        )
    for title, group in (("Cannot be cut", plan.uncut), ("Length not known", plan.unknown)):
        if group and plan.basis != "none":
            grids.append(Grid(_PIECE_COLUMNS, tuple(_piece_row(p) for p in group), title))
    return Section(plan.cable, tuple(lines), tuple(grids), alerts)


def _proof(plan: CablePlan) -> str:
    opened = count(len(plan.drums), "drum")
    if not plan.proven:
        return (
            f"{opened} opened. The search was cut short: no plan needs fewer than "
            f"{plan.least_drums}, but this one may not be the best."
        )
    text = f"{opened} opened; proven to be the fewest."
    if not plan.tidy:
        text += (
            " Whether as few shorter drums would do, or leave better pieces, was not settled in "
            "time."
        )
    return text


def _drum_head(drum: DrumCut) -> str:
    left = metres(drum.left_m)
    fate = f"{left} m left" if drum.keep else f"{left} m waste"
    if not round(drum.left_m, 3):
        fate = "nothing left"
    return f"{drum.name}: {metres(drum.length_m)} m, {fate}"


def _cut_rows(plan: CablePlan) -> list[CutRow]:
    drum_of = [(d.name, p) for d in plan.drums for p in d.pieces]
    placed = {id(p) for _, p in drum_of}
    drum_of += [("", p) for p in plan.pieces if id(p) not in placed]
    return [
        CutRow(plan.cable, name, p.name, p.use, p.start, p.end, p.longest_m, p.cut_m)
        for name, p in drum_of
    ]


def _drum_rows(plan: CablePlan) -> list[DrumRow]:
    return [
        DrumRow(
            plan.cable,
            d.name,
            d.length_m,
            len(d.pieces),
            sum(p.cut_m or 0.0 for p in d.pieces),
            d.left_m,
            d.keep,
        )
        for d in plan.drums
    ]
