"""What stands under a plan: the key, and what found no room on it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

from bridgewire.circuit.layout import Layout
from bridgewire.report.wiring.drawing import LETTER, figure, text, use, width_of
from bridgewire.report.wiring.plan_rows import Laid
from bridgewire.report.wiring.runs import CableStyle, short_id
from bridgewire.report.wiring.site import Place, Site
from bridgewire.report.wiring.symbols import VERDICT_SYMBOL
from bridgewire.report.wiring.tables import ROW, SIZE
from bridgewire.timeline.outcomes import Verdict

_Entry: TypeAlias = tuple[str, str]
"""A mark (the name of a symbol, or SVG with two places for coordinates) and its words."""


def plan_key(
    layout: Layout,
    site: Site,
    styles: dict[str, CableStyle],
    verdicts: bool,
    top: float,
    width: float,
) -> tuple[list[str], float]:
    """What lines and marks mean, verdicts if they are drawn; only what is in use."""
    cables: list[_Entry] = []
    drawn = {b.cable for b in (*site.bundles, *site.indoors)}
    for full, style in styles.items():
        if full in drawn:
            sample = f'<path class="bw-w" d="M{{0}} {{1}}h36" {style.attributes}/>'
            cable = layout.catalogue.cables.get(full)
            title = cable.title if cable is not None else ""
            cables.append((sample, f"{short_id(full)}: {title}" if title else full))
    nouns = {t.noun for p in site.places for t in p.things}
    marks: list[_Entry] = [(n, n) for n in ("box", "splitter", "strip") if n in nouns]
    if any(p.positions for p in site.places):
        marks.append(("position", "position"))
    found = {t.verdict for p in site.places for t in p.things}
    marks += [
        (VERDICT_SYMBOL[v], f"{v.value} (worst igniter of the strip)")
        for v in Verdict
        if verdicts and v in found
    ]
    lines, y = _key_columns(cables, top, width)
    more, y = _key_columns(marks, y, width)
    return ['<g font-size="11">', *lines, *more, "</g>"], y + 4.0


def _key_columns(entries: Sequence[_Entry], top: float, width: float) -> tuple[list[str], float]:
    """Marks with their words in as many columns as have room for the longest."""
    if not entries:
        return [], top
    room = width - 20.0
    widest = max(44.0 + width_of(words, SIZE) + 16.0 for _, words in entries)
    across = min(max(int(room / widest), 1), len(entries))
    most = int((room / across - 50.0) / (LETTER * SIZE))
    out: list[str] = []
    for n, (mark, words) in enumerate(entries):
        x, y = 10.0 + (n % across) * room / across, top + (n // across + 1) * ROW
        if mark.startswith("<"):
            out.append(mark.format(figure(x), figure(y - 4.0)))
        else:
            out.append(use(mark, x + 18.0, y - 4.0))
        out.append(text(x + 44.0, y, words, most))
    return out, top + -(-len(entries) // across) * ROW


def told_below(site: Site, laid: Laid) -> list[tuple[str, Sequence[str]]]:
    """What stands on the plan without its name or length."""
    names = [f"[{k + 1}] {_all_names(site.places[n])}" for k, n in enumerate(laid.numbered)]
    lengths = [
        f"{', '.join(site.bundles[n].names)}: {site.bundles[n].length}" for n in laid.without_length
    ]
    within = [f"{', '.join(b.names)}: {b.length}" for b in site.indoors]
    return [
        ("Numbers on the plan", names),
        ("Lengths not written on the plan", lengths),
        ("Runs that stay at one place", within),
    ]


def _all_names(place: Place) -> str:
    things: list[str] = []
    for noun in ("box", "splitter", "strip"):
        ids = [t.id for t in place.things if t.noun == noun]
        plural = "boxes" if noun == "box" else f"{noun}s"
        if ids:
            things.append(f"{noun if len(ids) == 1 else plural} {', '.join(ids)}")
    return ": ".join(part for part in (", ".join(place.positions), "; ".join(things)) if part)


def missing_lists(site: Site) -> list[tuple[str, Sequence[str]]]:
    return [
        ("Not placed (no coordinates)", [f"{t.noun} {t.id}" for t in site.loose]),
        (
            "Runs not placed",
            [f"{name}: {short_id(cable)}, {length}" for name, cable, length in site.loose_runs],
        ),
    ]
