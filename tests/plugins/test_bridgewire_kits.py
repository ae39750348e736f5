"""The hook `bridgewire_kits`: profiles that a plugin brings as files or folders."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

import bridgewire
from bridgewire.plugins import load_plugins
from tests.plugins.distributions import install
from tests.plugins.shows import KIT_DIRS, write_kit, write_show

AS_FOLDER = "Path(__file__).parent / 'profiles'"
AS_FILE = "Path(__file__).parent / 'profiles' / 'lakeside.toml'"


def plugin(value: str) -> str:
    return f"""
    from pathlib import Path

    @hookimpl
    def bridgewire_kits(context):
        return [{value}]
    """


@pytest.mark.parametrize("value", [AS_FOLDER, AS_FILE])
def test_a_show_uses_a_profile_of_a_plugin(site: Path, tmp_path: Path, value: str) -> None:
    (site / "profiles").mkdir()
    kit = write_kit(site / "profiles", "lakeside")
    install(site, plugin(value))
    kits = ('kits = ["bench"]', 'kits = ["lakeside"]')
    show = write_show(tmp_path, kits, ("bench:", "lakeside:"))
    report = bridgewire.check(show)
    (used,) = report.kits
    assert (used.id, used.file) == ("lakeside", str(kit))
    assert used.sha256 == hashlib.sha256(kit.read_bytes()).hexdigest()
    with pytest.raises(bridgewire.InputError):
        bridgewire.load_show(show, plugins=load_plugins(()))


def test_an_id_that_is_there_already_is_an_error_at_both_places(site: Path, tmp_path: Path) -> None:
    (site / "profiles").mkdir()
    write_kit(site / "profiles", "bench")
    install(site, plugin(AS_FOLDER))
    with pytest.raises(bridgewire.InputError) as caught:
        bridgewire.load_show(write_show(tmp_path), kit_dirs=KIT_DIRS)
    assert [f.code for f in caught.value.findings] == ["DOC018", "DOC018"]


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("Path('profiles')", "'profiles' is no absolute path"),
        ("Path('/no/such/profiles')", "there is no '/no/such/profiles'"),
        ("'/tmp'", "an object of type str from bridgewire_kits (entry 0), not Path"),
    ],
)
def test_paths_that_cannot_be_used(site: Path, value: str, words: str) -> None:
    install(site, plugin(value))
    found = load_plugins()
    (finding,) = found.findings
    assert finding.code == "PLG002"
    assert words in finding.message
    assert found.kits == ()
