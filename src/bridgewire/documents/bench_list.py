"""Reads the filled-in trial form of a bench record: CSV rows to trials, shots and what was seen.

A row is one igniter in one shot. It is added to the trial of the record that it names, so that
the record itself needs only wirings and trials.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Callable, Mapping
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Any, TypeGuard

from attrs import define, evolve, field, frozen

from bridgewire.diagnostics import DocPath, Finding
from bridgewire.documents.csv_text import Cell, split_rows
from bridgewire.documents.cue_cells import read_number, read_seconds
from bridgewire.documents.limits import MAX_FINDINGS, MAX_RESULT_ROWS
from bridgewire.documents.problems import (
    CONTRADICTION,
    DANGLING,
    MISSING_KEY,
    OUT_OF_RANGE,
    SYNTAX,
    TOO_LARGE,
    UNKNOWN_KEY,
    UNREADABLE,
    Problem,
    as_findings,
    closest,
    one_of,
    quoted,
    shown,
)
from bridgewire.documents.source import SourceMap, Span, SpanTable
from bridgewire.documents.text import RefusedError, read_text
from bridgewire.model.bench import Results

COLUMNS = (
    "trial",
    "shot",
    "igniter",
    "class",
    "place",
    "pulse_s",
    "repeat_times",
    "repeat_gap_s",
    "rest_s",
    "supply_V",
    "lit",
    "order",
    "time_s",
    "state_after",
    "reading_ohm",
    "remark",
)
"""Columns of the form. `trial`, `shot`, `igniter` and `lit` must be there."""
REQUIRED = ("trial", "shot", "igniter", "lit")
OTHER_NAMES = {"run": "trial", "step": "shot"}
"""Headings that mean the same."""
NOT_KNOWN = ("", "?", "-", "unknown")
"""Cells that say nothing."""
_LIT = {"yes": True, "y": True, "true": True, "1": True, "no": False, "n": False}
_LIT |= {"false": False, "0": False}
_INTERVAL = re.compile(r"\s*([0-9.,:]+)\s*(?:\.\.|to|–|-)\s*([0-9.,:]+)\s*")
_LONGEST_WALK = 1000
_LONGEST_TIME = 60
_TABLES = ("box", "strip", "splitter", "run", "igniter")


@frozen
class ReadResults:
    """Plain data of a record with its results in it, and what is wrong."""

    data: dict[str, Any]
    spans: SourceMap | None = None
    file: str = ""
    sha256: str = ""
    problems: tuple[Problem, ...] = ()
    """To be placed in the record."""
    findings: tuple[Finding, ...] = ()
    """Placed in the CSV file."""


def read_results(results: Results, data: Mapping[str, Any], record_file: Path) -> ReadResults:
    """Add the rows of a filled-in form to a record.

    Parameters
    ----------
    results : Results
        Names the file, inside the record's folder; UTF-8.
    data : mapping
        Plain data of the record; not changed.
    record_file : Path

    Returns
    -------
    ReadResults
    """
    whole = copy.deepcopy(dict(data))
    path = _inside(results.file, record_file.parent)
    where: DocPath = ("results", "file")
    if path is None:
        problem = Problem(
            UNREADABLE,
            "the results are not inside the record's folder",
            path=where,
            expected="a path relative to the record, inside its folder",
            got=shown(results.file),
            remedy="Put the file beside the record.",
        )
        return ReadResults(whole, problems=(problem,))
    try:
        source = read_text(path)
    except RefusedError as error:
        message = f"the results cannot be read: {error.problem.message}"
        problem = evolve(error.problem, message=message, path=where, span=None)
        return ReadResults(whole, problems=(problem,))
    if not _has_shape(whole):  # said where the record itself is checked
        return ReadResults(whole)
    rows = _Rows(results, whole)
    rows.read(source.text)
    spans = SourceMap(str(path), source.text, lambda: SpanTable(rows.places, {}))
    found = as_findings(rows.problems, spans, "bench")
    return ReadResults(whole, spans, str(path), source.sha256, (), found)


def _inside(name: str, folder: Path) -> Path | None:
    if not name.strip() or "\0" in name:
        return None
    if PurePosixPath(name).is_absolute() or PureWindowsPath(name).anchor:
        return None
    path = folder / name.replace("\\", "/")
    try:
        return path if path.resolve().is_relative_to(folder.resolve()) else None
    except (OSError, RuntimeError, ValueError):
        return None


def _has_shape(data: Mapping[str, Any]) -> bool:
    """Whether lists of tables are that, and names are texts; only then can rows be added."""
    trials, benches = _tables(data, "trial"), _tables(data, "bench")
    if trials is None or benches is None:
        return False
    parts: list[dict[str, Any]] = [*trials, *benches]
    for owner in (*trials, *benches):
        for key in (*_TABLES, "shot"):
            found = _tables(owner, key)
            if found is None:
                return False
            parts += found
    shots = [s for t in trials for s in _tables(t, "shot") or ()]
    if any(_tables(shot, "seen") is None for shot in shots):
        return False
    return all(isinstance(p.get(k, ""), str) for p in parts for k in ("id", "from", "to", "bench"))


def _tables(owner: Mapping[str, Any], key: str) -> list[dict[str, Any]] | None:
    found = owner.get(key, [])
    return found if _is_list(found) and all(isinstance(t, dict) for t in found) else None


@define
class _Rows:
    results: Results
    data: dict[str, Any]
    problems: list[Problem] = field(factory=list)
    places: dict[DocPath, Span] = field(factory=dict)

    def read(self, text: str) -> None:
        rows, wrong = split_rows(text, self.results.delimiter)
        self.problems += [evolve(p, code=SYNTAX) for p in wrong]
        if not rows:
            self.problems.append(
                Problem(
                    MISSING_KEY,
                    "the file has no row of headings",
                    expected=one_of(list(REQUIRED)),
                    span=(0, 1),
                )
            )
            return
        columns = self._columns(rows[0])
        if columns is None:
            return
        if len(rows) - 1 > MAX_RESULT_ROWS:
            self._wrong(
                TOO_LARGE,
                f"the form has more than {MAX_RESULT_ROWS} rows",
                rows[MAX_RESULT_ROWS + 1][0].span,
                f"at most {MAX_RESULT_ROWS} rows",
                f"{len(rows) - 1} rows",
            )
            return
        for row in rows[1:]:
            self._row({k: row[n] for k, n in columns.items() if n < len(row)}, row)
            if len(self.problems) > MAX_FINDINGS:  # more are not shown, and guesses take their time
                break

    def _columns(self, headings: list[Cell]) -> dict[str, int] | None:
        found: dict[str, int] = {}
        complete = True
        for n, cell in enumerate(headings):
            name = cell.text.strip().lower()
            name = {c.lower(): c for c in COLUMNS}.get(name, OTHER_NAMES.get(name, name))
            if not name:
                continue
            if name not in COLUMNS or name in found:
                complete = False
                twice = name in found
                self.problems.append(
                    Problem(
                        UNKNOWN_KEY,
                        f"{'more than one' if twice else 'the form has no'} column "
                        f"{quoted(cell.text)}",
                        expected=one_of(list(COLUMNS)),
                        got=quoted(cell.text),
                        suggestion="" if twice else closest(name, COLUMNS),
                        span=cell.span,
                    )
                )
                continue
            found[name] = n
        for name in REQUIRED:
            if name not in found:
                complete = False
                self.problems.append(
                    Problem(
                        MISSING_KEY,
                        f'there is no column headed "{name}"',
                        expected=f'a column "{name}"',
                        got=", ".join(c.text for c in headings)[:120],
                        span=headings[0].span,
                    )
                )
        return found if complete else None

    # ------------------------------------------------------------------ one row

    def _row(self, cells: Mapping[str, Cell], row: list[Cell]) -> None:
        whole = (row[0].span[0], row[-1].span[1])

        def text(name: str) -> str:
            return cells[name].text if name in cells else ""

        index = self._trial(text("trial"), cells.get("trial"), whole)
        if index is None:
            return
        trial = self.data["trial"][index]
        name = text("igniter")
        if not name or not text("shot"):
            lack = "igniter" if not name else "shot"
            self._wrong(MISSING_KEY, f"the row names no {lack}", whole, f"a name in {lack!r}")
            return
        wiring = _wiring_of(self.data, trial)
        self._igniter(index, trial, wiring, name, text("class"), text("place"), whole)
        n = self._shot(index, trial, wiring, text("shot"), name, cells, whole)
        if n is None:
            return
        shot = trial["shot"][n]
        seen = shot.setdefault("seen", [])
        # An entry of the record that only names the igniter is filled in by the row.
        empty = [k for k, entry in enumerate(seen) if entry == {"igniter": name}]
        if not empty:
            empty = [len(seen)]
            seen.append({"igniter": name})
        entry: dict[str, Any] = seen[empty[0]]
        path: DocPath = ("trial", index, "shot", n, "seen", empty[0])
        self.places[path] = whole
        self.places[(*path, "igniter")] = cells["igniter"].span
        readers: dict[str, Callable[[str], Any]] = {
            "lit": _lit,
            "order": int,
            "time_s": self._time,
            "state_after": str.lower,
            "reading_ohm": self._number,
            "remark": str,
        }
        for key, read in readers.items():
            if key == "remark":
                if text(key):
                    entry[key] = text(key)
                continue
            self._cell(entry, key, read, cells.get(key), (*path, key))

    def _cell(
        self,
        entry: dict[str, Any],
        key: str,
        read: Callable[[str], Any],
        cell: Cell | None,
        path: DocPath,
    ) -> None:
        if cell is None or cell.text.lower() in NOT_KNOWN:
            return
        self.places[path] = cell.span
        try:
            entry[key] = read(cell.text)
        except ValueError:
            expected = {
                "lit": "yes or no; nothing or ? where nobody could tell",
                "order": "a whole number",
                "time_s": "seconds, or an interval such as 0.2 to 0.4",
            }.get(key, "a number")
            message = f'{quoted(cell.text)} cannot be read as "{key}"'
            self._wrong(OUT_OF_RANGE, message, cell.span, expected, quoted(cell.text), path)

    def _wrong(
        self,
        code: str,
        message: str,
        span: Span,
        expected: str,
        got: str = "",
        path: DocPath = (),
        suggestion: str = "",
    ) -> None:
        self.problems.append(
            Problem(code, message, path, expected, got, suggestion=suggestion, span=span)
        )

    def _number(self, text: str) -> float:
        return read_number(self._decimals(text))

    def _decimals(self, text: str) -> str:
        if self.results.decimal == ".":
            return text
        if "." in text:
            raise ValueError(text)
        return text.replace(self.results.decimal, ".")

    def _time(self, text: str) -> Any:
        found = _INTERVAL.fullmatch(text) if len(text) <= _LONGEST_TIME else None
        if found is None:
            return read_seconds(self._decimals(text))
        low, high = (read_seconds(self._decimals(v)) for v in found.groups())
        return {"min": low, "max": high}

    # ------------------------------------------------------------------ places in the record

    def _trial(self, name: str, cell: Cell | None, whole: Span) -> int | None:
        trials = self.data.get("trial")
        ids = [t.get("id") for t in trials if isinstance(t, dict)] if _is_list(trials) else []
        if name in ids:
            return ids.index(name)
        known = [i for i in ids if isinstance(i, str)]
        self._wrong(
            DANGLING,
            f"the record has no trial {quoted(name)}",
            whole if cell is None else cell.span,
            one_of(known[:8]) or "the id of a trial",
            quoted(name),
            suggestion=closest(name, known) if name else "",
        )
        return None

    def _igniter(
        self,
        index: int,
        trial: dict[str, Any],
        wiring: Mapping[str, list[dict[str, Any]]],
        name: str,
        klass: str,
        place: str,
        whole: Span,
    ) -> None:
        """Add an igniter that the record does not have; hold the row against one that it has."""
        known = {i.get("id"): i for i in wiring["igniter"]}
        if name not in known:
            if not klass or not place:
                self._wrong(
                    MISSING_KEY,
                    f"the record has no igniter {quoted(name)}, and the row does not say of which "
                    "class it is and where it sits",
                    whole,
                    'the columns "class" and "place" (strip/way)',
                )
                return
            own = trial.setdefault("igniter", [])
            self.places[("trial", index, "igniter", len(own))] = whole
            own.append({"id": name, "at": place, "class": klass})
            return
        for key, stated in (("class", klass), ("at", place)):
            there = known[name].get(key)
            if stated and isinstance(there, str) and not _same(stated, there):
                self._wrong(
                    CONTRADICTION,
                    f"igniter {quoted(name)} is another here than before",
                    whole,
                    quoted(there),
                    quoted(stated),
                )

    def _shot(
        self,
        index: int,
        trial: dict[str, Any],
        wiring: Mapping[str, list[dict[str, Any]]],
        name: str,
        igniter: str,
        cells: Mapping[str, Cell],
        whole: Span,
    ) -> int | None:
        shots = trial.setdefault("shot", [])
        if not _is_list(shots):
            return None
        ids = [s.get("id", str(n + 1)) for n, s in enumerate(shots) if isinstance(s, dict)]
        known = {i.get("id"): i for i in trial.get("igniter", [])} | {
            i.get("id"): i for i in wiring["igniter"]
        }
        place = known.get(igniter, {}).get("at", "")
        fire = way_of_place(place if isinstance(place, str) else "", wiring)
        if name in ids:
            n = ids.index(name)
        else:
            if fire is None:
                self._wrong(
                    DANGLING,
                    f"no box leads to the place of igniter {quoted(igniter)}",
                    whole,
                    "strip/way of a strip that a run leads to",
                    quoted(place) if isinstance(place, str) else "",
                )
                return None
            n = len(shots)
            shots.append({"id": name, "fire": fire})
            self.places[("trial", index, "shot", n)] = whole
        shot, path = shots[n], ("trial", index, "shot", n)
        new: dict[str, Any] = {}
        for key in ("pulse_s", "rest_s", "supply_V"):
            self._cell(new, key, self._number, cells.get(key), (*path, key))
        repeat: dict[str, Any] = {}
        self._cell(repeat, "times", int, cells.get("repeat_times"), (*path, "repeat", "times"))
        self._cell(
            repeat, "gap_s", self._number, cells.get("repeat_gap_s"), (*path, "repeat", "gap_s")
        )
        if repeat.get("times", 1) != 0 and repeat:
            new["repeat"] = repeat
        for key, value in new.items():
            if shot.setdefault(key, value) != value and not isinstance(shot[key], dict):
                self._wrong(
                    CONTRADICTION,
                    f'"{key}" of shot {quoted(name)} is another here than before',
                    whole,
                    shown(shot[key]),
                    shown(value),
                )
        return n


def _is_list(value: Any) -> TypeGuard[list[Any]]:
    return isinstance(value, list)


def _same(a: str, b: str) -> bool:
    """Whether two references are the same, with or without the kit's name."""
    return a == b or a.rsplit(":", 1)[-1] == b.rsplit(":", 1)[-1]


