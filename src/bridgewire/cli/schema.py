"""``bridgewire schema``."""

from __future__ import annotations

import click


@click.command("schema")
@click.argument("kind", type=click.Choice(["kit", "show", "report", "supply"]))
def command(kind: str) -> None:
    """Print the JSON Schema (draft 2020-12) of a kit profile, a show or a report.

    Editors use the first two to complete and check documents; "supply" is what the command of that
    name writes.
    """
    from pathlib import Path

    import bridgewire

    file = Path(bridgewire.__file__).parent / "schemas" / f"{kind}-1.json"
    click.echo(file.read_text(encoding="utf-8"), nl=False)
