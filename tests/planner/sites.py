"""Small plan sites for tests, as TOML text and ready for the planner."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path

from bridgewire.api import Report, check
from bridgewire.circuit.catalogue import Catalogue
from bridgewire.documents.site_loader import load_site
from bridgewire.kits.discovery import find_kits, kit_folders
from bridgewire.planner.problem import Problem, problem_of
from bridgewire.planner.result import Plan
from bridgewire.planner.toml import toml_text

HERON = """
[[stock]]
item = "harrowmere:heron"
count = {boxes}
supply_V = {{ min = 21.0, typical = 21.2, max = 21.4 }}
standby_s = 1800
"""
SETTINGS = "margin = 1.2\nlatest_light_s = 1.5\nspread_s = 0.2"


def site_text(
    positions: Mapping[str, tuple[float, float]],
    places: Sequence[str],
    wanted: str,
    *,
    boxes: int = 2,
    stock: Mapping[str, str] | None = None,
    requirements: str = SETTINGS,
    costs: str = "per_m = 0.5\nper_output = 3.0\nper_minute = 1.0\nminutes_per_part = 2",
    plan: str = "",
    more: str = "",
) -> str:
    """A site; `stock` maps kit entries to further keys of their tables."""
    if stock is None:
        stock = {
            "harrowmere:shore-cable": "count = 8\nlength_m = 50",
            "harrowmere:pier-cable": "count = 4\nlength_m = 100",
            "harrowmere:jetty-strip-8": "count = 20",
            "harrowmere:jetty-strip-16": "count = 20",
        }
    names = ", ".join(f'"{p}"' for p in places)
    text = [
        'format = 1\ntitle = "Test site"\nkits = ["harrowmere", "generic"]',
        f"box_places = [{names}]",
        "[site]\nambient_C = { min = 4, typical = 11, max = 18 }",
        f"[requirements]\n{requirements}",
        f"[costs]\n{costs}",
        f"[plan]\n{plan}",
        *(f'[[position]]\nid = "{p}"\nat_m = [{x}, {y}]' for p, (x, y) in positions.items()),
        wanted,
        HERON.format(boxes=boxes),
        *(f'[[stock]]\nitem = "{item}"\n{keys}' for item, keys in stock.items()),
        more,
    ]
    return "\n".join(text) + "\n"


def shells(position: str, number: int, *, first_s: float = 10.0, step_s: float = 10.0) -> str:
    """So many matches at a position, one after the other."""
    times = [first_s + step_s * k for k in range(number)]
    return (
        f'[[wanted]]\nid = "shell {position}"\nposition = "{position}"\n'
        f'class = "harrowmere:lantern-match"\ntimes_s = {times}\n'
    )


def fountains(position: str, number: int, *, first_s: float = 15.0, step_s: float = 30.0) -> str:
    """So many slow igniters at a position."""
    times = [first_s + step_s * k for k in range(number)]
    return (
        f'[[wanted]]\nid = "fountain {position}"\nposition = "{position}"\n'
        f'class = "generic:clip-on-short"\ntimes_s = {times}\n'
    )


def problem(text: str) -> Problem:
    """The problem of a site that has no mistakes."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder, "site.toml")
        file.write_text(text, encoding="utf-8")
        site, _ = load_site(file)
        kits = find_kits(site.kits, kit_folders(file, []))
    found, wrong = problem_of(site, Catalogue({k: v.kit for k, v in kits.items()}))
    assert found is not None, wrong
    return found


def checked(plan: Plan) -> Report:
    """The report of ``bridgewire check`` on the text of a plan."""
    assert plan.show is not None
    return check_text(toml_text(plan.show))


def check_text(text: str) -> Report:
    """The report of ``bridgewire check`` on a show."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder, "plan.toml")
        file.write_text(text, encoding="utf-8")
        return check(file)


EIGHT_POSITIONS = site_text(
    {
        "hut": (0.0, 0.0),
        "shed": (60.0, 0.0),
        **{f"p{i}": (9.0 * i, 12.0 + 3 * (i % 3)) for i in range(8)},
    },
    ["hut", "shed"],
    "".join(shells(f"p{i}", 4 + i % 4, first_s=10 + 100 * i) for i in range(8)),
    boxes=3,
)
"""Eight positions between two box places; two strips on an output save cable."""
