"""Kit profiles that extend others: finds what an entry starts from and merges the profile.

A profile with ``extends = "club"`` holds all entries of ``club``; its own entries of the same id
go over them field by field. An entry with ``extends = "club:reel"`` starts from that entry. Where
several roads lead to one entry (a diamond) it counts once, beneath everything that starts from it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from bridgewire.diagnostics import DocPath, Finding
from bridgewire.documents.problems import DANGLING, TOO_LARGE, name_meant, one_of
from bridgewire.kits.origins import MergedSourceMap
from bridgewire.kits.overlay import Layer, Place, merged_entry
from bridgewire.kits.profile_source import TABLES, Node, Source

EXTENDS_LOOP = "DOC024"
"""Kit profiles, or entries, extend one another in a circle."""
MAX_CHAIN = 64
"""Most profiles, or entries, that one after another may start from the next."""

Fetch = Callable[[str], Source | None]
"""Finds a profile by id; None where there is none, or where it cannot be read."""


class _ChainError(Exception):
    """Carries a loop, closed; or the beginning of a chain that is too long."""

    def __init__(self, chain: tuple[str, ...], *, loop: bool) -> None:
        self.chain = chain
        self.loop = loop


class Merger:
    """Merges one profile with those that it extends.

    Parameters
    ----------
    source : Source
    fetch : callable
    known : callable
        Returns the ids of all profiles, for suggestions.
    """

    def __init__(self, source: Source, fetch: Fetch, known: Callable[[], list[str]]) -> None:
        self._top = source
        self._fetch = fetch
        self._known = known
        self._sources = {source.kit_id: source}
        self._followed: set[str] = set()
        self._root_cache: dict[tuple[str, str, str], list[Node]] = {}
        self._id_cache: dict[tuple[str, str], list[str]] = {}
        self.findings: list[Finding] = []
        """What is wrong with the references; nothing is merged where there are any."""
        self.unread: set[str] = set()
        """Ids of profiles that were not found or could not be read."""

    @property
    def used(self) -> list[Source]:
        """The other profiles that were taken in."""
        return [s for k, s in self._sources.items() if k != self._top.kit_id]

    def merged(self) -> tuple[dict[str, Any], MergedSourceMap] | None:
        """Merge; None where something is wrong with the references."""
        self._follow_kits(self._top, ())
        if self.findings or self.unread:
            return None
        data = {k: v for k, v in self._top.data.items() if k not in TABLES}
        places: dict[DocPath, Place] = {}
        for table in TABLES:
            self._merge_table(table, data, places)
        if self.findings or self.unread:
            return None
        return data, MergedSourceMap(self._top.opened.spans, places)

    # -- kits ---------------------------------------------------------------------------------

    def _source(self, kit_id: str, asker: Source, path: DocPath) -> Source | None:
        """Fetch a profile that another one names; a missing one becomes a finding."""
        if kit_id in self._sources:
            return self._sources[kit_id]
        if kit_id in self.unread:
            return None
        found = self._fetch(kit_id)
        if found is not None:
            self._sources[kit_id] = found
            return found
        self.unread.add(kit_id)
        choices = sorted(set(self._known()) - {asker.kit_id})
        if kit_id not in choices:
            self._dangling(
                asker,
                path,
                f"there is no kit profile {kit_id!r} to extend",
                repr(kit_id),
                choices,
                kit_id,
            )
        return None

    def _follow_kits(self, source: Source, above: tuple[str, ...]) -> None:
        """Fetch all profiles that a profile extends, and refuse circles."""
        if source.kit_id in self._followed:
            return
        chain = (*above, source.kit_id)
        for name, path in source.bases():
            if name in chain:
                self._loop(source, path, "kit profiles", (*chain[chain.index(name) :], name))
                continue
            if len(chain) > MAX_CHAIN:
                self._too_long(source, path, "kit profiles")
                continue
            base = self._source(name, source, path)
            if base is not None:
                self._follow_kits(base, chain)
        self._followed.add(source.kit_id)

    def _bases(self, source: Source) -> list[Source]:
        names = (name for name, _ in source.bases())
        return [self._sources[name] for name in names if name in self._sources]

    def _roots(self, source: Source, table: str, entry_id: str) -> list[Node]:
        """Find an entry by bare id: in a profile, else in each of those that it extends."""
        own = source.entries.get((table, entry_id))
        return [own] if own is not None else self._roots_in_bases(source, table, entry_id)

    def _roots_in_bases(self, source: Source, table: str, entry_id: str) -> list[Node]:
        key = (source.kit_id, table, entry_id)
        if key not in self._root_cache:
            bases = self._bases(source)
            found = dict.fromkeys(n for b in bases for n in self._roots(b, table, entry_id))
            self._root_cache[key] = list(found)
        return self._root_cache[key]

    # -- entries ------------------------------------------------------------------------------

    def _table_of(self, node: Node) -> Mapping[str, Any]:
        entry: Mapping[str, Any] = self._sources[node.kit_id].listed(node.table)[node.index]
        return entry

    def _parents(self, node: Node) -> list[Node]:
        """What an entry starts from, the nearest first."""
        source = self._sources[node.kit_id]
        entry = self._table_of(node)
        named, own_id = entry.get("extends"), entry.get("id")
        found: dict[Node, None] = {}
        if isinstance(named, str):
            found |= dict.fromkeys(self._referred(source, node, named))
        if isinstance(own_id, str) and source.entries.get((node.table, own_id)) == node:
            found |= dict.fromkeys(self._roots_in_bases(source, node.table, own_id))
        return list(found)

    def _referred(self, source: Source, node: Node, named: str) -> list[Node]:
        """Find the entry that ``extends`` names."""
        path = (*node.path, "extends")
        own_id = self._table_of(node).get("id")
        kit_id, colon, entry_id = named.partition(":")
        if colon:
            other = self._source(kit_id, source, path)
            if other is None:
                return []
            self._follow_kits(other, ())
            if any(f.code == EXTENDS_LOOP for f in self.findings):
                return []
            found = self._roots(other, node.table, entry_id)
            kits, prefix = [other], f"{kit_id}:"
        else:
            look = self._roots_in_bases if named == own_id else self._roots
            found = look(source, node.table, named)
            if not found and named == own_id:
                self._loop(source, path, "entries", (f"{source.kit_id}:{named}",) * 2)
                return []
            kits, prefix = [source, *self._bases(source)], ""
        if not found:
            ids = {i for kit in kits for t, i in kit.entries if t == node.table}
            choices = sorted(f"{prefix}{i}" for i in ids if prefix or i != own_id)
            message = f"there is no {node.table.replace('_', ' ')} {named!r} to extend"
            self._dangling(source, path, message, repr(named), choices, named)
        return found

    def _order(self, roots: list[Node]) -> list[Node]:
        """Entries and all that they start from: each once, above what it starts from."""
        order: dict[Node, None] = {}

        def visit(one: Node, above: tuple[Node, ...]) -> None:
            if one in above:
                loop = (*above[above.index(one) :], one)
                raise _ChainError(tuple(self._name(n) for n in loop), loop=True)
            if one in order:
                return
            if len(above) > MAX_CHAIN:
                raise _ChainError(tuple(self._name(n) for n in above[:3]), loop=False)
            for parent in reversed(self._parents(one)):
                visit(parent, (*above, one))
            order[one] = None

        for root in reversed(roots):
            visit(root, ())
        return list(order)

    def _name(self, node: Node) -> str:
        return f"{node.kit_id}:{self._table_of(node).get('id')}"

    def _merge_table(self, table: str, data: dict[str, Any], places: dict[DocPath, Place]) -> None:
        raw = self._top.data.get(table)
        if raw is not None and not isinstance(raw, list):
            data[table] = raw  # reported when it is read
            return
        merged: list[Any] = []
        groups = list(self._listed(table))
        if table == "contact":
            groups += self._contacts_along(groups)
        for roots in groups:
            entry, within = self._merge_entry(roots)
            for path, place in within.items():
                places[table, len(merged), *path] = place
            merged.append(entry)
        if merged or raw is not None:
            data[table] = merged

    def _merge_entry(self, roots: list[Node]) -> tuple[Any, dict[DocPath, Place]]:
        node = roots[0]
        source = self._sources[node.kit_id]
        raw = source.listed(node.table)[node.index]
        if not isinstance(raw, dict):  # reported when it is read
            return raw, {(): Place(source.origin, node.path)}
        try:
            order = self._order(roots)
        except _ChainError as error:
            path = (*node.path, "extends") if "extends" in raw else node.path
            if error.loop:
                self._loop(source, path, "entries", error.chain)
            else:
                self._too_long(source, path, "entries")
            return raw, {}
        layers = [Layer(self._sources[n.kit_id].origin, n.path, self._table_of(n)) for n in order]
        return merged_entry(TABLES[node.table], layers)

    def _listed(self, table: str) -> Iterator[list[Node]]:
        """Entries of the merged profile: inherited ones first, then new ones and odd ones."""
        top = self._top
        inherited = list(dict.fromkeys(i for b in self._bases(top) for i in self._ids(b, table)))
        for entry_id in inherited:
            yield self._roots(top, table, entry_id)
        for index, entry in enumerate(top.listed(table)):
            node = Node(top.kit_id, table, index)
            named = entry.get("id") if isinstance(entry, dict) else None
            first = isinstance(named, str) and top.entries[table, named] == node
            if not (first and named in inherited):
                yield [node]

    def _ids(self, source: Source, table: str) -> list[str]:
        key = (source.kit_id, table)
        if key not in self._id_cache:
            ids = [i for b in self._bases(source) for i in self._ids(b, table)]
            own = (i for t, i in source.entries if t == table)
            self._id_cache[key] = list(dict.fromkeys([*ids, *own]))
        return self._id_cache[key]

    def _contacts_along(self, own: list[list[Node]]) -> list[list[Node]]:
        """Contacts that entries from other profiles name and that would otherwise be missing."""
        found: dict[str, list[Node]] = {}
        here = {self._raw(roots[0], "id") for roots in own}
        for roots in (r for table in ("box", "strip", "splitter") for r in self._listed(table)):
            entry, places = self._merge_entry(roots)
            for key, ref in entry.items() if isinstance(entry, dict) else ():
                place = places.get((key,))
                if not key.endswith("_contact") or place is None or not isinstance(ref, str):
                    continue
                if ref not in here and ref not in found and ":" not in ref:
                    writer = self._sources[place.origin.kit_id]
                    contact = self._roots(writer, "contact", ref)
                    if contact:
                        found[ref] = contact
        return list(found.values())

    def _raw(self, node: Node, key: str) -> Any:
        entry = self._sources[node.kit_id].listed(node.table)[node.index]
        return entry.get(key) if isinstance(entry, dict) else None

    # -- findings -----------------------------------------------------------------------------

    def _add(self, finding: Finding) -> None:
        if finding not in self.findings:
            self.findings.append(finding)

    def _dangling(
        self,
        source: Source,
        path: DocPath,
        message: str,
        got: str,
        choices: list[str],
        word: str,
    ) -> None:
        self._add(
            Finding(
                DANGLING,
                message,
                path=path,
                document=f"kit:{source.kit_id}",
                expected=one_of(choices) if 0 < len(choices) <= 12 else "one that is there",
                got=got,
                suggestion=name_meant(word, choices),
                location=source.opened.spans.locate(path),
            )
        )

    def _too_long(self, source: Source, path: DocPath, what: str) -> None:
        if any(f.code == TOO_LARGE for f in self.findings):
            return
        self._add(
            Finding(
                TOO_LARGE,
                f"more than {MAX_CHAIN} {what} extend one another in a row",
                path=path,
                document=f"kit:{source.kit_id}",
                expected=f"at most {MAX_CHAIN}",
                location=source.opened.spans.locate(path),
            )
        )

    def _loop(self, source: Source, path: DocPath, what: str, loop: tuple[str, ...]) -> None:
        # A loop is the same wherever it is entered.
        if any(f.code == EXTENDS_LOOP and set(f.subjects) == set(loop) for f in self.findings):
            return
        self._add(
            Finding(
                EXTENDS_LOOP,
                f"{loop[0]!r} extends itself"
                if len(set(loop)) == 1
                else f"{what} extend one another in a circle: {' -> '.join(loop)}",
                path=path,
                document=f"kit:{source.kit_id}",
                expected="a chain that ends",
                got=" -> ".join(loop),
                remedy="Take one extends of the circle out.",
                subjects=tuple(dict.fromkeys(loop)),
                location=source.opened.spans.locate(path),
            )
        )
