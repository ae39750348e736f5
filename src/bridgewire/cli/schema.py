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
            "bench-fit",
            "bench-next",
            "bench-predict",
            "bench-sensitivity",
        ]
    ),
    metavar="KIND",
)
def command(kind: str) -> None:
    """Print the JSON Schema (draft 2020-12) by which editors and programs know a document.

    By the KINDs kit, show, bench and site editors complete and check what is typed. The others are
    of what commands write with --format json: plan, supply, readings and diff by their own names,
    advice by advise, report by check, report-lines by check --format json-lines, and bench-fit,
    bench-next, bench-predict and bench-sensitivity by the commands of bench.
    """
    from pathlib import Path

    import bridgewire

    file = Path(bridgewire.__file__).parent / "schemas" / f"{kind}-1.json"
    click.echo(file.read_text(encoding="utf-8"), nl=False)
