"""Look-up of kit entries by reference (``kit:id``, or a bare id searched in the show's order)."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Generic, TypeVar

from bridgewire.circuit.problems import Problems
from bridgewire.diagnostics import DocPath
from bridgewire.model.kit import (
    BoxKind,
    CableSpec,
    Contact,
    IgniterClass,
    Kit,
    SplitterKind,
    StripKind,
)

if TYPE_CHECKING:
    from bridgewire.kits.samples import JointSamples

Entry = TypeVar("Entry", BoxKind, CableSpec, Contact, IgniterClass, SplitterKind, StripKind)


class Table(Generic[Entry]):
    """All entries of one sort over all kits of a show."""

    def __init__(self, noun: str, entries: Mapping[str, tuple[Entry, ...]]) -> None:
        self.noun = noun
        self._full: dict[str, Entry] = {
            f"{kit}:{e.id}": e for kit, group in entries.items() for e in group
        }
        self._bare: dict[str, str] = {}
        for full in self._full:
            self._bare.setdefault(full.split(":", 1)[1], full)

    def full_id(self, ref: str) -> str | None:
        """The full ``kit:id`` that a reference means, or None if there is no such entry."""
        if ref in self._full:
            return ref
        return None if ":" in ref else self._bare.get(ref)

    def get(self, ref: str) -> Entry | None:
        """The entry that a reference means, or None."""
        full = self.full_id(ref)
        return None if full is None else self._full[full]

    def suggestion(self, ref: str) -> str:
        """The nearest existing reference, as a sentence, or an empty text."""
        return nearest(ref, [*self._full, *self._bare])

    def find(self, ref: str, path: DocPath, problems: Problems) -> Entry | None:
        """The entry that a reference at `path` means; none is a problem (DOC011)."""
        entry = self.get(ref)
        if entry is None:
            article = "an" if self.noun[0] in "aeiou" else "a"
            problems.add(
                "DOC011",
                path,
                f"no kit has {article} {self.noun} {ref!r}",
                expected=f"{article} {self.noun} of one of the show's kits",
                got=repr(ref),
                suggestion=self.suggestion(ref),
            )
        return entry


def nearest(word: str, choices: Iterable[str]) -> str:
    """Write ``did you mean …?`` for the nearest of `choices`, or nothing.

    >>> nearest("jety-1", ["jetty-1", "lawn"])
    "did you mean 'jetty-1'?"
    """
    close = difflib.get_close_matches(word, list(choices), n=1, cutoff=0.6)
    return f"did you mean {close[0]!r}?" if close else ""


class Catalogue:
    """Everything in the kits that a show uses.

    Parameters
    ----------
    kits : mapping of kit id to Kit
        In the order in which bare references are searched.
    samples : mapping of kit id to JointSamples, optional
        What of some kits is known together.
    """

    def __init__(
        self, kits: Mapping[str, Kit], samples: Mapping[str, JointSamples] | None = None
    ) -> None:
        self.kits = dict(kits)
        self.samples = dict(samples or {})
        self.boxes = Table("box", {k: v.box for k, v in kits.items()})
        self.cables = Table("cable", {k: v.cable for k, v in kits.items()})
        self.contacts = Table("contact", {k: v.contact for k, v in kits.items()})
        self.strips = Table("strip", {k: v.strip for k, v in kits.items()})
        self.splitters = Table("splitter", {k: v.splitter for k, v in kits.items()})
        self.igniters = Table("igniter class", {k: v.igniter_class for k, v in kits.items()})

    def contact_of(self, owner_full_id: str, ref: str | None) -> tuple[str, Contact | None]:
        """The contact that a kit entry names: its own kit first, then any kit.

        Returns the full id (or the reference as written) and the contact or None.
        """
        if ref is None:
            return "", None
        local = f"{owner_full_id.split(':', 1)[0]}:{ref}"
        full = self.contacts.full_id(local) or self.contacts.full_id(ref)
        if full is None:
            return ref, None
        return full, self.contacts.get(full)
