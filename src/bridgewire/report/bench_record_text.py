"""A bench record that was read, as text: what is in it, and what it takes for granted."""

from __future__ import annotations

from bridgewire.bench.forward import BenchModel
from bridgewire.bench.record_notes import assumptions, observations
from bridgewire.report.plain_text import count, visible, wrap


def bench_record_text(model: BenchModel, width: int = 80) -> str:
    """Say what a record holds.

    Parameters
    ----------
    model : BenchModel
    width : int
        Columns.

    Returns
    -------
    str
    """
    record = model.record
    shots = sum(len(t.shot) for t in record.trial)
    igniters = sum(len(t.igniters) for t in model.trials)
    parts = (
        count(len(record.trial), "trial"),
        count(shots, "shot"),
        count(igniters, "igniter"),
        count(observations(model), "observation"),
    )
    lines = wrap(f"{visible(record.title)}: {', '.join(parts)}", width)
    for trial, built in zip(record.trial, model.trials, strict=True):
        lit = len({s.igniter for shot in trial.shot for s in shot.seen if s.lit})
        where = f" on bench {trial.bench}" if trial.bench is not None else ""
        text = (
            f"trial {trial.id}{where}: {count(len(trial.shot), 'shot')}, "
            f"{count(len(built.igniters), 'igniter')}, {lit} seen to light"
        )
        lines += wrap(visible(text), width, "  ", "    ")
    notes = list(assumptions(model))
    if notes:
        lines.append("")
        for note in notes:
            lines += wrap(visible(note), width, "- ", "  ")
    return "\n".join(lines) + "\n"
