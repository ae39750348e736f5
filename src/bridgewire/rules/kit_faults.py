"""Findings of the same form that several kit rules give."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from bridgewire.diagnostics import Finding
from bridgewire.rules.base import Rule
from bridgewire.rules.kit_items import AnyEntry, KitItem


def lacking(
    rule: Rule, items: Iterable[KitItem[AnyEntry]], key: str, message: str, remedy: str
) -> Iterator[Finding]:
    """A finding for each entry that does not state a key; `message` goes on after its name."""
    for item in items:
        if getattr(item.entry, key) is None:
            yield rule.finding(
                f"{item.label} {message}",
                item.path,
                document=item.document,
                subjects=(item.full_id,),
                remedy=remedy,
            )


def listing(
    rule: Rule, item: KitItem[AnyEntry], keys: Sequence[str], message: str, remedy: str
) -> Iterator[Finding]:
    """One finding that lists an entry's faulty keys after `message`, at the first; none if none."""
    if keys:
        yield rule.finding(
            f"{item.label} {message}: {', '.join(keys)}",
            item.at(keys[0]),
            document=item.document,
            measured=float(len(keys)),
            limit=0.0,
            subjects=(item.full_id,),
            remedy=remedy,
        )
