"""Where the values of a merged kit profile stand."""

from __future__ import annotations

from collections.abc import Mapping

from bridgewire.diagnostics import DocPath, Location
from bridgewire.documents.parsed import no_places
from bridgewire.documents.source import SourceMap
from bridgewire.kits.overlay import Place


class MergedSourceMap(SourceMap):
    """Finds the place of a path of a merged profile in the file where the value is written.

    Parameters
    ----------
    own : SourceMap
        Of the profile that extends others.
    places : mapping of DocPath to Place
        Path in the merged profile -> where it stands.
    """

    def __init__(self, own: SourceMap, places: Mapping[DocPath, Place]) -> None:
        super().__init__("", "", no_places)
        self._own = own
        self._places = places

    def place(self, path: DocPath) -> Place | None:
        """Return the profile and path that a merged path comes from; None: the own profile."""
        for length in range(len(path), 0, -1):
            found = self._places.get(path[:length])
            if found is not None:
                return Place(found.origin, (*found.path, *path[length:]))
        return None

    def including(self, other: SourceMap) -> SourceMap:
        """Return a map that also knows the places in another file."""
        return MergedSourceMap(self._own.including(other), self._places)

    def locate(self, path: DocPath) -> Location:
        """Find the value at `path` in the file where it is written."""
        found = self.place(path)
        if found is None:
            return self._own.locate(path)
        return found.origin.spans.locate(found.path)

    def locate_key(self, path: DocPath) -> Location:
        """Find the key that `path` ends with in the file where it is written."""
        found = self.place(path)
        if found is None:
            return self._own.locate_key(path)
        return found.origin.spans.locate_key(found.path)

    def locate_span(self, span: tuple[int, int]) -> Location:
        """Turn character offsets in the own profile into a place."""
        return self._own.locate_span(span)
