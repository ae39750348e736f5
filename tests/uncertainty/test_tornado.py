"""What one uncertainty alone does to a margin."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from bridgewire.uncertainty.limit_state import OddsError
from bridgewire.uncertainty.tornado import NoMarginError, tornado
from tests.uncertainty.shows import CURRENT_A, REACH, assessed, band, kit, show, single

SIGMA = 0.05
TYPICAL_A = 0.4


def test_ends_of_one_threshold_follow_the_closed_form(tmp_path: Path) -> None:
    """Margin of a single igniter: current over threshold, less what the pulse is too short for."""
    found = tornado(single(tmp_path, band(TYPICAL_A, SIGMA), batch_share=0.0), 0)
    assert (found.cue, found.igniter, found.sigmas) == ("cue 0", "a 1", 3.0)
    assert found.margin == pytest.approx(REACH * CURRENT_A / TYPICAL_A, rel=1e-5)
    (bar,) = found.bars
    assert (bar.name, bar.causes) == ("igniter itself: threshold", 1)
    assert bar.worse == pytest.approx(found.margin * math.exp(-3.0 * SIGMA), rel=1e-5)
    assert bar.better == pytest.approx(found.margin * math.exp(3.0 * SIGMA), rel=1e-5)
    assert bar.swing == pytest.approx(6.0 * SIGMA, rel=1e-5)


def test_own_and_common_part_of_a_threshold_are_two_bars(tmp_path: Path) -> None:
    share = 0.36
    found = tornado(single(tmp_path, band(TYPICAL_A, SIGMA), batch_share=share), 0)
    assert [b.name for b in found.bars] == ["igniter itself: threshold", "igniter batch: threshold"]
    for bar, part in zip(found.bars, (1.0 - share, share), strict=True):
        assert bar.swing == pytest.approx(6.0 * SIGMA * math.sqrt(part), rel=1e-5)


def test_moves_as_far_as_the_show_reads_the_ends_of_a_band(tmp_path: Path) -> None:
    text = show(["a/1"], ['fire = "box/1/1"\ntime_s = 1.0'], more="[scatter]\nband_sigma = 2.0\n")
    made = assessed(tmp_path, kit(band(TYPICAL_A, SIGMA, 2.0), batch_share=0.0), text)
    found = tornado(made, 0)
    assert found.sigmas == 2.0
    assert found.bars[0].swing == pytest.approx(4.0 * SIGMA, rel=1e-5)


def test_bars_are_sorted_and_many_causes_are_one_bar(tmp_path: Path) -> None:
    text = kit(band(TYPICAL_A, 0.02), contact=band(0.05, 0.3), batch_share=0.0)
    found = tornado(assessed(tmp_path, text, show(["a/1"], ['fire = "box/1/1"\ntime_s = 1.0'])), 0)
    swings = [b.swing for b in found.bars]
    assert swings == sorted(swings, reverse=True)
    by_name = {b.name: b for b in found.bars}
    assert by_name["contacts"].causes > 1
    assert all(b.worse < found.margin < b.better for b in found.bars)


def test_values_without_tolerance_give_no_bar(tmp_path: Path) -> None:
    assert tornado(single(tmp_path, f"{TYPICAL_A}"), 0).bars == ()


def test_cue_that_lights_nothing_is_refused(tmp_path: Path) -> None:
    text = show(["a/1"], ['fire = "box/1/1"\ntime_s = 1.0', 'fire = "box/1/2"\ntime_s = 2.0'])
    made = assessed(tmp_path, kit(f"{TYPICAL_A}"), text)
    with pytest.raises((NoMarginError, OddsError), match="cue 1"):
        tornado(made, 1)
