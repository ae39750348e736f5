"""How hooks and what they are given go out of use: by a warning for one API version first.

A hook that is renamed keeps working under its old name, and a field of a context that is replaced
keeps its value; both warn whoever still uses them. With `RENAMED_HOOKS` empty nothing is
deprecated at present.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable, Mapping
from typing import Generic, TypeVar

from attrs import frozen

T = TypeVar("T")


class BridgewireDeprecationWarning(DeprecationWarning):
    """A plugin uses something of the plugin API that will go.

    Python shows it in tests; ``bridgewire plugins`` lists it as *will go*.

    Examples
    --------
    >>> issubclass(BridgewireDeprecationWarning, DeprecationWarning)
    True
    """


@frozen
class Renamed:
    """The new name of a hook.

    Attributes
    ----------
    new : str
    since : str
        Version of bridgewire that renamed it.
    until_api : int
        API version in which the old name works no longer.
    """

    new: str
    since: str
    until_api: int

    def words(self, old: str, plugin: str) -> str:
        """Tell the author of a plugin.

        >>> Renamed("bridgewire_kits", "0.3", 2).words("bridgewire_profiles", "lakeside")
        "plugin 'lakeside': the hook bridgewire_profiles is called bridgewire_kits since \
bridgewire 0.3; the old name works until API version 2"
        """
        return (
            f"plugin {plugin!r}: the hook {old} is called {self.new} since bridgewire "
            f"{self.since}; the old name works until API version {self.until_api}"
        )


RENAMED_HOOKS: Mapping[str, Renamed] = {}
"""By old name."""


def warn(text: str, *, stacklevel: int = 2) -> None:
    """Issue the warning; `stacklevel` as in `warnings.warn`, seen from the caller."""
    warnings.warn(text, BridgewireDeprecationWarning, stacklevel=stacklevel + 1)


class DeprecatedField(Generic[T]):
    """A property of a context that warns when it is read.

    Parameters
    ----------
    read : callable
        From the context to the value.
    instead : str
        What to use.
    until_api : int
        API version in which it is gone.

    Examples
    --------
    >>> class Context:
    ...     plugin_name = "lakeside"
    ...     name = DeprecatedField(lambda context: context.plugin_name, "plugin_name", 2)
    >>> with warnings.catch_warnings(record=True) as caught:
    ...     warnings.simplefilter("always")
    ...     Context().name
    'lakeside'
    >>> str(caught[0].message)
    'Context.name is going; use plugin_name (works until API version 2)'
    """

    def __init__(self, read: Callable[[object], T], instead: str, until_api: int) -> None:
        self._read = read
        self._instead = instead
        self._until_api = until_api
        self._name = ""

    def __set_name__(self, owner: type, name: str) -> None:
        self._name = f"{owner.__name__}.{name}"

    def __get__(self, instance: object, owner: type | None = None) -> T:
        warn(
            f"{self._name} is going; use {self._instead} (works until API version "
            f"{self._until_api})"
        )
        return self._read(instance)
