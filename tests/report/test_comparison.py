from __future__ import annotations

from attrs import evolve

from bridgewire.api import Report
from bridgewire.diagnostics import Finding, Severity
from bridgewire.report.comparison import Column, comparison_text
from bridgewire.timeline.outcomes import Verdict
from tests.report.fixtures import small_report


def with_verdicts(verdict: Verdict) -> Report:
    """The small report with one verdict everywhere and no findings."""
    report = small_report()
    assert report.assessment is not None
    cues = tuple(
        evolve(c, igniters=tuple(evolve(i, verdict=verdict) for i in c.igniters))
        for c in report.cues
    )
    assessment = evolve(report.assessment, cues=cues)
    return evolve(report, cues=cues, findings=(), assessment=assessment)


def test_answers() -> None:
    sure = with_verdicts(Verdict.SURE)
    assert Column("a", sure).answer == "yes"
    bad = evolve(sure, findings=(Finding("SUP002", "sags", Severity.ERROR),))
    assert Column("a", bad).answer == "with errors"
    assert Column("a", with_verdicts(Verdict.MARGINAL)).answer == "not surely"
    assert Column("a", with_verdicts(Verdict.NO)).answer == "no"
    assert Column("a", with_verdicts(Verdict.UNKNOWN)).answer == "unknown"
    assert Column("a", None).answer == "lacks parts"


def test_what_a_list_lacks_stands_beside_what_another_can() -> None:
    lacks = Column("teal only", None, (Finding("DOC011", "there is no cable 'bench:reel'"),))
    text = comparison_text("Proms", [Column("bench", with_verdicts(Verdict.SURE)), lacks])
    assert "there is no cable 'bench:reel'" in text
    row = next(line for line in text.splitlines() if line.startswith("fires the show"))
    assert row.split()[3:] == ["yes", "lacks", "parts"]


def test_cues_sure_on_every_list_are_counted_not_listed() -> None:
    columns = [Column("a", with_verdicts(Verdict.SURE)), Column("b", with_verdicts(Verdict.SURE))]
    assert "4 cues sure on every list" in comparison_text("t", columns)
    assert "opening" not in comparison_text("t", columns)
    assert "opening" in comparison_text("t", columns, verbose=True)


def test_many_lists_go_into_several_tables_of_80_columns() -> None:
    columns = [Column(f"list {n}", small_report()) for n in range(9)]
    text = comparison_text("t", columns)
    assert all(len(line) <= 80 for line in text.splitlines())
    assert text.count("fires the show") == 3
    for letter in "ABCDEFGHI":
        assert f"\n  {letter}  list" in text