def _lit(text: str) -> bool:
    try:
        return _LIT[text.lower()]
    except KeyError:
        raise ValueError(text) from None


def _wiring_of(
    data: Mapping[str, Any], trial: Mapping[str, Any]
) -> dict[str, list[dict[str, Any]]]:
    """The tables of a trial's wiring, with those of the bench that it names."""
    found: dict[str, list[dict[str, Any]]] = {}
    benches = data.get("bench", [])
    named = [b for b in benches if isinstance(b, dict) and b.get("id") == trial.get("bench")]
    for key in _TABLES:
        lists = [owner.get(key) for owner in (*named[:1], trial)]
        found[key] = [i for one in lists if _is_list(one) for i in one if isinstance(i, dict)]
    return found


def way_of_place(place: str, wiring: Mapping[str, list[dict[str, Any]]]) -> str | None:
    """Find the way (``box/output/way``) that a terminal (``strip/way``) is on.

    Examples
    --------
    >>> wiring = {"box": [{"id": "heron-1"}], "run": [{"from": "heron-1/2", "to": "a"}]}
    >>> way_of_place("a/3", wiring)
    'heron-1/2/3'
    """
    part, _, way = place.partition("/")
    boxes = {b.get("id") for b in wiring["box"]}
    feeds = {r.get("to"): r.get("from") for r in wiring["run"]}
    for _ in range(_LONGEST_WALK):
        above = feeds.get(part)
        if not isinstance(above, str) or not way:
            return None
        head = above.partition("/")[0]
        if head in boxes and "/" in above:
            return f"{above}/{way}"
        part = head
    return None
