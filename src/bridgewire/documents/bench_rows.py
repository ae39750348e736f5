"""Adds the rows of a filled-in trial form to a bench record: igniters, shots and what was seen."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from attrs import define, evolve, field

from bridgewire.diagnostics import DocPath
from bridgewire.documents.bench_cells import (
    COLUMNS,
    EXPECTED,
    NOT_KNOWN,
    OTHER_NAMES,
    REQUIRED,
    FormCells,
    read_lit,
)
from bridgewire.documents.bench_wiring import is_list, way_of_place, wiring_of
from bridgewire.documents.csv_text import Cell, split_rows
from bridgewire.documents.cue_cells import read_whole
from bridgewire.documents.limits import MAX_FINDINGS, MAX_RESULT_ROWS
from bridgewire.documents.problems import (
    CONTRADICTION,
    DANGLING,
    MISSING_KEY,
    OUT_OF_RANGE,
    SYNTAX,
    TOO_LARGE,
    UNKNOWN_KEY,
    Problem,
    all_of,
    closest,
    name_meant,
    one_of,
    quoted,
    shown,
)
from bridgewire.documents.source import Span
from bridgewire.model.bench import Results

_DECIMALS = ("pulse_s", "repeat_gap_s", "rest_s", "supply_V", "time_s", "reading_ohm")
"""Columns whose numbers may have decimals."""


@define
class FormRows:
    """The rows of one form under way into the plain data of its record, which they change.

    Attributes
    ----------
    results : Results
        How the form is written.
    data : dict
        Of the record.
    problems : list of Problem
        Placed in the form.
    places : dict of DocPath to Span
        Where in the form the values stand that the rows have added.
    """

    results: Results
    data: dict[str, Any]
    problems: list[Problem] = field(factory=list)
    places: dict[DocPath, Span] = field(factory=dict)

    def read(self, text: str) -> None:
        """Read a whole form."""
        rows, wrong = split_rows(text, self.results.delimiter)
        self.problems += [evolve(p, code=SYNTAX) for p in wrong]
        if not rows:
            self.problems.append(
                Problem(
                    MISSING_KEY,
                    "the file has no row of headings",
                    expected=f"the headings {all_of(REQUIRED)}",
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
            if not self._too_long(row, columns, len(rows[0])):
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

    def _too_long(self, row: list[Cell], columns: Mapping[str, int], width: int) -> bool:
        """Refuse more cells than headings: a decimal comma may have made two of one number."""
        if len(row) <= width:
            return False
        extra = next((c for c in row[width:] if c.text), None)
        comma = self.results.delimiter == ","
        for n in sorted(columns[k] for k in _DECIMALS if k in columns and comma):
            if row[n].text.isdecimal() and row[n + 1].text.isdecimal():
                extra = row[n]
                break
        if extra is None:
            return False
        self._wrong(
            SYNTAX,
            "the row has more cells than there are headings, as where a decimal comma parts a "
            "number",
            extra.span,
            f"{width} cells",
            f"{len(row)} cells",
        )
        return True

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
            self._wrong(
                MISSING_KEY,
                f"the row names no {lack}",
                whole,
                f"a name in the column {quoted(lack)}",
            )
            return
        wiring = wiring_of(self.data, trial)
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
        form = FormCells(self.results.decimal)
        readers: dict[str, Callable[[str], Any]] = {
            "lit": read_lit,
            "order": read_whole,
            "time_s": form.time,
            "state_after": str.lower,
            "reading_ohm": form.number,
        }
        for key, read in readers.items():
            self._cell(entry, key, read, cells.get(key), (*path, key))
        if text("remark"):
            entry["remark"] = text("remark")

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
            column = f"repeat_{key}" if key in ("times", "gap_s") else key
            expected = EXPECTED.get(column, "a number")
            message = f'{quoted(cell.text)} cannot be read as "{column}"'
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

    # ------------------------------------------------------------------ places in the record

    def _trial(self, name: str, cell: Cell | None, whole: Span) -> int | None:
        trials = self.data.get("trial")
        ids = [t.get("id") for t in trials if isinstance(t, dict)] if is_list(trials) else []
        if name in ids:
            return ids.index(name)
        known = [i for i in ids if isinstance(i, str)]
        self._wrong(
            DANGLING,
            f"the record has no trial {quoted(name)}",
            whole if cell is None else cell.span,
            one_of(known[:8]) or "the id of a trial",
            quoted(name),
            suggestion=name_meant(name, known) if name else "",
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
                what = "place" if key == "at" else key
                self._wrong(
                    CONTRADICTION,
                    f"the {what} of igniter {quoted(name)} is another here than before",
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
        if not is_list(shots):
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
        form = FormCells(self.results.decimal)
        new: dict[str, Any] = {}
        for key in ("pulse_s", "rest_s", "supply_V"):
            self._cell(new, key, form.number, cells.get(key), (*path, key))
        for key, value in new.items():
            self._agree(shot, key, value, name, whole)
        repeat: dict[str, Any] = {}
        before = len(self.problems)
        times, gap = cells.get("repeat_times"), cells.get("repeat_gap_s")
        self._cell(repeat, "times", read_whole, times, (*path, "repeat", "times"))
        self._cell(repeat, "gap_s", form.number, gap, (*path, "repeat", "gap_s"))
        readable = len(self.problems) == before
        if repeat and repeat.get("times") != 0 and readable:
            stated = shot.setdefault("repeat", {})
            for key, value in repeat.items() if isinstance(stated, dict) else ():
                self._agree(stated, key, value, name, whole)
        return n

    def _agree(self, table: dict[str, Any], key: str, value: Any, shot: str, whole: Span) -> None:
        """Take a value of a shot over, unless another row or the record says something else."""
        stated = table.setdefault(key, value)
        if stated != value and not isinstance(stated, dict):  # a band of the record stands
            self._wrong(
                CONTRADICTION,
                f'"{key}" of shot {quoted(shot)} is another here than before',
                whole,
                shown(stated),
                shown(value),
            )


def _same(a: str, b: str) -> bool:
    """Whether two references are the same, with or without the kit's name."""
    return a == b or a.rsplit(":", 1)[-1] == b.rsplit(":", 1)[-1]
