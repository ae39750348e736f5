"""Candidates that a person gives, in a file that is written like a record without results."""

from __future__ import annotations

from attrs import evolve

from bridgewire.bench.design.candidates import Candidate
from bridgewire.bench.wiring import LoadedRecord, parts_of, wiring_of
from bridgewire.diagnostics import Finding
from bridgewire.errors import InputError
from bridgewire.model.bench import Trial


def candidates_in(file: LoadedRecord) -> tuple[Candidate, ...]:
    """Candidates from a file that is written like a record, without results.

    Parameters
    ----------
    file : LoadedRecord

    Returns
    -------
    tuple of Candidate

    Raises
    ------
    InputError
        If a trial has no shot, no igniter, or results already.
    """
    findings: list[Finding] = []
    found: list[Candidate] = []
    for n, (trial, layout) in enumerate(zip(file.record.trial, file.layouts, strict=True)):
        path: tuple[str | int, ...] = ("trial", n)
        wrong = ""
        if not trial.shot:
            wrong = "has no shot"
        elif not layout.igniters:
            wrong = "has no igniter"
        elif trial.reading or any(s.seen for s in trial.shot):
            wrong = "has results already, so it is no candidate"
        if wrong:
            findings.append(
                Finding(
                    "DOC019",
                    f"trial {trial.id!r} {wrong}",
                    path=path,
                    document="bench",
                    location=file.document.spans.locate(path),
                )
            )
            continue
        metres = sum(b.typical for b in layout.run_lengths if b is not None)
        words = trial.title or f"trial {trial.id}"
        found.append(Candidate(_whole(file, trial), words, len(layout.igniters), metres))
    if findings:
        raise InputError(tuple(findings))
    return tuple(found)


def _whole(file: LoadedRecord, trial: Trial) -> Trial:
    """A trial with the parts of its bench in it, so that it stands in any record."""
    if wiring_of(file.record, trial) is None:
        return trial
    return evolve(trial, bench=None, **parts_of(file.record, trial))
