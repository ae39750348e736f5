"""Spares against the binomial distribution of scipy, and at their limits."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bridgewire.report.sheets.shopping import ShoppingRow, shopping_list
from bridgewire.report.sheets.shopping_sheet import shopping_sheet
from bridgewire.report.sheets.spares import enough_probability, spares_needed
from tests.agreements import Agreement
from tests.oracles import oracle_or_skip
from tests.report.sheets.shows import parallel_and_leads

BINOMIAL = Agreement(
    "binomial-spares",
    oracle="scipy `binom`",
    what="chance that enough igniters are good, and the number of spares that follows",
    limit=1e-9,
    unit="probability",
    package="scipy",
)


@pytest.mark.oracle
@settings(max_examples=200, deadline=None)
@given(
    st.integers(1, 2000),
    st.floats(1e-5, 0.5),
    st.sampled_from([0.5, 0.9, 0.95, 0.99, 0.999, 0.999999]),
)
def test_one_spare_less_is_too_few(needed: int, dud_rate: float, confidence: float) -> None:
    oracle_or_skip("scipy")
    from scipy.stats import binom

    spares = spares_needed(needed, dud_rate, confidence)
    good = 1.0 - dud_rate

    def chance(extra: int) -> float:
        return float(binom.sf(needed - 1, needed + extra, good))

    assert chance(spares) >= confidence - 1e-9
    assert spares == 0 or chance(spares - 1) < confidence + 1e-9
    BINOMIAL.within(enough_probability(needed, spares, dud_rate) - chance(spares))


def test_first_terms_below_the_smallest_float_do_not_matter() -> None:
    """0.1^2000 cannot be written as a float; the mean number of duds is 18,000."""
    assert 18_000 < spares_needed(2000, 0.9, 0.99) < 19_500


def test_one_needed_by_hand() -> None:
    """One needed, one in ten a dud: 0.9, 0.99, 0.999 with no, one, two spares."""
    assert [spares_needed(1, 0.1, c) for c in (0.9, 0.91, 0.99, 0.991)] == [0, 1, 1, 2]


def test_none_needed() -> None:
    assert spares_needed(0, 0.3, 0.99) == 0


@pytest.mark.parametrize(
    ("needed", "dud_rate", "confidence"),
    [(-1, 0.1, 0.9), (1, 1.0, 0.9), (1, -0.1, 0.9), (1, 0.1, 1.0), (1, 0.1, -0.1)],
)
def test_nonsense_is_refused(needed: int, dud_rate: float, confidence: float) -> None:
    with pytest.raises(ValueError, match="at least"):
        spares_needed(needed, dud_rate, confidence)


def rows(dud_rates: dict[str, float]) -> dict[tuple[str, str, str, str], ShoppingRow]:
    assessment = parallel_and_leads().assessment
    assert assessment is not None
    found = shopping_list(assessment.layout, dud_rates=dud_rates, confidence=0.99)
    return {(r.group, r.item, r.batch, r.note): r for r in found}


UNKNOWN = "spares cannot be computed: the share of duds is not known"


def test_nothing_is_assumed_of_duds() -> None:
    row = rows({})[("igniter", "harrowmere:lantern-match", "spring box", UNKNOWN)]
    assert (row.needed, row.spares, row.dud_rate) == (2, None, None)
    assessment = parallel_and_leads().assessment
    assert assessment is not None
    sheet = shopping_sheet(assessment.layout, dud_rates={}, confidence=0.99)
    assert any(line.startswith("SPARES NOT COMPUTED") for line in sheet.alerts)
    assert all("not known" in row for row in sheet.sections[0].grids[0].rows)


def test_classes_and_batches_are_counted_apart() -> None:
    found = rows({"harrowmere:lantern-match": 0.1})
    assert found[("igniter", "harrowmere:lantern-match", "spring box", "")].spares == 2
    assert found[("igniter", "harrowmere:lantern-match", "", "")].needed == 3
    slow = found[("igniter", "generic:clip-on-short", "", UNKNOWN)]
    assert (slow.needed, slow.spares) == (2, None)
    assert rows({"*": 0.1})[("igniter", "generic:clip-on-short", "", "")].spares == 2


def test_cables_parts_and_connectors_are_counted() -> None:
    found = rows({})
    shore = found[("cable", "harrowmere:shore-cable", "", "2 pieces")]
    assert shore.needed == pytest.approx(37.0)
    assert found[("cable", "harrowmere:reed-lead", "", "3 pieces")].needed == pytest.approx(8.8)
    assert found[("strip", "harrowmere:jetty-strip-8", "", "")].needed == 2
    # Two cables with two ends and two more at the coupler each, and one with two ends.
    assert found[("connector", "harrowmere:lake-plug", "", "on cable ends")].needed == 10
    assert found[("connector", "harrowmere:lake-plug", "", "inline couplers")].needed == 2


def test_a_chance_is_never_rounded_up_to_certainty() -> None:
    assessment = parallel_and_leads().assessment
    assert assessment is not None
    sheet = shopping_sheet(assessment.layout, dud_rates={"*": 1e-9}, confidence=0.9)
    assert all(row[-1] != "100" for row in sheet.sections[0].grids[0].rows)
