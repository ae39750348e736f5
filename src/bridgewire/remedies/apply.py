"""The files of a show with a remedy made, proved to say what was meant."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from bridgewire.documents.loader import load_show
from bridgewire.errors import InputError
from bridgewire.model.show import Show
from bridgewire.remedies.case import Case, Refused
from bridgewire.remedies.edits import ConflictError, Edit, combined, edited
from bridgewire.remedies.judge import cures, harm, state_of
from bridgewire.remedies.plain import plain_show
from bridgewire.remedies.remedy import Remedy
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
    files = write_back(source, show, own, edits, target)
    # What stays as it is belongs to the changed show as well.
    read = dict(files)
    if target not in read:
        read[target] = source.read_bytes()
    if show.cue_list is not None and len(read) == 1:
        read[target.parent / show.cue_list.file] = (source.parent / show.cue_list.file).read_bytes()
    _prove(read, target, edited(plain_show(show, data), edits))
    return files


def _prove(files: Mapping[Path, bytes], target: Path, wanted: Mapping[str, Any]) -> None:
    """Read the files as they would be, in a folder of their own."""
    with tempfile.TemporaryDirectory() as folder:
        there = Path(folder) / "show"
        for path, raw in files.items():
            copy = there / os.path.relpath(path, target.parent)
            copy.parent.mkdir(parents=True, exist_ok=True)
            copy.write_bytes(raw)
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


def together(case: Case, remedies: Sequence[Remedy]) -> tuple[Edit, ...]:
    """Edits of several remedies, checked again as they are made at once.

    Parameters
    ----------
    case : Case
    remedies : sequence of Remedy

    Returns
    -------
    tuple of Edit

    Raises
    ------
    WriteBackError
        If they contradict each other, or do not mend together what each mends alone, or break
        something.
    """
    if len(remedies) == 1:
        return remedies[0].edits
    try:
        edits = combined(*(r.edits for r in remedies))
    except ConflictError as error:
        raise WriteBackError(f"these remedies contradict each other: {error}") from None
    trial = case.trial(edits)
    if isinstance(trial, Refused):
        raise WriteBackError(f"these remedies cannot be made together: {trial.problems[0]}")
    before = case.as_written
    mended = {c for r in remedies for c in r.mends}
    for cue_id in sorted(mended):
        if not cures(state_of(before, cue_id), state_of(trial, cue_id)):
            raise WriteBackError(f"made together, these remedies do not mend cue {cue_id!r}")
    adds = {a for r in remedies for c in r.changes for a in c.adds}
    worse = harm(before, trial, except_for=frozenset(mended | adds))
    if worse:
        raise WriteBackError(f"made together, these remedies break something else: {worse[0]}")
    return edits
