"""Writes drawings to the files that options name: SVG, or PNG where the name ends so."""

from __future__ import annotations

from pathlib import Path

import click

from bridgewire.cli.output import write_output


def check_drawing_name(option: str, file: str | None) -> None:
    """Refuse a file name of no kind that can be drawn, before anything is computed.

    Raises
    ------
    click.UsageError
        If the name ends neither in ``.svg`` nor in ``.png``.
    """
    if file is not None and Path(file).suffix.lower() not in (".svg", ".png"):
        raise click.UsageError(f"{option} {file}: the name must end in .svg or .png")


def drawing(file: str, svg: str) -> str | bytes:
    """The contents of a drawing's file.

    Raises
    ------
    PngError
        If it is to be PNG and that cannot be made here.
    """
    if not file.lower().endswith(".png"):
        return svg
    from bridgewire.report.png import svg_to_png

    return svg_to_png(svg)


def write_drawing(file: str, svg: str) -> None:
    """Write a drawing.

    Raises
    ------
    PngError
        If it is to be PNG and that cannot be made here.
    click.ClickException
        If the file cannot be written.
    """
    write_output(drawing(file, svg), file)
