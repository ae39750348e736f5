"""A sheet as one HTML document that can be read alone, printed, and made into a PDF."""

from __future__ import annotations

import string
from collections.abc import Iterable
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Literal

from bridgewire.diagnostics import Severity
from bridgewire.report.cautions import CAUTIONS
from bridgewire.report.contents import Checked, severity_counts
from bridgewire.report.plain_text import count, visible
from bridgewire.report.sheets.contents import Sheet
from bridgewire.timeline.outcomes import Verdict

if TYPE_CHECKING:
    from jinja2 import Template

Paper = Literal["a4", "letter"]
SIZES: dict[Paper, str] = {"a4": "A4", "letter": "letter"}
"""Names of the papers in CSS."""
_SAFE = frozenset(string.ascii_letters + string.digits + " -.,:()")
"""What stands for itself in a CSS string whatever is around it."""
FOOT = (
    "Supply disconnected and box locked while anybody is at the articles. "
    "What may not have lit is live: wait, disconnect, then approach."
)
"""On every page."""
KEPT_WHOLE = 9
"""Tables of no more rows are not parted between pages."""


def sheet_html(sheet: Sheet, report: Checked, paper: Paper = "a4") -> str:
    """Write a sheet as HTML.

    Parameters
    ----------
    sheet : Sheet
    report : Checked
        That it was made from.
    paper : str
        ``a4`` or ``letter``.

    Returns
    -------
    str
        A whole document without scripts that fetches nothing. Its pages are numbered by style
        rules for the margins of pages; a browser without these prints no such numbers.
    """
    from bridgewire.report.sheets import label_sheet
    from bridgewire.report.sheets.labels import qr_svg

    codes = {
        label.code: qr_svg(visible(label.code))
        for section in sheet.sections
        for label in section.labels
    }
    return _template().render(
        sheet=sheet,
        report=report,
        size=SIZES[paper] + (" landscape" if sheet.landscape else ""),
        cautions=(*sheet.cautions, *CAUTIONS),
        foot=FOOT,
        found=check_line(report),
        alerts=alerts_of(sheet, report),
        codes=codes,
        geometry=label_sheet,
        kept=KEPT_WHOLE,
    )


def check_line(report: Checked) -> str:
    """What the check of the show found, in one sentence."""
    found = ", ".join(count(n, s.word) for s, n in severity_counts(report).items() if s > 1)
    verdicts = report.verdict_counts()
    words = ", ".join(f"{verdicts.get(v, 0)} {v.value}" for v in Verdict)
    return f"The check of this revision found {found}. Igniter entries: {words}."


def alerts_of(sheet: Sheet, report: Checked) -> tuple[str, ...]:
    """What must be settled before anybody works by a sheet."""
    if not severity_counts(report)[Severity.ERROR]:
        return sheet.alerts
    open_ = "ERRORS STAND OPEN: settle them before anything is built by this sheet."
    return (open_, *sheet.alerts)


def css_string(text: str) -> str:
    """Write a text as a CSS string that nothing can break out of.

    >>> css_string('a"b')
    '"a\\\\22 b"'
    """
    plain = visible(text)
    safe = (
        c if (c.isalnum() and c.isascii()) or c in " -.,:()" else f"\\{ord(c):x} " for c in plain
    )
    return f'"{"".join(safe)}"'


def column_shares(widths: Iterable[float]) -> list[str]:
    """Widths of columns in percent.

    >>> column_shares([1, 3])
    ['25.00%', '75.00%']
    """
    given = list(widths)
    total = sum(given)
    return [f"{100.0 * w / total:.2f}%" for w in given]


@cache
def _template() -> Template:
    from jinja2 import Environment, StrictUndefined
    from markupsafe import Markup

    environment = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    environment.filters["visible"] = lambda text: visible(str(text))
    environment.filters["shown"] = lambda text: visible(str(text)).replace(" -> ", " → ")
    environment.filters["breakable"] = lambda text: Markup("_<wbr>").join(
        visible(str(text)).split("_")
    )
    environment.filters["css_string"] = lambda text: Markup(css_string(str(text)))
    environment.filters["shares"] = lambda columns: column_shares(c.width for c in columns)
    environment.filters["drawing"] = Markup
    text = files("bridgewire.report.sheets").joinpath("sheet.html").read_text(encoding="utf-8")
    return environment.from_string(text)
