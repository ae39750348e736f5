"""The pytest plugin: shows and kit profiles as tests, and fixtures.

pytest imports this module in every environment that has bridgewire, so it imports nothing else of
bridgewire before it is asked to.
"""

from __future__ import annotations

from collections.abc import Callable
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from bridgewire.api import Report
    from bridgewire.testing.show_items import DocumentFile

FAIL_ON = ("info", "warning", "error")
ENDINGS = (".toml", ".yaml", ".yml", ".json")


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add the options of the command line and of the ini file."""
    group = parser.getgroup("bridgewire", "checks of electrically fired displays")
    group.addoption(
        "--bridgewire",
        action="store_true",
        help="Check every show file and kit profile as tests.",
    )
    group.addoption(
        "--bridgewire-fail-on",
        choices=FAIL_ON,
        default=None,
        help="Least severity of a finding that fails a test (default: error, or the ini file's "
        "bridgewire_fail_on).",
    )
    group.addoption(
        "--bridgewire-kit-dir",
        action="append",
        default=[],
        metavar="DIR",
        help="A further folder in which kit profiles are looked for. May be given several times.",
    )
    group.addoption(
        "--bridgewire-baseline",
        default=None,
        metavar="FILE",
        help="A file of known findings (see bridgewire baseline), which fail no test.",
    )
    parser.addini("bridgewire_fail_on", "As --bridgewire-fail-on.", default="error")
    parser.addini(
        "bridgewire_kit_dirs",
        "Folders in which kit profiles are looked for, as seen from the ini file.",
        type="paths",
        default=[],
    )
    parser.addini(
        "bridgewire_baseline", "File of known findings, as seen from the ini file.", default=""
    )


def pytest_configure(config: pytest.Config) -> None:
    """Refuse an ini value that is no severity, and a baseline that cannot be used."""
    stated = config.getini("bridgewire_fail_on")
    if stated not in FAIL_ON:
        raise pytest.UsageError(f"bridgewire_fail_on = {stated!r} is none of: {', '.join(FAIL_ON)}")
    if config.getoption("--bridgewire"):
        from bridgewire.testing.pytest_settings import baseline

        baseline(config)


def pytest_report_header(config: pytest.Config) -> str | None:
    """Say how shows are checked."""
    if not config.getoption("--bridgewire"):
        return None
    from bridgewire import __version__
    from bridgewire.testing.pytest_settings import fail_on

    return f"bridgewire: {__version__}, fails on {fail_on(config)}"


def pytest_collect_file(file_path: Path, parent: pytest.Collector) -> DocumentFile | None:
    """Collect shows and kit profiles where ``--bridgewire`` asks for it."""
    if not parent.config.getoption("--bridgewire") or file_path.suffix.lower() not in ENDINGS:
        return None
    from bridgewire.testing.show_items import collect_document

    return collect_document(file_path, parent)


@pytest.fixture
def bridgewire_check(request: pytest.FixtureRequest) -> Callable[[str | PathLike[str]], Report]:
    """A function that checks a show file and returns its `bridgewire.Report`.

    It looks for kit profiles where ``--bridgewire-kit-dir`` and ``bridgewire_kit_dirs`` say.
    """
    from bridgewire.api import check, load_show
    from bridgewire.testing.pytest_settings import kit_dirs

    folders = kit_dirs(request.config)

    def checked(path: str | PathLike[str]) -> Report:
        return check(load_show(path, kit_dirs=folders))

    return checked


@pytest.fixture
def bridgewire_small_show(tmp_path: Path) -> Callable[..., Path]:
    """`bridgewire.testing.small_show` into the test's own folder; returns the file."""
    from bridgewire.testing.shows import small_show

    def written(**settings: object) -> Path:
        return small_show(tmp_path, **settings)  # type: ignore[arg-type]

    return written
