"""``bridgewire schema``."""

from __future__ import annotations

import click


@click.command("schema")
@click.argument(
    "kind",
    type=click.Choice(
        [
            "kit",
            "show",
            "bench",
            "site",
            "plan",
            "report",
            "report-lines",
            "supply",
            "readings",
            "diff",
            "advice",
        ]
    ),
)
def command(kind: str) -> None:
    """Print the JSON Schema (draft 2020-12) of a kit profile, a show, a bench record or a report.

    Editors use the first four to complete and check documents; the others are what the commands
    of these names write, "report-lines" what "check --format json-lines" does, and "advice" what
    "advise" does.
    """
    from pathlib import Path

    import bridgewire

    file = Path(bridgewire.__file__).parent / "schemas" / f"{kind}-1.json"
    click.echo(file.read_text(encoding="utf-8"), nl=False)
