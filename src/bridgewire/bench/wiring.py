"""Each trial of a bench record as a small show, so that its wiring is resolved as a show's is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from attrs import evolve, field, frozen

from bridgewire.circuit.catalogue import Catalogue
from bridgewire.circuit.layout import Layout
from bridgewire.circuit.resolve import resolve
from bridgewire.diagnostics import DocPath, Finding
from bridgewire.documents.loader import load_bench
from bridgewire.documents.source import Document
from bridgewire.errors import InputError
from bridgewire.kits.discovery import LoadedKit, find_kits, kit_folders
from bridgewire.model.bench import BenchRecord, Trial, Wiring
from bridgewire.model.show import Cue, Show
from bridgewire.physics.laws import Models
from bridgewire.uncertainty.shares import BAND_SIGMA

COLD_REST_S = 3600.0
"""Time between shots where the record states none: every bridge is cold again."""
PART_TABLES = ("position", "box", "strip", "splitter", "run", "igniter")
"""Tables that a wiring and a trial have as a show has them."""


@frozen(eq=False)
class LoadedRecord:
    """A bench record that has been read, with its kits and the wiring of every trial."""

    file: str
    record: BenchRecord
    document: Document = field(repr=False)
    kits: Mapping[str, LoadedKit] = field(repr=False)
    layouts: tuple[Layout, ...] = field(repr=False)
    """Of each trial."""


def load_record(
    path: Path,
    *,
    kit_dirs: Sequence[Path] = (),
    extra_kits: Sequence[Path] = (),
    models: Models | None = None,
) -> LoadedRecord:
    """Read a bench record, find its kits, and resolve every trial's wiring.

    Parameters
    ----------
    path : Path
    kit_dirs : sequence of Path
        Further folders with kit profiles.
    extra_kits : sequence of Path
        Folders or files that plugins bring.
    models : Models, optional
        Igniter and supply models that plugins bring.

    Returns
    -------
    LoadedRecord

    Raises
    ------
    InputError
        With every problem found, each with its place.
    """
    record, document = load_bench(path)
    kits = find_kits(record.kits, [*kit_folders(path, kit_dirs), *extra_kits], document.spans)
    return resolve_record(str(path), record, document, kits, models)


def resolve_record(
    file: str,
    record: BenchRecord,
    document: Document,
    kits: Mapping[str, LoadedKit],
    models: Models | None = None,
) -> LoadedRecord:
    """Resolve the wiring of every trial of a record that has been read.

    Raises
    ------
    InputError
        With every problem found, each with its place.
    """
    catalogue = Catalogue({name: loaded.kit for name, loaded in kits.items()})
    layouts: list[Layout] = []
    findings: dict[Finding, None] = {}
    for index, trial in enumerate(record.trial):
        layout, problems = resolve(show_of(record, trial), catalogue, models)
        for problem in problems:
            placed = _in_record(record, index, problem)
            findings[placed] = None
        if layout is not None:
            layouts.append(layout)
            findings.update(dict.fromkeys(_unreached(record, index, layout)))
    if findings:
        raise InputError(tuple(evolve(f, location=document.spans.locate(f.path)) for f in findings))
    return LoadedRecord(file, record, document, kits, tuple(layouts))


def wiring_of(record: BenchRecord, trial: Trial) -> Wiring | None:
    """The bench wiring that a trial names."""
    return next((b for b in record.bench if b.id == trial.bench), None)


def parts_of(record: BenchRecord, trial: Trial) -> dict[str, Any]:
    """Rows of each of `PART_TABLES`: those of the trial's bench wiring, then its own."""
    base = wiring_of(record, trial)
    return {k: (*(getattr(base, k) if base else ()), *getattr(trial, k)) for k in PART_TABLES}


def record_sigma(record: BenchRecord) -> float:
    """Standard deviations between a band's typical value and its ends, in a record."""
    stated = record.scatter.band_sigma
    return BAND_SIGMA if stated is None else stated


