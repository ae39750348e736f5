from __future__ import annotations

import re
import subprocess
import sys

import pytest

from bridgewire.plugins.answers import ReportWriter
from bridgewire.plugins.wrappers import report_writers
from bridgewire.report.formats import COMPARED, OWN_FORMATS, WRITERS
from tests.cli.running import environment, run_command
from tests.report.ci_formats.runs import short_run, unusable

MODULES = {
    "sarif": "sarif",
    "junit": "junit",
    "github-annotations": "annotations",
    "gitlab-code-quality": "code_quality",
    "json-lines": "json_lines",
    "html": "html.page",
}


@pytest.mark.parametrize("name", list(WRITERS))
def test_every_format_tells_of_a_show_that_cannot_be_read(name: str) -> None:
    text = WRITERS[name](short_run())
    assert unusable().file in text
    assert text.endswith("\n")


def test_the_names_are_in_the_help_and_those_of_a_comparison_exist() -> None:
    said = re.sub(r"-\s+", "-", run_command("check", "--help").stdout)
    for name in OWN_FORMATS:
        assert name in said
    assert set(COMPARED) <= set(OWN_FORMATS)


@pytest.mark.parametrize("name", OWN_FORMATS)
def test_a_plugin_cannot_take_a_name(name: str) -> None:
    faults: list[str] = []
    writer = ReportWriter(name, lambda _: "")
    assert report_writers(lambda _: [writer], lambda _, text: faults.append(text)) == ()
    assert "bridgewire's own" in faults[0]


def test_only_what_is_asked_for_is_imported() -> None:
    script = (
        "import sys; from bridgewire.report.formats import WRITERS\n"
        "from bridgewire.report.run import CheckedRun\n"
        "def loaded(): return {m for m in sys.modules if m.startswith('bridgewire.report.')}\n"
        f"modules = {MODULES!r}\n"
        "assert not {'bridgewire.report.' + m for m in modules.values()} & loaded()\n"
        "WRITERS['sarif'](CheckedRun(()))\n"
        "others = set(modules.values()) - {'sarif'}\n"
        "assert not {'bridgewire.report.' + m for m in others} & loaded()\n"
        "assert not {'jinja2', 'xml.etree'} & set(sys.modules)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, env=environment(), check=False
    )
    assert done.returncode == 0, done.stderr.decode()
