"""Questions put in the words of a person: a cue of a show, or a shot of a trial."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from attrs import evolve, frozen

from bridgewire.bench.compile_record import compile_record
from bridgewire.bench.design.means import Means, means_of
from bridgewire.bench.design.question import BenchQuestion, Question, show_question
from bridgewire.bench.record_notes import samples_unused
from bridgewire.bench.wiring import LoadedRecord, record_sigma, resolve_record, shot_names
from bridgewire.circuit.catalogue import Catalogue
from bridgewire.diagnostics import Finding
from bridgewire.errors import InputError
from bridgewire.physics.laws import Models
from bridgewire.timeline.outcomes import Assessment, Verdict
from bridgewire.uncertainty.shares import band_sigma


@frozen(eq=False)
class Asked:
    """A question with what trials about it can be made with.

    Attributes
    ----------
    question : Question
    means : Means
    remarks : tuple of str
        What to know about how the record and the question go together.
    """

    question: Question
    means: Means
    remarks: tuple[str, ...] = ()


def ask_show(
    loaded: LoadedRecord,
    assessment: Assessment,
    shas: Sequence[tuple[str, str]],
    cue: int,
    igniter: int | None,
    within_s: float | None,
) -> Asked:
    """Ask about a cue of a show.

    Parameters
    ----------
    loaded : LoadedRecord
    assessment : Assessment
        Of the show, with the kits that the record has.
    shas : sequence of tuple of str and str
        Id and SHA-256 of each kit profile of the show.
    cue : int
        Index of the cue.
    igniter : int or None
        Index of an igniter; all that the cue means where None.
    within_s : float or None

    Returns
    -------
    Asked

    Raises
    ------
    InputError
        If the cue cannot be computed or does not light that igniter, or if a kit profile or
        `band_sigma` is not the same for record and show.
    """
    layout = assessment.layout
    outcome = assessment.cues[cue]
    findings = [
        *_other_kits(loaded, shas),
        *_other_bands(loaded, assessment),
        *_unknown(assessment, cue),
    ]
    meant = [i.igniter for i in outcome.meant]
    name = layout.cues[cue].cue.id
    if not findings and igniter is not None and igniter not in meant:
        findings.append(refused(f"cue {name!r} does not mean to light {layout.names[igniter]!r}"))
    if not findings:
        try:
            question = show_question(_without_samples(assessment), cue, igniter, within_s)
        except ValueError as error:
            findings.append(refused(f"no question can be asked about cue {name!r}: {error}"))
    if findings:
        raise InputError(tuple(findings))
    assert outcome.way is not None
    pulses = [] if outcome.pulse_s is None else [outcome.pulse_s]
    if within_s is not None:
        pulses.append(within_s)
    ask = [igniter] if igniter is not None else meant
    means = means_of(
        layout,
        outcome.way[0],
        ask,
        pulses,
        catalogue_of(loaded),
        _cables_tried(loaded),
        _volts_read(loaded),
    )
    remarks = (*_samples(assessment), *_batches(loaded, assessment, ask))
    return Asked(question, means, remarks)


def ask_bench(
    loaded: LoadedRecord,
    trial: int,
    shot: int,
    igniter: str,
    within_s: float | None,
    models: Models | None = None,
) -> Asked:
    """Ask about a shot of a trial of the record, as if the trial were made once more.

    Parameters
    ----------
    loaded : LoadedRecord
    trial, shot : int
        Indexes.
    igniter : str
        Id of an igniter of that trial.
    within_s : float or None
        From the start of the shot.
    models : Models, optional

    Returns
    -------
    Asked

    Raises
    ------
    InputError
        If the trial cannot be computed, or the shot does not fire the igniter.
    """
    record = loaded.record
    spec = record.trial[trial]
    shots = tuple(evolve(s, seen=()) for s in spec.shot[: shot + 1])
    again = evolve(spec, shot=shots, reading=())
    one = resolve_record(
        loaded.file,
        evolve(record, trial=(again,), results=None),
        loaded.document,
        loaded.kits,
        models,
    )
    model = compile_record(one)
    layout = one.layouts[0]
    names = model.trials[0].igniters
    index = next(p.index for p in layout.igniters if layout.names[p.index] == igniter)
    way = layout.cues[shot].way
    placed = next(p for p in layout.igniters if p.index == index)
    name = shot_names(again)[shot]
    if way is None or layout.way_of(placed) != way:
        raise InputError(
            (refused(f"shot {name!r} of trial {spec.id!r} does not fire {igniter!r}", "bench"),)
        )
    text = f"{igniter!r} in shot {name!r} of trial {spec.id!r}, made again, lights "
    text += "within its pulse" if within_s is None else f"within {within_s:g} s"
    question = BenchQuestion(text, model, shot, names.index(igniter), within_s)
    pulses = [spec.shot[shot].pulse_s, *([] if within_s is None else [within_s])]
    means = means_of(
        layout,
        way[0],
        [index],
        pulses,
        catalogue_of(loaded),
        _cables_tried(loaded),
        _volts_read(loaded),
    )
    return Asked(question, means)


def catalogue_of(loaded: LoadedRecord) -> Catalogue:
    """All entries of a record's kits."""
    return Catalogue({name: k.kit for name, k in loaded.kits.items()})


