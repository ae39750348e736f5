"""Mistakes that a type checker must find in a user's script."""

from bridgewire import check

check(3)
check("show.toml").findings[0].severity.upper()
check("show.toml").nothing_such
