"""Makes sheets from a report."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from attrs import field, frozen

from bridgewire.report.contents import Checked
from bridgewire.report.sheets import NAMES
from bridgewire.report.sheets.contents import Sheet
from bridgewire.timeline.outcomes import Assessment


@frozen
class SheetOptions:
    """What can be chosen.

    Attributes
    ----------
    confidence : float
        That enough igniters are good, with the spares of the shopping list.
    dud_rates : mapping of str to float
        Share of duds by full id of the igniter class; ``*`` for all others.
    trial_rows : int
        Empty rows of the trial form.
    time_limit_s : float
        For the cutting plan of each cable, s.
    """

    confidence: float = 0.99
    dud_rates: Mapping[str, float] = field(factory=dict)
    trial_rows: int = 22
    time_limit_s: float = 20.0


def make_sheets(
    report: Checked, names: Sequence[str] = NAMES, options: SheetOptions | None = None
) -> tuple[Sheet, ...]:
    """Make sheets of a show.

    Parameters
    ----------
    report : Checked
        With its assessment.
    names : sequence of str
        Which sheets, out of `bridgewire.report.sheets.NAMES`.
    options : SheetOptions, optional

    Returns
    -------
    tuple of Sheet
        In the order of `names`.

    Raises
    ------
    BridgewireError
        If an optional package that a sheet needs is not installed.
    ValueError
        For a report without an assessment, or a sheet that does not exist.

    Examples
    --------
    >>> from bridgewire.api import check
    >>> sheets = make_sheets(check("examples/midwinter-small.toml"), ["wiring", "pulses"])
    >>> [s.title for s in sheets]
    ['Wiring by position', 'Pulses by box']
    """
    if report.assessment is None:
        raise ValueError("the report has no assessment")
    chosen = options or SheetOptions()
    return tuple(_maker(name)(report, report.assessment, chosen) for name in names)


Maker = Callable[[Checked, Assessment, SheetOptions], Sheet]


def _maker(name: str) -> Maker:
    try:
        return _MAKERS[name]
    except KeyError:
        raise ValueError(f"there is no sheet {name!r}; there are: {', '.join(NAMES)}") from None


def _cut(report: Checked, assessment: Assessment, options: SheetOptions) -> Sheet:
    from bridgewire.report.sheets.cut_sheet import cut_sheet

    return cut_sheet(assessment.layout, time_limit_s=options.time_limit_s)


def _wiring(report: Checked, assessment: Assessment, options: SheetOptions) -> Sheet:
    from bridgewire.report.sheets.wiring_sheet import wiring_sheet

    return wiring_sheet(assessment.layout, assessment.cues)


def _pulses(report: Checked, assessment: Assessment, options: SheetOptions) -> Sheet:
    from bridgewire.report.sheets.pulse_sheet import pulse_sheet

    return pulse_sheet(assessment.layout, assessment.cues)


def _meter(report: Checked, assessment: Assessment, options: SheetOptions) -> Sheet:
    from bridgewire.report.sheets.meter_sheet import meter_sheet

    return meter_sheet(assessment)


def _trial(report: Checked, assessment: Assessment, options: SheetOptions) -> Sheet:
    from bridgewire.report.sheets.trial import trial_sheet

    kits = tuple(f"{k.id} {k.version}".strip() for k in report.kits)
    return trial_sheet(assessment.layout, kits, options.trial_rows)


def _shopping(report: Checked, assessment: Assessment, options: SheetOptions) -> Sheet:
    from bridgewire.report.sheets.shopping_sheet import shopping_sheet

    return shopping_sheet(
        assessment.layout, dud_rates=options.dud_rates, confidence=options.confidence
    )


def _labels(report: Checked, assessment: Assessment, options: SheetOptions) -> Sheet:
    from bridgewire.report.sheets.label_sheet import label_sheet

    return label_sheet(assessment.layout, report.title, report.revision)


_MAKERS: Mapping[str, Maker] = {
    "cut-list": _cut,
    "wiring": _wiring,
    "pulses": _pulses,
    "meter": _meter,
    "trial": _trial,
    "shopping": _shopping,
    "labels": _labels,
}
