"""``bridgewire bench check``."""

from __future__ import annotations

import sys

import click

from bridgewire.cli.terminal import kit_dir_option, terminal_width


@click.command("check")
@click.argument("record")
@kit_dir_option
def command(record: str, kit_dirs: tuple[str, ...]) -> None:
    """Read the bench record RECORD, and its filled-in form: is anything wrong or missing?

    Names every key that cannot be read, every name that is nowhere, every contradiction in what
    was seen, and every value that the kits lack. Then it lists what the record takes for granted.

    Exit code 2: something is wrong.
    """
    from bridgewire.bench.compile_record import compile_record
    from bridgewire.cli.bench_record import load
    from bridgewire.report.bench_record_text import bench_record_text

    model = compile_record(load(record, kit_dirs))
    click.echo(bench_record_text(model, terminal_width(sys.stdout)), nl=False)
