"""States an API version before the first one; its hook would bring a rule under a free code."""

from typing import Any

from bridgewire.plugins import hookimpl

BRIDGEWIRE_API = 0


@hookimpl
def bridgewire_rules(context: Any) -> Any:
    raise AssertionError("a plugin for another API version must not be asked")
