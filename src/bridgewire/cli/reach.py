"""``bridgewire reach``."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from bridgewire.cli.candidates import kit_ids
from bridgewire.cli.terminal import (
    colour_option,
    ink_for,
    kit_dir_option,
    progress,
    terminal_width,
    width_option,
)

if TYPE_CHECKING:
    from bridgewire.circuit.catalogue import Catalogue
    from bridgewire.model.band import Band


@click.command("reach")
@click.argument("kits", nargs=-1, required=True, metavar="KIT...", shell_complete=kit_ids)
@click.option("--box", required=True, metavar="ID", help="Box of the kits.")
@click.option("--class", "igniter_class", required=True, metavar="ID", help="Igniter class.")
@click.option("--strip", metavar="ID", help="Strip; the first of the box's kit where absent.")
@click.option(
    "--cable",
    "cables",
    multiple=True,
    metavar="ID",
    help="Cable; may be repeated. All that have the conductors the box needs where absent.",
)
@click.option(
    "--count",
    "counts",
    multiple=True,
    type=click.IntRange(1, 64),
    help="Igniters on the way; may be repeated. 1, 2, 3, 4 and 6 where absent.",
)
@click.option("--chain", is_flag=True, help="One igniter on each strip of a chain.")
@click.option(
    "--pulse-s",
    type=click.FloatRange(min=0, min_open=True, max=3600),
    metavar="S",
    help="Pulse; the class's default, or else the longest that the box offers, where absent.",
)
@click.option(
    "--ambient-C",
    "ambient_C",
    type=(float, float),
    default=(-10.0, 40.0),
    show_default=True,
    metavar="MIN MAX",
    help="Temperatures to allow for, °C.",
)
@click.option(
    "--supply-V",
    "supply_V",
    type=(float, float),
    metavar="MIN MAX",
    help="Voltage read on the meter without load; what the kit says where absent.",
)
@click.option(
    "--longest-m",
    type=click.FloatRange(1, 100_000),
    default=500.0,
    show_default=True,
    metavar="M",
    help="No answer goes beyond.",
)
@kit_dir_option
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "csv", "json"]),
    default="text",
    show_default=True,
)
@click.option(
    "--plot", "plot_file", metavar="FILE", help="Draw a plot; the name ends in .svg or .png."
)
@colour_option
@width_option(80)
@click.option("--output", type=click.Path(dir_okay=False), metavar="FILE", help="Write to a file.")
def command(
    kits: tuple[str, ...],
    box: str,
    igniter_class: str,
    strip: str | None,
    cables: tuple[str, ...],
    counts: tuple[int, ...],
    chain: bool,
    pulse_s: float | None,
    ambient_C: tuple[float, float],
    supply_V: tuple[float, float] | None,
    longest_m: float,
    kit_dirs: tuple[str, ...],
    form: str,
    plot_file: str | None,
    colour: str,
    width: int | None,
    output: str | None,
) -> None:
    """How far can so many igniters be from a box on this cable, and still be sure?

    Seeks the longest run for each cable and count of igniters, judged like a check, over all
    tolerances. KIT... are kit profiles, searched in this order.
    """
    if plot_file is not None and Path(plot_file).suffix.lower() not in (".svg", ".png"):
        raise click.UsageError(f"--plot {plot_file}: the name must end in .svg or .png")
    from attrs import evolve

    from bridgewire import __version__
    from bridgewire.circuit.catalogue import Catalogue
    from bridgewire.cli.output import write_output
    from bridgewire.kits.discovery import find_kits, kit_folders
    from bridgewire.plugins.manager import load_plugins
    from bridgewire.remedies.reach import ReachQuestion, reaches
    from bridgewire.report.reach_table import reach_csv, reach_json, reach_text

    plugins = load_plugins()
    folders = [*kit_folders(Path("."), [Path(d) for d in kit_dirs]), *plugins.kits]
    catalogue = Catalogue({k: v.kit for k, v in find_kits(kits, folders).items()})
    box_id = _entry(catalogue.boxes, box, "--box")
    class_id = _entry(catalogue.igniters, igniter_class, "--class")
    kind, klass = catalogue.boxes.get(box_id), catalogue.igniters.get(class_id)
    assert kind is not None
    assert klass is not None
    pulse = pulse_s or klass.default_pulse_s
    if pulse is None and kind.pulses is not None:
        pulse = max(kind.pulses.offered_s, default=kind.pulses.max_s)
    if pulse is None:
        raise click.UsageError("--pulse-s: neither the class nor the box states a pulse")
    question = ReachQuestion(
        box_id,
        _strip(catalogue, strip, box_id),
        "",
        class_id,
        pulse,
        _band("--ambient-C", ambient_C),
        counts=tuple(dict.fromkeys(counts)) or (1, 2, 3, 4, 6),
        wiring="chain" if chain else "strip",
        supply_V=None if supply_V is None else _band("--supply-V", supply_V),
        longest_m=longest_m,
    )
    wanted = [_entry(catalogue.cables, c, "--cable") for c in cables]
    if not wanted:
        needed = kind.path.conductors_needed(kind.ways)
        wanted = [
            f"{kit_id}:{spec.id}"
            for kit_id, kit in catalogue.kits.items()
            for spec in kit.cable
            if spec.conductors >= needed
        ]
    if not wanted:
        raise click.UsageError("no cable of these kits has the conductors that the box needs")
    answers = {}
    with progress("reach") as step:
        for done, cable in enumerate(wanted):
            if step is not None:
                step(done, len(wanted))
            try:
                answers[cable] = reaches(evolve(question, cable=cable), catalogue, plugins.models)
            except ValueError as error:
                raise click.UsageError(str(error)) from None
    if plot_file is not None:
        _plot(plot_file, question, answers)
    if form == "csv":
        write_output(reach_csv(answers), output)
        return
    if form == "json":
        write_output(reach_json(question, answers, __version__), output)
        return
    ink = ink_for("never" if output and colour == "auto" else colour, sys.stdout)
    columns = width or (80 if output else terminal_width(sys.stdout))
    write_output(reach_text(question, answers, columns, ink), output, ink.colour)


def _plot(file: str, question: Any, answers: Any) -> None:
    from bridgewire.cli.output import write_output
    from bridgewire.report.reach_svg import reach_svg

    svg = reach_svg(question, answers)
    if file.lower().endswith(".png"):
        from bridgewire.report.trace_png import svg_to_png

        write_output(svg_to_png(svg), file)
    else:
        write_output(svg, file)


def _entry(table: Any, ref: str, option: str) -> str:
    full: str | None = table.full_id(ref)
    if full is None:
        hint = table.suggestion(ref)
        article = "an" if table.noun[0] in "aeiou" else "a"
        raise click.UsageError(
            f"{option}: no kit has {article} {table.noun} {ref!r}" + (f"; {hint}" if hint else "")
        )
    return full


def _strip(catalogue: Catalogue, strip: str | None, box_id: str) -> str:
    if strip is not None:
        return _entry(catalogue.strips, strip, "--strip")
    own = box_id.split(":", 1)[0]
    for kit_id in (own, *catalogue.kits):
        if catalogue.kits[kit_id].strip:
            return f"{kit_id}:{catalogue.kits[kit_id].strip[0].id}"
    raise click.UsageError("--strip: no kit has a strip")


def _band(option: str, ends: tuple[float, float]) -> Band:
    from bridgewire.model.band import Band

    low, high = ends
    if not low <= high:
        raise click.UsageError(f"{option}: {low:g} is more than {high:g}")
    return Band(low, 0.5 * (low + high), high)
