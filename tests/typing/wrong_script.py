"""Mistakes that a type checker must find in a user's script; never run."""

from bridgewire import check


def main() -> None:
    check(3)
    check("show.toml").findings[0].severity.upper()
    print(check("show.toml").nothing_such)
