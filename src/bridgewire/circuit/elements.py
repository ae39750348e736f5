"""Series elements of a path: contacts, conductors, strips, splitters, leads, the switch.

Each element carries its loop resistance (feed plus return) at site temperature and what a rule
needs to judge it. Where the kit does not say a resistance, the element is *missing*: it is listed,
and whatever depends on it is not computed.
"""

from __future__ import annotations

from typing import Literal

from attrs import frozen

from bridgewire.circuit.catalogue import Catalogue
from bridgewire.circuit.layout import Layout, Part
from bridgewire.diagnostics import DocPath
from bridgewire.model.band import Band
from bridgewire.model.kit import BoxKind, CableSpec, PathMap, SplitterKind, StripKind
from bridgewire.physics.cable import cable_ohm_per_m
from bridgewire.physics.conductors import resistance_factor

ElementKind = Literal["supply", "switch", "contact", "cable", "strip", "splitter", "diode", "lead"]

ZERO = Band(0.0, 0.0, 0.0)


@frozen
class Element:
    """One series resistance of a path."""

    kind: ElementKind
    label: str
    """What a person calls it, e.g. ``run jetty-1 -> jetty-2``."""
    path: DocPath
    """Where it stands in the show document."""
    feed_ohm: Band
    return_ohm: Band
    feed_share: int = 1
    """How many conductors or contacts share the feed current."""
    return_share: int = 1
    rated_A: float | None = None
    """What one conductor or contact may carry."""
    item: str = ""
    """Full id of the kit entry, where there is one."""
    cable: CableSpec | None = None
    length_m: float = 0.0

    @property
    def ohm(self) -> Band:
        """Loop resistance."""
        return self.feed_ohm.plus(self.return_ohm)


@frozen
class Missing:
    """A value that the kit or the show does not give."""

    document: str
    """``show`` or ``kit:<id>``."""
    item: str
    """Full id of the kit entry, or the id in the show."""
    noun: str
    key: str
    prevents: str
    blocks: bool = True
    """Whether the circuit cannot be computed without it."""


@frozen
class Branch:
    """A chain of elements, and what is missing from it."""

    elements: tuple[Element, ...]
    missing: tuple[Missing, ...]


class BranchBuilder:
    """Collects elements and missing values for one branch."""

    def __init__(self, catalogue: Catalogue, ambient_C: Band) -> None:
        self.catalogue = catalogue
        self.ambient_C = ambient_C
        self.elements: list[Element] = []
        self.missing: list[Missing] = []

    def done(self) -> Branch:
        """The branch as collected."""
        return Branch(tuple(self.elements), tuple(self.missing))

    def lack(self, item: str, noun: str, key: str, prevents: str) -> None:
        """Note a value that the kit does not give."""
        kit = item.split(":", 1)[0] if ":" in item else ""
        document = f"kit:{kit}" if kit else "show"
        self.missing.append(Missing(document, item, noun, key, prevents))

    def contact(
        self,
        owner: str,
        noun: str,
        ref: str | None,
        key: str,
        place: str,
        ident: str,
        path: DocPath,
        feed_share: int,
        return_share: int,
        pairs: int = 1,
    ) -> None:
        """Add mated contacts (one per leg, times `pairs`) that a kit entry names.

        They are called after `place`, in words, and what the words end with, `ident`.
        """
        what = f"the contact resistance {place} {ident!r}"
        if ref is None:
            self.lack(owner, noun, key, what)
            return
        full, contact = self.catalogue.contact_of(owner, ref)
        if contact is None:
            self.lack(owner, noun, key, what)
            return
        if contact.contact_ohm is None:
            self.lack(full, "contact", "contact_ohm", what)
            return
        ohm = contact.contact_ohm.scaled(pairs)
        self.elements.append(
            Element(
                "contact",
                f"contact {place} {ident}",
                path,
                ohm.scaled(1 / feed_share),
                ohm.scaled(1 / return_share),
                feed_share,
                return_share,
                contact.rated_A,
                full,
            )
        )

    def inner(self, part: Part, feed_share: int, return_share: int) -> None:
        """Add the track inside a strip or splitter, one pass."""
        noun: Literal["strip", "splitter"] = "strip" if part.is_strip else "splitter"
        ohm = part.kind.inner_ohm
        if ohm is None:
            self.lack(part.kind_id, noun, "inner_ohm", f"the resistance inside {noun} {part.id!r}")
            return
        self.elements.append(
            Element(
                noun,
                f"{noun} {part.id}",
                part.path,
                ohm.scaled(1 / feed_share),
                ohm.scaled(1 / return_share),
                feed_share,
                return_share,
                None,
                part.kind_id,
            )
        )

    def cable(
        self,
        spec: CableSpec,
        item: str,
        length_m: Band | None,
        thing: str,
        ident: str,
        path: DocPath,
        feed_share: int,
        return_share: int,
        kind: Literal["cable", "lead"] = "cable",
    ) -> None:
        """Add a length of cable, both ways, at site temperature; `thing` says what it is."""
        label, what = f"{thing} {ident}", f"the resistance of {thing} {ident!r}"
        per_m = cable_ohm_per_m(spec)
        if per_m is None:
            self.lack(item, "cable", "ohm_per_m", what)
            return
        if length_m is None:
            self.missing.append(Missing("show", label, "run", "length_m", what))
            return
        ohm = times(per_m, length_m)
        ohm = Band(
            ohm.min * float(resistance_factor(self.ambient_C.min, spec.metal)),
            ohm.typical * float(resistance_factor(self.ambient_C.typical, spec.metal)),
            ohm.max * float(resistance_factor(self.ambient_C.max, spec.metal)),
        )
        self.elements.append(
            Element(
                kind,
                label,
                path,
                ohm.scaled(1 / feed_share),
                ohm.scaled(1 / return_share),
                feed_share,
                return_share,
                spec.rated_A,
                item,
                spec,
                length_m.typical,
            )
        )