def refused(message: str, document: str = "show") -> Finding:
    """What keeps a question from being asked."""
    return Finding("DOC011", message, document=document)


def _without_samples(assessment: Assessment) -> Assessment:
    """The show as a record takes its kits: by their bands alone.

    A record's unknowns are independent before any trial. Values that a kit's samples tie together
    would not be those that the trials told of.
    """
    layout = assessment.layout
    return evolve(assessment, layout=evolve(layout, catalogue=Catalogue(layout.catalogue.kits)))


def _samples(assessment: Assessment) -> Iterator[str]:
    for kit in assessment.layout.catalogue.samples:
        yield samples_unused(kit)


def _other_kits(loaded: LoadedRecord, shas: Sequence[tuple[str, str]]) -> Iterator[Finding]:
    for kit, sha in shas:
        mine = loaded.kits.get(kit)
        if mine is not None and mine.document.sha256 != sha:
            yield refused(
                f"kit {kit!r} of the show is not the file that the record has: what was learned "
                "cannot be carried over"
            )


def _other_bands(loaded: LoadedRecord, assessment: Assessment) -> Iterator[Finding]:
    """Values are counted in standard deviations of their band, which must be the same."""
    mine = record_sigma(loaded.record)
    theirs = band_sigma(assessment.layout)
    if mine != theirs:
        yield refused(
            f"the show reads bands with band_sigma {theirs:g}, the record with {mine:g}: what was "
            "learned cannot be carried over"
        )


def _unknown(assessment: Assessment, cue: int) -> Iterator[Finding]:
    """What the kits lack for a cue."""
    layout = assessment.layout
    outcome = assessment.cues[cue]
    name = layout.cues[cue].cue.id
    if any(i.verdict is Verdict.UNKNOWN for i in outcome.meant) or outcome.missing:
        if not outcome.missing:
            yield refused(f"cue {name!r} cannot be computed")
        for lack in outcome.missing:
            yield Finding(
                "KIT001",
                f"{lack.item} states no {lack.key}, so that cue {name!r} cannot be computed",
                path=("cue", cue),
                expected=f"{lack.key} in the kit profile, as wide a band as you like",
            )


def _cables_tried(loaded: LoadedRecord) -> tuple[str, ...]:
    found: dict[str, None] = {}
    for layout in loaded.layouts:
        for run in layout.show.run:
            full = layout.catalogue.cables.full_id(run.cable)
            if full is not None:
                found[full] = None
    return tuple(found)


def _volts_read(loaded: LoadedRecord) -> tuple[float, ...]:
    return tuple(
        s.supply_V.typical for t in loaded.record.trial for s in t.shot if s.supply_V is not None
    )


def _batches(
    loaded: LoadedRecord, assessment: Assessment, igniters: Sequence[int]
) -> Iterator[str]:
    """Whether the batches in question are those that were tried."""
    tried: dict[str, set[str | None]] = {}
    for layout in loaded.layouts:
        for p in layout.igniters:
            tried.setdefault(p.class_id, set())
    record = loaded.record
    names = [i for b in record.bench for i in b.igniter] + [
        i for t in record.trial for i in t.igniter
    ]
    catalogue = catalogue_of(loaded)
    for i in names:
        full = catalogue.igniters.full_id(i.class_)
        if full is not None:
            tried.setdefault(full, set()).add(i.batch)
    for p in assessment.layout.igniters:
        if p.index not in set(igniters) or p.class_id not in tried:
            continue
        batch, known = p.igniter.batch, tried[p.class_id]
        if batch is not None and batch not in known:
            yield (
                f"Batch {batch!r} of {p.class_id} in the show is not one that the record names: it "
                "is taken to be like those that were tried."
            )
