"""``bridgewire schema``."""

from __future__ import annotations

import click


@click.command("schema")
@click.argument(
    "kind",
    type=click.Choice(
        ["kit", "show", "bench", "site", "report", "report-lines", "supply", "readings", "diff", "advice"]
    ),
)
def command(kind: str) -> None:
    """Print the JSON Schema (draft 2020-12) of a kit profile, a show, a bench record or a report.

    Editors use the first three to complete and check documents; "supply", "readings" and "diff"
    are what the commands of these names write, "advice" what "advise" does, "report-lines" what "check --format json-lines"
    does.
    """
    from pathlib import Path

    import bridgewire

    file = Path(bridgewire.__file__).parent / "schemas" / f"{kind}-1.json"
    click.echo(file.read_text(encoding="utf-8"), nl=False)
