"""A show that is to be mended, and trials of it with edits."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from typing import Any

from attrs import define, evolve, field, frozen

from bridgewire.circuit.catalogue import Catalogue
from bridgewire.circuit.layout import Layout
from bridgewire.circuit.resolve import resolve
from bridgewire.diagnostics import Finding, Severity
from bridgewire.documents.problems import Problem
from bridgewire.documents.structure import structure
from bridgewire.model.show import Cue, Show
from bridgewire.physics.laws import Models
from bridgewire.remedies.edits import Edit, edited
from bridgewire.remedies.plain import plain_show
from bridgewire.rules.context import Context
from bridgewire.rules.engine import run_rules
from bridgewire.rules.registry import LoadedRule, all_rules
from bridgewire.timeline.assess import assess
from bridgewire.timeline.outcomes import Assessment, CueOutcome
from bridgewire.uncertainty.proof import proven

CURABLE = ("FIR", "TIM", "SUP", "WIR")
"""Families of findings that a change of the show can clear."""
BLAMING = ("FIR003", "FIR010", "SUP004", "TIM002")
"""Findings whose further subjects only say who is to blame."""
NEAR_S = 12.0
"""Cues farther away in time hardly matter: supplies have recovered."""

FindingKey = tuple[str, tuple[str, ...]]
"""Code and subjects of a finding, the one it is about first."""


@frozen
class Refused:
    """A show with edits that cannot be used, e.g. as a splitter has no outlet left."""

    problems: tuple[str, ...]


@define(eq=False)
class Trial:
    """A show with edits, checked."""

    layout: Layout
    assessment: Assessment
    findings: tuple[Finding, ...]

    @cached_property
    def cues(self) -> Mapping[str, CueOutcome]:
        """Outcome of each cue by its id."""
        return {c.id: c for c in self.assessment.cues}

    @cached_property
    def counted(self) -> Mapping[FindingKey, int]:
        """How often each finding of at least a warning is there."""
        return Counter(key_of(f) for f in self.findings if f.severity >= Severity.WARNING)

    def about(self, cue_id: str, least: Severity = Severity.WARNING) -> tuple[Finding, ...]:
        """Findings that name a cue first among their subjects."""
        return tuple(f for f in self._by_first.get(cue_id, ()) if f.severity >= least)

    @cached_property
    def _by_first(self) -> Mapping[str, list[Finding]]:
        found: dict[str, list[Finding]] = {}
        for finding in self.findings:
            for subject in finding.subjects[:1]:
                found.setdefault(subject, []).append(finding)
        return found


def key_of(finding: Finding) -> FindingKey:
    """What tells a finding from others whatever its place and numbers."""
    rest = () if finding.code in BLAMING else sorted(finding.subjects[1:])
    return finding.code, (*finding.subjects[:1], *rest)


@define(eq=False)
class Case:
    """The show, its kits and everything needed to check it again.

    Parameters
    ----------
    show : Show
        As read.
    data : dict
        Of its document.
    catalogue : Catalogue
    models : Models
        That plugins provide.
    rules : sequence of LoadedRule
        That plugins bring.
    """

    show: Show
    data: dict[str, Any]
    catalogue: Catalogue
    models: Models = field(factory=Models)
    rules: Sequence[LoadedRule] = ()

    @cached_property
    def plain(self) -> dict[str, Any]:
        """The show as plain data with its cue list taken in; edits count from this."""
        return plain_show(self.show, self.data)

    @cached_property
    def as_written(self) -> Trial:
        """The show without edits."""
        found = self.trial(())
        assert isinstance(found, Trial), found
        return found

    def trial(
        self,
        edits: Iterable[Edit],
        *,
        prove: bool = True,
        only: frozenset[str] | None = None,
        near: frozenset[str] = frozenset(),
    ) -> Trial | Refused:
        """Check the show with edits made.

        Parameters
        ----------
        edits : iterable of Edit
            Without conflicts.
        prove : bool
            Whether light times are proven, which takes longer; else they rest on corners.
        only : frozenset of str, optional
            Ids of boxes: only these, what hangs on them and their cues are kept. Boxes share
            nothing, so that the outcome of these cues is that of the whole show; findings that
            compare boxes are not.
        near : frozenset of str
            With `only`: ids of cues; of the others, only those on their outputs or within
            `NEAR_S` of them are kept, and only findings that a change can clear are sought. That
            screens: batteries seem a little fuller than they are.

        Returns
        -------
        Trial or Refused
        """
        plain = edited(self.plain, edits)
        problems: list[Problem] = []
        show = structure(plain, Show, problems)
        if show is None:
            return Refused(tuple(p.message for p in problems))
        layout, wrong = resolve(show, self.catalogue, self.models)
        if layout is not None and only is not None:
            show = only_boxes(layout, only)
            if near:
                show = evolve(show, cue=near_cues(layout, show.cue, near))
            layout, wrong = resolve(show, self.catalogue, self.models)
        if layout is None:
            return Refused(tuple(f.message for f in wrong))
        assessment = assess(layout, seek_pulses=not near)
        if prove:
            assessment = proven(assessment)
        codes = frozenset(r.rule.code for r in self.rules)
        rules = [r for r in (*all_rules(), *self.rules) if not near or r.rule.code[:3] in CURABLE]
        findings, _ = run_rules(Context(assessment, codes), rules)
        return Trial(layout, assessment, findings)


def only_boxes(layout: Layout, boxes: frozenset[str]) -> Show:
    """The part of a show that some boxes fire.

    Parameters
    ----------
    layout : Layout
        Of the whole show.
    boxes : frozenset of str
        Ids.

    Returns
    -------
    Show
        Igniters have their ids stated, so that they keep them.
    """
    show = layout.show
    parts = {p.id for p in layout.parts.values() if p.output is not None and p.output[0] in boxes}
    igniters = {p.index for p in layout.igniters if p.part.id in parts}
    return evolve(
        show,
        box=tuple(b for b in show.box if b.id in boxes),
        strip=tuple(s for s in show.strip if s.id in parts),
        splitter=tuple(s for s in show.splitter if s.id in parts),
        run=tuple(r for r in show.run if r.to in parts),
        igniter=tuple(
            evolve(i, id=layout.names[n]) for n, i in enumerate(show.igniter) if n in igniters
        ),
        cue=tuple(c.cue for c in layout.cues if c.way is not None and c.way[0] in boxes),
        cue_list=None,
    )


def near_cues(layout: Layout, cues: Sequence[Cue], near: frozenset[str]) -> tuple[Cue, ...]:
    """Those of some cues that may bear on what becomes of a few of them.

    Parameters
    ----------
    layout : Layout
        Of the whole show.
    cues : sequence of Cue
    near : frozenset of str
        Ids of the few.

    Returns
    -------
    tuple of Cue
        The few, all on their outputs, and all within `NEAR_S` of one of them.
    """
    few = [c for c in layout.cues if c.cue.id in near and c.way is not None]
    outputs = {c.way[:2] for c in few if c.way is not None}
    times = [t for c in few if (t := _moment(c.cue)) is not None]
    kept = {
        c.cue.id
        for c in layout.cues
        if c.cue.id in near
        or (c.way is not None and c.way[:2] in outputs)
        or ((t := _moment(c.cue)) is not None and any(abs(t - u) <= NEAR_S for u in times))
    }
    return tuple(c for c in cues if c.id in kept)


def _moment(cue: Cue) -> float | None:
    return cue.effect_at_s if cue.time_s is None else cue.time_s
