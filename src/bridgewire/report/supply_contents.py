"""What a report about supplies is written from."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence

from attrs import frozen

from bridgewire.model.band import Band
from bridgewire.timeline.outcomes import Assessment
from bridgewire.timeline.supply_log import SupplyLog, supply_logs
from bridgewire.uncertainty.cold import ColdSweep, cold_sweep
from bridgewire.uncertainty.standby import Lateness, latest_start


@frozen
class SupplyReport:
    """Voltage and charge, cold and lateness of one show.

    Attributes
    ----------
    file, title, sha256 : str
        The show and its file's digest.
    ambient_C : Band
        Reckoned with; assumed wide where not `ambient_stated`.
    logs : tuple of SupplyLog
        Of the boxes wanted.
    sweep : ColdSweep
        Verdict counts are those of the whole show.
    late : tuple of Lateness
        One for each box wanted.
    """

    file: str
    title: str
    sha256: str
    ambient_C: Band
    ambient_stated: bool
    logs: tuple[SupplyLog, ...]
    sweep: ColdSweep
    late: tuple[Lateness, ...]

    @property
    def boxes(self) -> tuple[str, ...]:
        """Ids of the boxes wanted."""
        return tuple(log.box for log in self.logs)

    @property
    def minutes_late(self) -> tuple[int | None, tuple[str, ...]]:
        """Least of the minutes known, and the boxes of which nothing is known."""
        known = [x.minutes for x in self.late if x.minutes is not None]
        unknown = tuple(x.box for x in self.late if x.limit == "not known")
        return (min(known) if known else None), unknown


def supply_report(
    assessment: Assessment,
    at_C: Sequence[float],
    *,
    file: str = "",
    sha256: str = "",
    boxes: Collection[str] = (),
    progress: Callable[[int, int], None] | None = None,
) -> SupplyReport:
    """Follow the supplies of a show, in its own weather and in other weather.

    Parameters
    ----------
    assessment : Assessment
    at_C : sequence of float
        Temperatures of the sweep, rising.
    file, sha256 : str
        Of the show, to be named in the report.
    boxes : collection of str
        Boxes wanted; all where empty.
    progress : callable, optional
        Called with temperatures done and in all.
    """
    show = assessment.layout.show
    return SupplyReport(
        file,
        show.title,
        sha256,
        assessment.simulation.ambient_C,
        show.site.ambient_C is not None,
        tuple(log for log in supply_logs(assessment) if not boxes or log.box in boxes),
        cold_sweep(assessment, at_C, progress=progress),
        tuple(x for x in latest_start(assessment) if not boxes or x.box in boxes),
    )
