"""``bridgewire explain``."""

from __future__ import annotations

import sys
from collections.abc import Sequence

import click

from bridgewire.cli.candidates import rule_codes
from bridgewire.cli.terminal import colour_option, ink_for, terminal_width


@click.command("explain")
@click.argument("code", required=False, shell_complete=rule_codes)
@colour_option
def command(code: str | None, colour: str) -> None:
    """Print what a finding's CODE means, its model and limits, and what to do instead.

    Without a code, list all codes with a summary of each.
    """
    from bridgewire.plugins.manager import load_plugins
    from bridgewire.report.rule_page import rule_list, rule_page
    from bridgewire.rules.registry import all_rules, load_rule, rule_files

    ink = ink_for(colour, sys.stdout)
    width = min(terminal_width(sys.stdout), 100)
    if code is None:
        rules = (*all_rules(), *load_plugins().rules)
        click.echo(rule_list(rules, width, ink), nl=False, color=ink.colour)
        return
    wanted = code.strip().upper()
    if wanted in rule_files():
        click.echo(rule_page(load_rule(wanted), width, ink), nl=False, color=ink.colour)
        return
    from_plugins = load_plugins().rules
    for loaded in (*all_rules(), *from_plugins):
        if wanted == loaded.rule.code or loaded.rule.name == code.strip().lower():
            click.echo(rule_page(loaded, width, ink), nl=False, color=ink.colour)
            return
    codes = [*rule_files(), *(r.rule.code for r in from_plugins)]
    raise click.UsageError(f"there is no rule {code!r}{_hint(wanted, codes)}")


def _hint(wanted: str, codes: Sequence[str]) -> str:
    """The nearest code or name, or where to find all of them."""
    import difflib
    import re

    from bridgewire.rules.registry import all_rules

    short = re.fullmatch(r"([A-Z]{3})[ -]?(\d{1,3})", wanted)
    full = f"{short[1]}{int(short[2]):03d}" if short else ""
    if full in codes:
        return f"; did you mean {full}?"
    near = difflib.get_close_matches(wanted, codes, n=1, cutoff=0.6)
    if not near:
        names = {loaded.rule.name: loaded.rule.code for loaded in all_rules()}
        near = difflib.get_close_matches(wanted.lower(), list(names), n=1, cutoff=0.6)
    if near:
        return f"; did you mean {near[0]}?"
    return "; 'bridgewire explain' lists all codes"
