"""The table of many shows: what it counts, what it points to, and long names."""

from __future__ import annotations

from attrs import evolve

from bridgewire.report.plain_text import columns
from bridgewire.report.summary_table import summary_table
from bridgewire.rules.engine import Ignored
from tests.report.ci_formats.runs import troubles
from tests.report.fixtures import small_report


def test_counts_and_sum() -> None:
    report = troubles()
    lines = summary_table([report, evolve(report, file="shows/other.toml")])
    assert lines[0] == "Shows (2)"
    assert lines[1].split() == ["sure", "marg.", "no", "unkn.", "err.", "warn.", "notes"]
    own = [4, 1, 4, 0, 12, 29, 7]
    assert lines[2].split() == [report.file, *map(str, own)]
    assert lines[4].split() == ["all", "shows", *(str(2 * n) for n in own)]


def test_the_worst_show_is_pointed_to() -> None:
    report = troubles()
    calm = evolve(report, file="calm.toml", findings=())
    assert summary_table([calm, report])[-1] == f"  Look first at {report.file}"
    assert summary_table([report], [("bad.toml", 2)])[-1].startswith("  1 show could not be read")


def test_known_findings_have_a_column_where_there_are_any() -> None:
    report = troubles()
    known = tuple(Ignored(f, "known", baseline=True) for f in report.findings)
    lines = summary_table([evolve(report, findings=(), ignored=known)])
    assert lines[1].split()[-1] == "known"
    assert lines[2].split()[1:] == ["4", "1", "4", "0", "0", "0", "0", "48"]
    assert "Look first" in lines[-1]  # igniters are still not sure


def test_names_of_any_length_fit_80_columns() -> None:
    report = small_report()
    names = [f"a/very/long/path/to/shows/{'x' * n}{'灯' * n}-{n}.toml" for n in (1, 20, 60)]
    lines = summary_table([evolve(report, file=n) for n in names], [(names[0] + "\x1b[1m", 1)])
    assert all(columns(line) <= 80 for line in lines)
    assert all(line.isprintable() for line in lines)
    assert lines[0] == "Shows (4) in a/very/long/path/to/shows/"
    assert len(set(lines)) == len(lines)
    wide = summary_table([evolve(report, file=names[1])], width=200)
    assert any(names[1] in line for line in wide)
