"""``bridgewire reach``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from bridgewire.cli.candidates import kit_ids
from bridgewire.cli.numbers import Number, Whole, number_option
from bridgewire.cli.terminal import (
    colour_option,
    kit_dir_option,
    output_option,
    progress,
    text_look,
    width_option,
)

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from bridgewire.circuit.catalogue import Catalogue, Entry, Table
    from bridgewire.model.band import Band
    from bridgewire.model.kit import BoxKind, IgniterClass
    from bridgewire.physics.laws import Models
    from bridgewire.remedies.reach import Reach, ReachQuestion

_WEATHER_C = Number(-60, 80)
"""What a show may state."""
_VOLTAGE_V = Number(0, 10_000)
"""What a show may state."""


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
    help="Cable. May be given several times. All that have the conductors the box needs where "
    "absent.",
)
@number_option(
    "--count",
    "counts",
    multiple=True,
    type=Whole(1, 64),
    help="Igniters on the way. May be given several times. 1, 2, 3, 4 and 6 where absent.",
)
@click.option("--chain", is_flag=True, help="One igniter on each strip of a chain.")
@number_option(
    "--pulse-s",
    type=Number(min=0, min_open=True, max=3600),
    metavar="S",
    help="Pulse; the class's default, or else the longest that the box offers, where absent.",
)
@click.option(
    "--ambient-C",
    "ambient_C",
    type=(_WEATHER_C, _WEATHER_C),
    default=(-10.0, 40.0),
    show_default=True,
    metavar="MIN MAX",
    help="Temperatures to allow for, °C.",
)
@click.option(
    "--supply-V",
    "supply_V",
    type=(_VOLTAGE_V, _VOLTAGE_V),
    metavar="MIN MAX",
    help="Voltage read on the meter without load; what the kit says where absent.",
)
@number_option(
    "--longest-m",
    type=Number(1, 100_000),
    default=500.0,
    show_default=True,
    metavar="M",
    help="Longest cable that is looked at; no answer goes beyond it.",
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
@width_option
@output_option
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
    from bridgewire import __version__
    from bridgewire.circuit.catalogue import Catalogue
    from bridgewire.cli.drawing_file import check_drawing_name, write_drawing
    from bridgewire.cli.loaded_show import say_of_plugins
    from bridgewire.cli.output import write_output
    from bridgewire.kits.discovery import find_kits, kit_folders
    from bridgewire.plugins.manager import load_plugins
    from bridgewire.remedies.reach import COUNTS, ReachQuestion
    from bridgewire.report.reach_svg import reach_svg
    from bridgewire.report.reach_table import reach_csv, reach_json, reach_text

    check_drawing_name("--plot", plot_file)
    plugins = load_plugins()
    say_of_plugins(plugins.findings)
    folders = [*kit_folders(Path("."), [Path(d) for d in kit_dirs]), *plugins.kits]
    catalogue = Catalogue({k: v.kit for k, v in find_kits(kits, folders).items()})
    box_id = _entry(catalogue.boxes, box, "--box")
    class_id = _entry(catalogue.igniters, igniter_class, "--class")
    kind, klass = catalogue.boxes.get(box_id), catalogue.igniters.get(class_id)
    assert kind is not None
    assert klass is not None
    question = ReachQuestion(
        box_id,
        _strip(catalogue, strip, box_id),
        "",
        class_id,
        pulse_s or _pulse_s(kind, klass),
        _band("--ambient-C", ambient_C),
        counts=tuple(dict.fromkeys(counts)) or COUNTS,
        wiring="chain" if chain else "strip",
        supply_V=None if supply_V is None else _band("--supply-V", supply_V),
        longest_m=longest_m,
    )
    named = [_entry(catalogue.cables, c, "--cable") for c in cables]
    answers = _answers(question, named or _fitting(catalogue, kind), catalogue, plugins.models)
    if plot_file is not None:
        write_drawing(plot_file, reach_svg(question, answers))
    if form == "csv":
        write_output(reach_csv(answers), output)
        return
    if form == "json":
        write_output(reach_json(question, answers, __version__), output)
        return
    columns, ink = text_look(output, colour, width)
    write_output(reach_text(question, answers, columns, ink), output, ink.colour)


def _pulse_s(kind: BoxKind, klass: IgniterClass) -> float:
    """The class's default, or else the longest that the box offers."""
    pulse_s = klass.default_pulse_s
    if pulse_s is None and kind.pulses is not None:
        pulse_s = max(kind.pulses.offered_s, default=kind.pulses.max_s)
    if pulse_s is None:
        raise click.UsageError("--pulse-s: neither the class nor the box states a pulse")
    return pulse_s


def _fitting(catalogue: Catalogue, kind: BoxKind) -> list[str]:
    """All cables with the conductors that a box needs."""
    needed = kind.path.conductors_needed(kind.ways)
    found = [
        f"{kit_id}:{spec.id}"
        for kit_id, kit in catalogue.kits.items()
        for spec in kit.cable
        if spec.conductors >= needed
    ]
    if not found:
        raise click.UsageError("no cable of these kits has the conductors that the box needs")
    return found


def _answers(
    question: ReachQuestion, cables: Sequence[str], catalogue: Catalogue, models: Models
) -> Mapping[str, Sequence[Reach]]:
    from attrs import evolve

    from bridgewire.remedies.reach import reaches

    answers = {}
    with progress("reach") as step:
        for done, cable in enumerate(cables):
            if step is not None:
                step(done, len(cables))
            try:
                answers[cable] = reaches(evolve(question, cable=cable), catalogue, models)
            except ValueError as error:
                raise click.UsageError(str(error)) from None
    return answers


def _entry(table: Table[Entry], ref: str, option: str) -> str:
    full = table.full_id(ref)
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
