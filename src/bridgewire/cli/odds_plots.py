"""Writes the plots of ``bridgewire odds``."""

from __future__ import annotations

from pathlib import Path

from bridgewire.cli.drawing_file import drawing, write_drawing
from bridgewire.cli.output import write_files
from bridgewire.timeline.outcomes import Assessment


def draw_bands(file: str, assessment: Assessment, cue: int | None) -> None:
    """Draw light-time bands of a cue, or of all cues on as many pages as it takes.

    Raises
    ------
    PngError
        If they are to be PNG and that cannot be made here.
    click.ClickException
        If a page cannot be written; then none is.
    """
    from bridgewire.report.bands_svg import bands_svg
    from bridgewire.uncertainty.proof import proven

    pages = bands_svg(proven(assessment), cue)
    digits = max(len(str(len(pages))), 2)
    whole = Path(file)
    names = [
        str(whole.with_name(f"{whole.stem}-{number:0{digits}d}{whole.suffix}"))
        for number in range(1, len(pages) + 1)
    ]
    if len(pages) == 1:
        names = [file]
    write_files([(name, drawing(name, page)) for name, page in zip(names, pages, strict=True)])


def draw_tornado(file: str, assessment: Assessment, cue: int) -> None:
    """Draw what each uncertainty alone does to the least margin of a cue."""
    from bridgewire.report.tornado_svg import tornado_svg
    from bridgewire.uncertainty.tornado import tornado

    write_drawing(file, tornado_svg(tornado(assessment, cue)))
