"""What hooks and report writers are given: one frozen object each."""

from __future__ import annotations

from attrs import frozen

from bridgewire.report.contents import Checked


@frozen
class PluginContext:
    """What every hook is given.

    Attributes
    ----------
    plugin_name : str
        Name of the entry point that brought the plugin.
    api_version : int
        Version of this API, `bridgewire.plugins.API_VERSION`.
    bridgewire_version : str
    """

    plugin_name: str
    api_version: int
    bridgewire_version: str


@frozen(eq=False)
class ReportContext:
    """What a report writer is given.

    Attributes
    ----------
    reports : tuple of Checked
        One for each show that could be read, in the order asked for; one output holds them all.
        Everything computed is in their ``assessment``.
    cautions : tuple of str
        Sentences that belong under every report meant for people.
    bridgewire_version : str
    """

    reports: tuple[Checked, ...]
    cautions: tuple[str, ...]
    bridgewire_version: str
