"""Which of a show's ignores leave a finding out, and until when."""

from __future__ import annotations

import datetime

from bridgewire.diagnostics import Finding
from bridgewire.model.show import Ignore


def holds(ignore: Ignore, today: datetime.date) -> bool:
    """Whether an ignore is in force: through the whole of its last day.

    Parameters
    ----------
    ignore : Ignore
    today : datetime.date

    Examples
    --------
    >>> once = Ignore("WIR009", "short cut over the jetty", until=datetime.date(2026, 8, 1))
    >>> holds(once, datetime.date(2026, 8, 1)), holds(once, datetime.date(2026, 8, 2))
    (True, False)
    """
    return ignore.until is None or today <= ignore.until


def matches(ignore: Ignore, finding: Finding) -> bool:
    """Whether a finding is one that an ignore speaks of, whatever the day.

    Parameters
    ----------
    ignore : Ignore
    finding : Finding

    Examples
    --------
    >>> matches(Ignore("WIR009", "short cut", "jetty"), Finding("WIR009", "x", subjects=("jetty",)))
    True
    """
    return ignore.code == finding.code and (
        ignore.subject is None or ignore.subject in finding.subjects
    )
