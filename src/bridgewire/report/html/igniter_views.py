"""Igniters as the page shows them: a row under each cue, and what the table does not tell."""

from __future__ import annotations

import math

from attrs import frozen
from markupsafe import Markup

from bridgewire.report.cue_table import spent
from bridgewire.report.figures import clock, short_time
from bridgewire.report.html.light_bands import BandAxis, band_svg
from bridgewire.report.html.path_steps import Paths
from bridgewire.report.html.prose import arrows
from bridgewire.report.html.shelf import Shelf
from bridgewire.report.igniter_text import sentences
from bridgewire.report.plain_text import visible
from bridgewire.timeline.outcomes import (
    Assessment,
    CueOutcome,
    IgniterOutcome,
    Proof,
    Stray,
    Times,
    Verdict,
)
from bridgewire.units import amperes, significant

NO_IGNITER = "none"
"""Sign in place of a verdict's where a cue means no igniter."""


@frozen
class IgniterView:
    """One igniter under a cue."""

    id: str
    word: str
    """Verdict, or ``not meant``."""
    mark: str
    """Name of the sign."""
    chain: str
    band: Markup
    times: str
    margin: str
    current: str
    voltage: str
    effect: str
    text: str
    lights: str
    """What the show says that it lights."""


@frozen
class StrayView:
    """Current where no cue in force means it."""

    id: str
    peak: str
    where: str
    lights: str


class IgniterRows:
    """Makes the rows of a show's igniters.

    Parameters
    ----------
    assessment : Assessment
    paths : Paths
        Of that assessment.
    axis : BandAxis
        For the bars of light times.
    shelf : Shelf
        Keeps the bars.
    """

    def __init__(self, assessment: Assessment, paths: Paths, axis: BandAxis, shelf: Shelf) -> None:
        self._show = assessment.layout.show
        self._paths = paths
        self._axis = axis
        self._shelf = shelf
        self._lights = {p.index: p.igniter.lights for p in assessment.layout.igniters}

    def lights(self, igniter: IgniterOutcome) -> str:
        """What the show says that an igniter lights; may be empty."""
        return self._lights.get(igniter.igniter, "")

    def row(self, cue: CueOutcome, i: IgniterOutcome) -> IgniterView:
        """One igniter under a cue."""
        limit = self._show.cue[cue.cue].latest_light_s
        if limit is None:
            limit = self._show.requirements.latest_light_s
        known = i.verdict is not Verdict.UNKNOWN and not spent(i)
        light = i.light if known else None
        return IgniterView(
            id=i.id,
            word=i.verdict.value if i.intended else "not meant",
            mark=i.verdict.value if i.intended else NO_IGNITER,
            chain=self._paths.chain(cue, i),
            band=band_svg(
                light, self._axis, self._shelf, pulse_s=cue.pulse_s, latest_allowed_s=limit
            ),
            times=_times(i, light),
            margin="–" if i.margin is None else _margins(i),
            current=_currents(i),
            voltage="–" if i.terminal_V is None else significant(i.terminal_V),
            effect="" if i.effect is None else _effect(i.effect),
            text=arrows(_said(i)),
            lights=self.lights(i),
        )


def stray_row(stray: Stray) -> StrayView:
    """One igniter with current that no cue in force means."""
    return StrayView(
        stray.id,
        amperes(stray.peak_A),
        "on the way of the cue" if stray.on_way else "by a sneak path",
        "lit before" if stray.lit_before else ("may light" if stray.lights else "does not light"),
    )


def _said(i: IgniterOutcome) -> str:
    """What the table does not tell: all of it where the igniter is not simply sure."""
    said = [t for t in sentences(i) if t]
    if i.verdict is Verdict.SURE and i.intended and not spent(i):
        # Margins, currents and losses stand in the table and under the path.
        head = said[0].split("; ", 1)
        said = [head[1][:1].upper() + head[1][1:]] if len(head) > 1 else []
        said += [f"Waits for {visible(', '.join(i.waits_for))} to part"] if i.waits_for else []
        if i.loaded_by:
            said.append(f"Shares the current with {visible(', '.join(i.loaded_by))}, lit before")
        if i.proof is Proof.SEARCHED:
            said.append("Times searched within the tolerances, not proven")
    return "".join(f"{t}. " for t in said).strip()


def _times(i: IgniterOutcome, light: Times | None) -> str:
    if light is None:
        return "lit before" if i.verdict is not Verdict.UNKNOWN else "not known"
    if math.isinf(light.earliest):
        return "does not light"
    return " / ".join(short_time(t) for t in (light.earliest, light.typical, light.latest))


def _margins(i: IgniterOutcome) -> str:
    typical = "" if i.margin_typical is None else f" ({significant(i.margin_typical)})"
    return f"{significant(i.margin or 0.0)}{typical}"


def _currents(i: IgniterOutcome) -> str:
    if i.terminal_A is None:
        return "–"
    worst = "" if i.worst_A is None else f"{significant(i.worst_A)} / "
    return f"{worst}{significant(i.terminal_A)}"


def _effect(effect: Times) -> str:
    if math.isinf(effect.typical):
        return "not seen"
    early = clock(effect.earliest)
    late = "never" if math.isinf(effect.latest) else clock(effect.latest)
    return f"at {early}" if early == late else f"at {early} to {late}"
