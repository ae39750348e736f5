"""What hooks and report writers are given: one frozen object each."""

from __future__ import annotations

from attrs import frozen

from bridgewire.report.contents import Checked


@frozen
class PluginContext:
    """What every hook is given.

    Parameters
    ----------
    plugin_name : str
        Name of the entry point that brought the plugin.
    api_version : int
        Version of this API, `bridgewire.plugins.API_VERSION`.
    bridgewire_version : str
        Of the installed package.

    Examples
    --------
    >>> PluginContext("lakeside", 1, "0.1").plugin_name
    'lakeside'
    """

    plugin_name: str
    api_version: int
    bridgewire_version: str


@frozen(eq=False)
class ReportContext:
    """What a report writer is given.

    Parameters
    ----------
    reports : tuple of Checked
        One for each show that could be read, in the order asked for; one output holds them all.
        Everything computed is in their ``assessment``.
    cautions : tuple of str
        Sentences that belong under every report meant for people.
    bridgewire_version : str
        Of the installed package.

    Examples
    --------
    >>> from bridgewire import check
    >>> context = ReportContext((check("examples/midwinter-small.toml"),), ("Keep clear.",), "0.1")
    >>> [(report.title, len(report.cues)) for report in context.reports]
    [('Midwinter on the Mere', 3)]
    """

    reports: tuple[Checked, ...]
    cautions: tuple[str, ...]
    bridgewire_version: str
