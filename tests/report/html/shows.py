"""Shows for the tests of the HTML report."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

from bridgewire.api import Report, check
from bridgewire.report.html.page import html_page

ROOT = Path(__file__).parents[3]
EXAMPLES = ROOT / "examples"
SMALL = EXAMPLES / "midwinter-small.toml"
TROUBLES = EXAMPLES / "boathouse-troubles.toml"
FULL = EXAMPLES / "regatta-night" / "show.toml"

SCRIPT = "<script>document.title='taken'"
IMAGE = '"><img src=x onerror="document.title=\'taken\'">'
TURNED = "abc\u202egnp.exe"
LONG = "x" * 120
_MORE = ("灯 & <b>", "'--><style>", "{{ 7*7 }}", "A", "a")
HOSTILE_IDS = (SCRIPT, IMAGE, "=1+1", TURNED, LONG, *_MORE)
"""Ids of cues and igniters that try to break out of wherever they are put. An id holds no slash
and at most 120 characters."""


@cache
def report(file: Path) -> Report:
    """The report of a show, checked once."""
    return check(file)


@cache
def page(file: Path) -> str:
    """The page of a show."""
    return html_page([report(file)], "0.1.0")


def hostile_show(folder: Path) -> Path:
    """Write a show in which every name is hostile, and return its path."""
    quoted = [json.dumps(name, ensure_ascii=True) for name in HOSTILE_IDS]
    title = json.dumps("</title><script>document.title='taken'</script> \u202e & co")
    strip = json.dumps("strip <i>\"'")
    parts = [
        f"format = 1\ntitle = {title}\nkits = ['harrowmere', 'generic']\n",
        "[site]\nambient_C = { min = -4, typical = 1, max = 5 }\n",
        "[requirements]\nmargin = 99\n",
        "[[box]]\nid = 'heron-1'\nkind = 'heron'\nat_m = [0, 0]\n",
        f"[[strip]]\nid = {strip}\nkind = 'generic:strip-16'\nat_m = [10, 10]\n",
        f"[[run]]\nfrom = 'heron-1/1'\nto = {strip}\ncable = 'raft-cable'\nlength_m = 20\n",
    ]
    for n, name in enumerate(quoted, 1):
        at = json.dumps(f"strip <i>\"'/{n}")
        parts.append(
            f"[[igniter]]\nid = {name}\nat = {at}\nclass = 'generic:electric-match'\n"
            f"lights = {quoted[0]}\n"
            f"[[cue]]\nid = {name}\nfire = 'heron-1/1/{n}'\ntime_s = {10 * n}\npulse_s = 0.05\n"
        )
    reason = json.dumps(f"because {SCRIPT}")
    parts.insert(1, f"[checks]\nignore = [{{ code = 'WIR007', reason = {reason} }}]\n")
    file = folder / "hostile <b>.toml"
    file.write_text("\n".join(parts), encoding="utf-8")
    return file