def shot_names(trial: Trial) -> tuple[str, ...]:
    """Names of a trial's shots: their ids, else their numbers from 1.

    Examples
    --------
    >>> from bridgewire.model.bench import Shot
    >>> shot_names(Trial("1", shot=(Shot("h/1/1", 0.5), Shot("h/1/1", 0.5, id="again"))))
    ('1', 'again')
    """
    return tuple(s.id or str(n + 1) for n, s in enumerate(trial.shot))


def show_of(record: BenchRecord, trial: Trial) -> Show:
    """A trial as a show: its shots are cues, one after the other.

    Parameters
    ----------
    record : BenchRecord
    trial : Trial

    Returns
    -------
    Show
        Parts of the bench wiring stand before the trial's own. Batches of igniters are left out:
        all igniters of a class are one population.
    """
    parts = parts_of(record, trial)
    parts["igniter"] = tuple(evolve(i, batch=None) for i in parts["igniter"])
    cues: list[Cue] = []
    clock = 0.0
    for n, (name, shot) in enumerate(zip(shot_names(trial), trial.shot, strict=True)):
        if n:
            clock += COLD_REST_S if shot.rest_s is None else shot.rest_s
        cues.append(
            Cue(name, fire=shot.fire, time_s=clock, pulse_s=shot.pulse_s, repeat=shot.repeat)
        )
        times = 1 + (shot.repeat.times if shot.repeat else 0)
        gap = shot.repeat.gap_s if shot.repeat else 0.0
        clock += times * shot.pulse_s + (times - 1) * gap
    site = record.site
    if trial.ambient_C is not None:
        site = evolve(site, ambient_C=trial.ambient_C)
    return Show(
        format=record.format,
        title=f"{record.title}, trial {trial.id}",
        kits=record.kits,
        site=site,
        scatter=record.scatter,
        cue=tuple(cues),
        **parts,
    )


def record_path(record: BenchRecord, index: int, path: DocPath) -> DocPath:
    """Where in the record a path of a trial's show is."""
    if not path:
        return ("trial", index)
    trial = record.trial[index]
    if path[0] == "cue":
        return ("trial", index, "shot", *path[1:])
    if path[0] in PART_TABLES and len(path) > 1 and isinstance(path[1], int):
        table = str(path[0])
        base = wiring_of(record, trial)
        before = len(getattr(base, table)) if base else 0
        if path[1] < before:
            assert base is not None
            return ("bench", record.bench.index(base), *path)
        return ("trial", index, table, path[1] - before, *path[2:])
    return path


def _in_record(record: BenchRecord, index: int, finding: Finding) -> Finding:
    return evolve(finding, path=record_path(record, index, finding.path), document="bench")


def _unreached(record: BenchRecord, index: int, layout: Layout) -> list[Finding]:
    """Ways that a box does not have, and igniters that were seen in a shot on another way."""
    trial = record.trial[index]
    found: list[Finding] = []
    for n, (shot, cue) in enumerate(zip(trial.shot, layout.cues, strict=True)):
        if cue.way is None:
            continue
        kind = layout.boxes[cue.way[0]][1]
        if not (1 <= cue.way[1] <= kind.outputs and 1 <= cue.way[2] <= kind.ways):
            found.append(
                Finding(
                    "DOC007",
                    f"the box has no way {shot.fire!r}",
                    path=("trial", index, "shot", n, "fire"),
                    document="bench",
                    expected=f"output 1 to {kind.outputs}, way 1 to {kind.ways}",
                    got=repr(shot.fire),
                )
            )
            continue
        ids = {layout.names[p.index]: p for p in layout.igniters}
        for k, seen in enumerate(shot.seen):
            placed = ids.get(seen.igniter)
            if seen.lit and placed is not None and layout.way_of(placed) != cue.way:
                found.append(
                    Finding(
                        "DOC019",
                        f"{seen.igniter!r} is seen to light, but it is not on the way {shot.fire}",
                        path=("trial", index, "shot", n, "seen", k, "lit"),
                        document="bench",
                        remedy="Look at the wiring and at the way that was fired.",
                    )
                )
    return found
