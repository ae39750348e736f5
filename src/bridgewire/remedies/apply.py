"""The files of a show with a remedy made, proved to say what was meant."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from bridgewire.documents.loader import load_show
from bridgewire.errors import InputError
from bridgewire.model.show import Show
from bridgewire.remedies.edits import Edit, edited
from bridgewire.remedies.plain import plain_show
from bridgewire.remedies.write_back import WriteBackError, write_back


def changed_files(
    source: Path, target: Path, show: Show, data: dict[str, Any], edits: Iterable[Edit]
) -> Mapping[Path, bytes]:
    """Make edits in the text of a show, for another file or the same.

    Parameters
    ----------
    source : Path
        The show file.
    target : Path
        Where the changed show is to go. A cue list that changes goes beside it: under its own
        name if that is in place, else under the target's name.
    show : Show
        As read.
    data : dict
        Of its document.
    edits : iterable of Edit

    Returns
    -------
    mapping of Path to bytes
        Nothing has been written.

    Raises
    ------
    WriteBackError
        If the edits cannot be written, or what was written does not read as it should.
    """
    edits = tuple(edits)
    own = len(data.get("cue", []))
    files = write_back(source, show, own, edits, target).files
    _prove(files, target, edited(plain_show(show, data), edits))
    return files


def _prove(files: Mapping[Path, bytes], target: Path, wanted: Mapping[str, Any]) -> None:
    """Read the files as they would be, in a folder of their own."""
    with tempfile.TemporaryDirectory() as folder:
        there = Path(folder)
        for path, raw in files.items():
            (there / path.name).write_bytes(raw)
        try:
            again, document = load_show(there / target.name)
        except InputError as error:
            raise WriteBackError(f"the changed show cannot be read: {error}") from None
        found = plain_show(again, document.data)
    if _sorted(found) != _sorted(wanted):
        raise WriteBackError("the changed show does not read as it should; nothing was written")


def _sorted(plain: Mapping[str, Any]) -> dict[str, Any]:
    """Cues by their ids: those added to the show file come before those of the cue list."""
    return {**plain, "cue": sorted(plain.get("cue", []), key=lambda c: str(c.get("id")))}
