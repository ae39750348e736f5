"""The profile conforms, and the club's usual line lights with it."""

from pathlib import Path

from bridgewire import Verdict
from bridgewire.testing import assert_kit_conforms

KITS = Path(__file__).parents[1] / "src" / "harrowmere_kit"


def test_the_profile_states_everything():
    assert_kit_conforms(KITS / "harrowmere-shed.toml", complete=True)


def test_a_line_of_forty_metres_lights(bridgewire_small_show, bridgewire_check):
    show = bridgewire_small_show(
        kits=("harrowmere-shed", "generic"),
        box="harrowmere-shed:heron-b",
        strip="harrowmere-shed:board",
        cable="harrowmere-shed:drum",
        igniter="harrowmere-shed:match",
        igniters=4,
        length_m=40.0,
        supply_V=25.2,
    )
    report = bridgewire_check(show)
    assert [cue.verdict for cue in report.cues] == [Verdict.SURE] * 4
