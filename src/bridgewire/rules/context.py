"""What a rule may look at: the show, its layout and everything computed about it."""

from __future__ import annotations

import datetime
from functools import cached_property
from typing import TYPE_CHECKING

from attrs import define, field

from bridgewire.circuit.catalogue import Catalogue
from bridgewire.circuit.layout import Layout, ResolvedCue, WayKey
from bridgewire.circuit.ways import CircuitBuilder, WayCircuit
from bridgewire.diagnostics import DocPath, Finding
from bridgewire.model.kit import BoxKind
from bridgewire.model.show import Box, Requirements, Show
from bridgewire.timeline.outcomes import Assessment, CueOutcome, IgniterOutcome

if TYPE_CHECKING:
    from bridgewire.uncertainty.study import OddsStudy

DEFAULT_ALL_FIRE_FACTOR = 1.5
"""14 CFR Part 417 Appendix D, D417.19(l)(1): at least 150 % of the all-fire current."""
DEFAULT_NO_FIRE_FRACTION = 0.1
"""14 CFR Part 417 Appendix D, D417.21(d): at most one tenth of the no-fire current."""

_KIT_TABLES = ("box", "cable", "contact", "strip", "splitter", "igniter_class")


@define(eq=False, slots=False)
class Context:
    """Everything a rule may read. Rules change nothing.

    Parameters
    ----------
    assessment : Assessment
        Everything that was computed about the show.
    plugin_codes : frozenset of str
        Codes of the rules that plugins bring.
    odds : OddsStudy, optional
        Odds of the whole show; None where the check was not asked for them.
    today : datetime.date
        The day of the check, on which ignores hold or have expired.
    found : tuple of Finding
        What the other rules have found, ignored or not; filled in for rules that run last.

    Examples
    --------
    >>> from bridgewire import load_show
    >>> from bridgewire.timeline.assess import assess
    >>> context = Context(assess(load_show("examples/midwinter-small.toml").layout))
    >>> context.show.title, context.requirements.margin, context.all_fire_factor
    ('Midwinter on the Mere', 1.2, 1.5)
    >>> [cue.id for cue in context.cues_by_time]
    ['twin comets', 'lances', 'crackle']
    """

    assessment: Assessment
    plugin_codes: frozenset[str] = frozenset()
    odds: OddsStudy | None = None
    today: datetime.date = field(factory=datetime.date.today)
    found: tuple[Finding, ...] = ()

    @property
    def layout(self) -> Layout:
        """The resolved wiring."""
        return self.assessment.layout

    @property
    def show(self) -> Show:
        """The show document."""
        return self.layout.show

    @property
    def catalogue(self) -> Catalogue:
        """Look-up of kit entries."""
        return self.layout.catalogue

    @property
    def requirements(self) -> Requirements:
        """What the show asks for."""
        return self.show.requirements

    @property
    def all_fire_factor(self) -> float:
        """Delivered over all-fire current that the show asks for."""
        stated = self.requirements.all_fire_factor
        return DEFAULT_ALL_FIRE_FACTOR if stated is None else stated

    @property
    def no_fire_fraction(self) -> float:
        """Largest current in an unfired igniter, over its no-fire current."""
        stated = self.requirements.no_fire_fraction
        return DEFAULT_NO_FIRE_FRACTION if stated is None else stated

    @property
    def cues(self) -> tuple[CueOutcome, ...]:
        """Outcome of every cue, in the show's order."""
        return self.assessment.cues

    @cached_property
    def cues_by_time(self) -> tuple[CueOutcome, ...]:
        """Outcomes in the order in which the boxes switch."""
        return self.assessment.by_time()

    def cue(self, outcome: CueOutcome) -> ResolvedCue:
        """Find the cue that an outcome is about.

        Parameters
        ----------
        outcome : CueOutcome
            One of `cues`.

        Returns
        -------
        ResolvedCue
            The cue of the show with what it fires.

        Examples
        --------
        >>> from bridgewire import load_show
        >>> from bridgewire.timeline.assess import assess
        >>> context = Context(assess(load_show("examples/midwinter-small.toml").layout))
        >>> context.cue(context.cues[0]).cue.fire
        'heron-1/1/1'
        """
        return self.layout.cues[outcome.cue]

    def box_of(self, outcome: CueOutcome) -> tuple[Box, BoxKind] | None:
        """Find the box that a cue fires from.

        Parameters
        ----------
        outcome : CueOutcome
            One of `cues`.

        Returns
        -------
        (Box, BoxKind) or None
            The box on site and its kind in the kit; None where the cue names no way that is there.

        Examples
        --------
        >>> from bridgewire import load_show
        >>> from bridgewire.timeline.assess import assess
        >>> context = Context(assess(load_show("examples/midwinter-small.toml").layout))
        >>> box, kind = context.box_of(context.cues[0])
        >>> box.id, kind.id
        ('heron-1', 'heron')
        """
        if outcome.way is None:
            return None
        return self.box(outcome.way[0])

    def box(self, box_id: str) -> tuple[Box, BoxKind]:
        """Find a box by its id.

        Parameters
        ----------
        box_id : str
            Of a box of the show.

        Returns
        -------
        (Box, BoxKind)
            The box on site and its kind in the kit.

        Raises
        ------
        KeyError
            If the show has no such box.

        Examples
        --------
        >>> from bridgewire import load_show
        >>> from bridgewire.timeline.assess import assess
        >>> context = Context(assess(load_show("examples/midwinter-small.toml").layout))
        >>> context.box("heron-1")[1].ways
        16
        """
        index, kind, _ = self.layout.boxes[box_id]
        return self.show.box[index], kind

    @cached_property
    def _circuits(self) -> dict[WayKey, WayCircuit]:
        simulation = self.assessment.simulation
        builder = CircuitBuilder(self.layout, simulation.ambient_C)
        return {
            key: simulation.ways[key] if key in simulation.ways else builder.way(key)
            for key in self.layout.by_way
        }

    def circuit(self, way: WayKey) -> WayCircuit:
        """Find the circuit of a way that has igniters, whether a cue fires it or not.

        Parameters
        ----------
        way : (str, int, int)
            Id of the box, output and way.

        Returns
        -------
        WayCircuit
            Its parts with their resistances, and the igniters.

        Raises
        ------
        KeyError
            If no igniter is on that way.

        Examples
        --------
        >>> from bridgewire import load_show
        >>> from bridgewire.timeline.assess import assess
        >>> context = Context(assess(load_show("examples/midwinter-small.toml").layout))
        >>> circuit = context.circuit(context.cues[0].way)
        >>> circuit.key, circuit.missing
        (('heron-1', 1, 1), ())
        """
        return self._circuits[way]

    def igniter_path(self, outcome: IgniterOutcome) -> DocPath:
        """Tell where an igniter stands in the show document.

        Parameters
        ----------
        outcome : IgniterOutcome
            One of a cue's `igniters`.

        Returns
        -------
        tuple of str and int
            For the ``path`` of a finding.

        Examples
        --------
        >>> from bridgewire import load_show
        >>> from bridgewire.timeline.assess import assess
        >>> context = Context(assess(load_show("examples/midwinter-small.toml").layout))
        >>> context.igniter_path(context.cues[0].meant[0])
        ('igniter', 0)
        """
        return ("igniter", outcome.igniter)

    @cached_property
    def _kit_places(self) -> dict[tuple[str, str], tuple[str, DocPath]]:
        places: dict[tuple[str, str], tuple[str, DocPath]] = {}
        for kit_id, kit in self.catalogue.kits.items():
            for table in _KIT_TABLES:
                for i, entry in enumerate(getattr(kit, table)):
                    places[table, f"{kit_id}:{entry.id}"] = (f"kit:{kit_id}", (table, i))
        return places

    def kit_place(self, table: str, full_id: str) -> tuple[str, DocPath]:
        """Tell where an entry of a kit stands.

        Parameters
        ----------
        table : str
            ``box``, ``cable``, ``contact``, ``strip``, ``splitter`` or ``igniter_class``.
        full_id : str
            ``kit:id``.

        Returns
        -------
        (str, tuple of str and int)
            For the ``document`` and the ``path`` of a finding.

        Raises
        ------
        KeyError
            If no kit of the show has such an entry.

        Examples
        --------
        >>> from bridgewire import load_show
        >>> from bridgewire.timeline.assess import assess
        >>> context = Context(assess(load_show("examples/midwinter-small.toml").layout))
        >>> context.kit_place("box", "harrowmere:heron")
        ('kit:harrowmere', ('box', 0))
        """
        return self._kit_places[table, full_id]

    @cached_property
    def used_kit_items(self) -> dict[str, frozenset[str]]:
        """Full ids of the kit entries that the show uses, by table, contacts included."""
        layout, catalogue = self.layout, self.catalogue
        strips = {p.kind_id for p in layout.parts.values() if p.is_strip}
        splitters = {p.kind_id for p in layout.parts.values() if not p.is_strip}
        boxes = {full for _, _, full in layout.boxes.values()}
        leads = [i.lead_cable for i in self.show.igniter]
        cables = {
            full
            for ref in [*(r.cable for r in self.show.run), *leads]
            if ref is not None and (full := catalogue.cables.full_id(ref)) is not None
        }
        contacts = {
            catalogue.contact_of(owner, ref)[0]
            for table, owners in (("strips", strips), ("splitters", splitters), ("boxes", boxes))
            for owner in owners
            for key in (
                "inlet_contact",
                "through_contact",
                "terminal_contact",
                "outlet_contact",
                "output_contact",
            )
            if (ref := getattr(getattr(catalogue, table).get(owner), key, None)) is not None
        }
        joints = {
            full
            for r in self.show.run
            if r.joint_contact is not None
            and (full := catalogue.contacts.full_id(r.joint_contact)) is not None
        }
        known = {c for c in contacts if catalogue.contacts.get(c) is not None}
        return {
            "box": frozenset(boxes),
            "cable": frozenset(cables),
            "contact": frozenset(known | joints),
            "strip": frozenset(strips),
            "splitter": frozenset(splitters),
            "igniter_class": frozenset(p.class_id for p in layout.igniters),
        }
