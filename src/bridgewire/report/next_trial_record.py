"""A trial that has not been made, as a piece of a bench record and as rows of the form."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from attrs import fields, has

from bridgewire.bench.wiring import shot_names
from bridgewire.documents.toml_values import toml_key, toml_value
from bridgewire.model.band import Band
from bridgewire.model.bench import BenchRecord, Trial

_HEAD = (
    "A trial to be made, written by bridgewire bench next. Put it at the end of the bench record,",
    "make it, and fill in what was seen: take the # away from a line and write what is true. Leave",
    "out what nobody could tell; do not write what was expected.",
)
_FIRST = ("The record has no trial yet: first take the line  trial = []  out of it.",)


def trial_data(trial: Trial) -> dict[str, Any]:
    """A trial as plain data under the document's keys.

    Parameters
    ----------
    trial : Trial

    Returns
    -------
    dict
        Only what differs from the default.
    """
    plain = _plain(trial)
    assert isinstance(plain, dict)
    return plain


def _plain(value: Any) -> Any:
    if isinstance(value, Band):
        if not value.stated:
            return value.typical
        return {"min": value.min, "typical": value.typical, "max": value.max}
    if has(type(value)):
        out: dict[str, Any] = {}
        for f in fields(type(value)):
            item = getattr(value, f.name)
            if item is None or item == () or item == "" or (f.name == "joints" and item == 0):
                continue
            if f.default == item and f.name in ("count", "parallel", "first_way"):
                continue
            out[f.metadata.get("key", f.name)] = _plain(item)
        return out
    if isinstance(value, tuple):
        return [_plain(v) for v in value]
    return value


def trial_toml(trial: Trial, record: BenchRecord) -> str:
    """Write a trial as a piece of a record, with lines to be filled in.

    Parameters
    ----------
    trial : Trial
    record : BenchRecord
        Its wirings tell the igniters of a trial that names one.

    Returns
    -------
    str
        TOML that reads as a trial without results, until it is filled in.
    """
    lines = [f"# {line}" for line in (*_HEAD, *(() if record.trial else _FIRST))]
    lines += ["", "[[trial]]"]
    data = trial_data(trial)
    tables = {k: v for k, v in data.items() if isinstance(v, list) and k != "shot"}
    lines += [f"{k} = {_rounded(v)}" for k, v in data.items() if k not in tables and k != "shot"]
    for table, rows in tables.items():
        for row in rows:
            lines += [
                "",
                f"[[trial.{table}]]",
                *(f"{toml_key(k)} = {_rounded(v)}" for k, v in row.items()),
            ]
    for shot in data.get("shot", []):
        lines += ["", "[[trial.shot]]"]
        # A planned voltage must not pass for one that was read.
        kept = {k: v for k, v in shot.items() if k not in ("seen", "supply_V")}
        lines += [f"{toml_key(k)} = {_rounded(v)}" for k, v in kept.items()]
        planned = f"; planned with {shot['supply_V']}" if "supply_V" in shot else ""
        lines.append(f"# supply_V = read just before, without load{planned}")
        for name in igniters_of(trial, record):
            lines += [
                "[[trial.shot.seen]]",
                f"igniter = {_rounded(name)}",
                "# lit = true or false",
                "# order = 1 for the first to light",
                "# time_s = { min = 0.0, max = 0.0 }",
                '# state_after = "open", "closed", "shorted" or "residual"',
                "# reading_ohm = after the shot, taken off the terminal",
            ]
    return "\n".join(lines) + "\n"


def igniters_of(trial: Trial, record: BenchRecord) -> tuple[str, ...]:
    """Ids of a trial's igniters, those of its bench first."""
    base = next((b for b in record.bench if b.id == trial.bench), None)
    return tuple(i.id or "" for i in (*(base.igniter if base else ()), *trial.igniter))


def trial_rows(trial: Trial, record: BenchRecord) -> Iterator[Mapping[str, object]]:
    """Rows of the trial form, one for each igniter in each shot; what is to be seen is empty.

    Parameters
    ----------
    trial : Trial
    record : BenchRecord

    Yields
    ------
    mapping
        By the names of `bridgewire.report.sheets.trial.TrialRow`.
    """
    base = next((b for b in record.bench if b.id == trial.bench), None)
    placed = {i.id: i for i in (*(base.igniter if base else ()), *trial.igniter)}
    for number, (_, shot) in enumerate(zip(shot_names(trial), trial.shot, strict=True), 1):
        for name, igniter in placed.items():
            yield {
                "trial": trial.id,
                "shot": number,
                "igniter": name or "",
                "class_": igniter.class_,
                "place": igniter.at,
                "pulse_s": shot.pulse_s,
                "repeat_times": None if shot.repeat is None else shot.repeat.times,
                "repeat_gap_s": None if shot.repeat is None else shot.repeat.gap_s,
                "rest_s": shot.rest_s,
                "supply_V": None,
                "lit": "",
                "order": None,
                "time_s": None,
                "state_after": "",
                "reading_ohm": None,
                "remark": "",
            }


def trial_form_csv(trial: Trial, record: BenchRecord) -> str:
    """The trial form for one trial, as CSV to be printed and filled in.

    Parameters
    ----------
    trial : Trial
    record : BenchRecord

    Returns
    -------
    str
        The columns that a record's ``[results]`` reads.
    """
    from bridgewire.report.sheets.sheet_csv import records_csv
    from bridgewire.report.sheets.trial import TrialRow

    rows = [TrialRow(**row) for row in trial_rows(trial, record)]  # type: ignore[arg-type]
    return records_csv(TrialRow, rows)


def _rounded(value: Any) -> str:
    """A value as TOML text, numbers with nine digits."""
    return toml_value(_nine_digits(value))


def _nine_digits(value: Any) -> Any:
    if isinstance(value, float):
        return float(f"{value:.9g}")
    if isinstance(value, dict):
        return {k: _nine_digits(v) for k, v in value.items()}
    return [_nine_digits(v) for v in value] if isinstance(value, list) else value
