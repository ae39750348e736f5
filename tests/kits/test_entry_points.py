"""Kit profiles in installed packages: found without importing anything."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from bridgewire.errors import InputError
from bridgewire.kits.discovery import find_kits, kit_folders
from bridgewire.kits.packages import GROUP, kit_packages

POISON = 'raise RuntimeError("a kit package was imported")\n'
KIT = 'format = 1\nid = "lakeside"\ntitle = "Lakeside kit"\n'


def dist(
    folder: Path,
    project: str = "lakeside-kits",
    *,
    value: str = "lakeside_kits",
    record: bool = True,
    package: str = "lakeside_kits",
    kit: str = KIT,
) -> Path:
    """Lay a small installed package out as an installer would."""
    inner = folder.joinpath(*package.split("."))
    inner.mkdir(parents=True, exist_ok=True)
    files = []
    for parent in [inner, *inner.parents]:
        if parent == folder:
            break
        (parent / "__init__.py").write_text(POISON, encoding="utf-8")
        files.append(f"{(parent / '__init__.py').relative_to(folder)},,")
    (inner / "kit.toml").write_text(kit, encoding="utf-8")
    files.append(f"{(inner / 'kit.toml').relative_to(folder)},,")
    metadata = folder / f"{project.replace('-', '_')}-1.0.dist-info"
    metadata.mkdir()
    text = f"Metadata-Version: 2.1\nName: {project}\nVersion: 1.0\n"
    (metadata / "METADATA").write_text(text, encoding="utf-8")
    points = f"[{GROUP}]\nlakeside = {value}\n"
    (metadata / "entry_points.txt").write_text(points, encoding="utf-8")
    if record:
        (metadata / "RECORD").write_text("\n".join(files) + "\n", encoding="utf-8")
    return inner


@pytest.fixture
def site(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "site"
    folder.mkdir()
    monkeypatch.syspath_prepend(folder)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    return folder


def assert_not_imported() -> None:
    assert not [name for name in sys.modules if name.startswith("lakeside_kits")]


@pytest.mark.parametrize("record", [True, False])
@pytest.mark.parametrize("package", ["lakeside_kits", "lakeside_kits.data"])
def test_profiles_of_a_package_are_found(site: Path, record: bool, package: str) -> None:
    """With the list of installed files, and without it (as in an editable install)."""
    inner = dist(site, value=package, package=package, record=record)
    (found,) = [p for p in kit_packages() if p.name == "lakeside"]
    assert (found.distribution, found.version, found.problem) == ("lakeside-kits", "1.0", "")
    assert found.folder == inner
    folders = kit_folders(None)
    assert inner in folders[:-1]
    assert find_kits(["lakeside"], folders)["lakeside"].kit.title == "Lakeside kit"
    assert_not_imported()


def test_nothing_is_imported_in_a_fresh_interpreter(site: Path) -> None:
    dist(site, value="lakeside_kits.data", package="lakeside_kits.data")
    code = (
        "import sys\n"
        "from bridgewire.kits.discovery import find_kits, kit_folders\n"
        "assert 'importlib.metadata' not in sys.modules\n"
        "print(find_kits(['lakeside'], kit_folders(None))['lakeside'].kit.title)\n"
        "print([m for m in sys.modules if m.startswith('lakeside')])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        env={"PYTHONPATH": str(site), "HOME": str(site)},
        check=False,
    )
    assert done.stdout.split("\n")[:2] == ["Lakeside kit", "[]"], done.stderr


def test_metadata_are_not_even_looked_at_where_no_package_offers_kits(site: Path) -> None:
    code = (
        "import sys\n"
        "from bridgewire.kits.discovery import find_kits, kit_folders\n"
        "find_kits(['generic'], kit_folders(None))\n"
        "print('importlib.metadata' in sys.modules)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False,
        env={"PYTHONPATH": str(site), "HOME": str(site)},
    )  # fmt: skip
    assert done.stdout == "False\n", done.stderr


def test_an_id_in_a_package_and_a_folder_is_refused(site: Path, tmp_path: Path) -> None:
    dist(site)
    (tmp_path / "mine.toml").write_text(KIT, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        find_kits(["lakeside"], kit_folders(tmp_path / "show.toml"))
    places = {Path(f.location.file).name for f in caught.value.findings if f.location}
    assert {f.code for f in caught.value.findings} == {"DOC018"}
    assert places == {"mine.toml", "kit.toml"}


def test_a_profile_may_extend_one_of_a_package(site: Path, tmp_path: Path) -> None:
    dist(site, kit=KIT + '[[contact]]\nid = "plug"\nrated_A = 2\n')
    file = tmp_path / "mine.toml"
    file.write_text('format = 1\nid = "mine"\nextends = "lakeside"\n', encoding="utf-8")
    loaded = find_kits(["mine"], kit_folders(tmp_path / "show.toml"))["mine"]
    assert loaded.kit.contact[0].rated_A == 2
    assert_not_imported()


@pytest.mark.parametrize(
    ("value", "words"),
    [("not_there", "no folder of the package 'not_there'"), ("a b", "not the name of a package"),
     ("lakeside_kits.none", "no folder of the package 'lakeside_kits.none'")],
)  # fmt: skip
def test_a_broken_entry_point_stops_nothing_and_is_named(
    site: Path, value: str, words: str
) -> None:
    dist(site, value=value)
    (found,) = [p for p in kit_packages() if p.distribution == "lakeside-kits"]
    assert found.folder is None
    assert words in found.problem
    assert "generic" in find_kits(["generic"], kit_folders(None))
    with pytest.raises(InputError) as caught:
        find_kits(["lakeside"], kit_folders(None))
    assert "lakeside-kits 1.0" in caught.value.findings[0].remedy
    assert_not_imported()


def test_damaged_metadata_stop_nothing(site: Path) -> None:
    dist(site)
    points = site / "lakeside_kits-1.0.dist-info" / "entry_points.txt"
    points.write_bytes(f"[{GROUP}]\nlakeside".encode() + b"\xff\xfe = [[\n")
    found = [p for p in kit_packages() if p.problem]
    assert "lakeside" in found[0].distribution
    assert "generic" in find_kits(["generic"], kit_folders(None))