def times(a: Band, b: Band) -> Band:
    """Product of two bands of non-negative values.

    >>> times(Band(1, 2, 3), Band(10, 10, 20)).max
    60
    """
    return Band(a.min * b.min, a.typical * b.typical, a.max * b.max)


def run_branch(
    layout: Layout, part: Part, box_kind: BoxKind, box_kind_id: str, ambient_C: Band
) -> Branch:
    """All elements between a part and what feeds it: contacts at both ends, cable, joints."""
    assert part.run is not None
    index = part.run
    run = layout.show.run[index]
    path: DocPath = ("run", index)
    build = BranchBuilder(layout.catalogue, ambient_C)
    # Parallel cables meet behind one connector at each end; each has joints of its own.
    plug = shares(box_kind.path, 1)
    cores = shares(box_kind.path, run.parallel)
    if part.parent is None:
        owner, noun, ref, key = box_kind_id, "box", box_kind.output_contact, "output_contact"
        place, ident = "at", run.from_
    else:
        parent = part.parent
        build.inner(parent, *plug)
        owner = parent.kind_id
        if isinstance(parent.kind, StripKind):
            noun, ref, key = "strip", parent.kind.through_contact, "through_contact"
            place, ident = "onward from", parent.id
        else:
            noun, ref, key = "splitter", parent.kind.outlet_contact, "outlet_contact"
            place, ident = "at an outlet of", parent.id
    build.contact(owner, noun, ref, key, place, ident, path, *plug)
    name = run.id or f"{run.from_} -> {run.to}"
    cable_id = layout.catalogue.cables.full_id(run.cable) or run.cable
    length = layout.run_lengths[index]
    build.cable(layout.run_cables[index], cable_id, length, "run", name, path, *cores)
    if run.joints:
        full = None
        if run.joint_contact is not None:
            full = layout.catalogue.contacts.full_id(run.joint_contact)
        if full is None:
            build.missing.append(
                Missing(
                    "show",
                    f"run {name}",
                    "run",
                    "joint_contact",
                    f"the resistance of the joints in run {name!r}",
                )
            )
        else:
            # A joint has a mated pair on each side of the coupler.
            pairs = 2 * run.joints
            place = "at the joints of run"
            build.contact(full, "contact", full, "contact_ohm", place, name, path, *cores, pairs)
    noun = "splitter" if isinstance(part.kind, SplitterKind) else "strip"
    ref, place = part.kind.inlet_contact, "at the inlet of"
    build.contact(part.kind_id, noun, ref, "inlet_contact", place, part.id, path, *plug)
    return build.done()


def shares(path: PathMap, parallel: int) -> tuple[int, int]:
    """Conductors that share feed and return current of one way in a run."""
    return path.feed_conductors * parallel, path.return_conductors * parallel
