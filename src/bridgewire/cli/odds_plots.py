"""Writes the plots of ``bridgewire odds``."""

from __future__ import annotations

from pathlib import Path

import click

from bridgewire.timeline.outcomes import Assessment


def check_name(option: str, file: str | None) -> None:
    """Refuse a file name of no kind that can be drawn, before anything is computed.

    Raises
    ------
    click.UsageError
    """
    if file is not None and Path(file).suffix.lower() not in (".svg", ".png"):
        raise click.UsageError(f"{option} {file}: the name must end in .svg or .png")


def draw_bands(file: str, assessment: Assessment, cue: int | None) -> None:
    """Draw light-time bands of a cue, or of all cues on as many pages as it takes."""
    from bridgewire.report.bands_svg import bands_svg
    from bridgewire.uncertainty.proof import proven

    pages = bands_svg(proven(assessment), cue)
    digits = max(len(str(len(pages))), 2)
    for number, page in enumerate(pages, 1):
        name = Path(file)
        if len(pages) > 1:
            name = name.with_name(f"{name.stem}-{number:0{digits}d}{name.suffix}")
        _save(name, page)


def draw_tornado(file: str, assessment: Assessment, cue: int) -> None:
    """Draw what each uncertainty does to the least margin of a cue."""
    from bridgewire.report.tornado_svg import tornado_svg
    from bridgewire.uncertainty.tornado import tornado

    _save(Path(file), tornado_svg(tornado(assessment, cue)))


def _save(file: Path, svg: str) -> None:
    content = svg.encode("utf-8")
    if file.suffix.lower() == ".png":
        from bridgewire.report.trace_png import svg_to_png

        content = svg_to_png(svg)
    try:
        file.write_bytes(content)
    except OSError as error:
        raise click.ClickException(f"cannot write {file}: {error.strerror}") from None
