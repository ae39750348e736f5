"""``bridgewire plan``."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from bridgewire.cli.numbers import Number, Whole, number_option
from bridgewire.cli.terminal import (
    colour_option,
    kit_dir_option,
    output_option,
    text_look,
    width_option,
)

if TYPE_CHECKING:
    from bridgewire.planner.problem import Problem
    from bridgewire.planner.result import Plan
    from bridgewire.rules.registry import LoadedRule

_CLEAR = "\r\x1b[K"
"""Begins the line of a terminal anew."""


@click.command("plan")
@click.argument("site")
@click.option(
    "--to",
    "target",
    type=click.Path(dir_okay=False),
    metavar="FILE",
    help="Write the plan there, as a show in TOML.",
)
@click.option("--force", is_flag=True, help="Replace FILE if it is there.")
@number_option(
    "--seconds",
    type=Number(min=0.1, max=86_400),
    default=120.0,
    show_default=True,
    help="Stop the search after this time, s, and give the best plan so far.",
)
@number_option(
    "--seed",
    type=Whole(0, 2**31 - 1),
    default=1,
    show_default=True,
    help="Other seed, another order of the search.",
)
@number_option(
    "--workers",
    type=Whole(1, 64),
    default=2,
    show_default=True,
    help="Threads. With 1 the same seed gives the same plan, if the time is not used up.",
)
@kit_dir_option
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True
)
@colour_option
@width_option
@output_option
def command(
    site: str,
    target: str | None,
    force: bool,
    seconds: float,
    seed: int,
    workers: int,
    kit_dirs: tuple[str, ...],
    form: str,
    colour: str,
    width: int | None,
    output: str | None,
) -> None:
    """Plan the wiring of SITE: boxes, strips, cable and ways at least cost.

    SITE says where things may stand, what must light when, what is required, and what is in
    stock. The plan is a show; it has been checked as "check" would. The report says what it costs,
    which kind of plans was looked at, and how much cheaper one of that kind could be at most.

    The exit code is 1 if there is no plan that meets everything, with what stands against it.
    """
    from bridgewire import __version__
    from bridgewire.cli.output import refuse_bad_targets, write_files, write_output
    from bridgewire.planner.search import plan_site
    from bridgewire.planner.solver import cp_model
    from bridgewire.report.plan_json import plan_json
    from bridgewire.report.plan_text import plan_text

    if target is not None and not target.lower().endswith(".toml"):
        raise click.UsageError(f"--to {target}: a plan is written as TOML; name it FILE.toml")
    refuse_bad_targets([t for t in (target, output) if t is not None], [site])
    if target is not None and not force and Path(target).exists():
        raise click.UsageError(f"{target} is there already; use --force to replace it")
    cp_model()  # says which extra is missing, before anything is read
    problem, rules = _loaded(site, kit_dirs)
    with _stages() as say:
        plan = plan_site(
            problem, seconds=seconds, seed=seed, workers=workers, rules=rules, progress=say
        )
    if target is not None and plan.show is not None:
        write_files([(target, _text(site, plan))])
    if form == "json":
        write_output(plan_json(site, plan, __version__), output)
    else:
        columns, ink = text_look(output, colour, width)
        write_output(plan_text(plan, columns, ink), output, ink.colour)
    click.get_current_context().exit(0 if plan.complete else 1)


def _text(site: str, plan: Plan) -> str:
    from bridgewire import __version__
    from bridgewire.planner.toml import toml_text
    from bridgewire.report.plain_text import visible

    assert plan.show is not None
    head = [
        f"A plan of the site {visible(Path(site).name)}, made by bridgewire {__version__}.",
        "All cues are sure by the check of this file; check it again whenever you change it."
        if plan.complete
        else "NOT GOOD ENOUGH: the check of this file finds errors, or requirements not met.",
        "A computed verdict is no permission to fire. Measure the circuits on site.",
    ]
    return toml_text(plan.show, tuple(head))


def _loaded(site: str, kit_dirs: tuple[str, ...]) -> tuple[Problem, Sequence[LoadedRule]]:
    """Read a site and its kits; what is wrong with plugins is said on standard error.

    Raises
    ------
    InputError
        With every problem found.
    """
    from bridgewire.circuit.catalogue import Catalogue
    from bridgewire.cli.loaded_show import say_of_plugins
    from bridgewire.documents.problems import placed
    from bridgewire.documents.site_loader import load_site
    from bridgewire.errors import InputError
    from bridgewire.kits.discovery import find_kits, kit_folders
    from bridgewire.planner.problem import problem_of
    from bridgewire.plugins.manager import load_plugins

    plugins = load_plugins()
    say_of_plugins(plugins.findings)
    file = Path(site)
    read, document = load_site(file)
    folders = [*kit_folders(file, [Path(d) for d in kit_dirs]), *plugins.kits]
    kits = find_kits(read.kits, folders, document.spans)
    catalogue = Catalogue({name: kit.kit for name, kit in kits.items()})
    problem, wrong = problem_of(read, catalogue, plugins.models)
    if problem is None:
        raise InputError(tuple(placed(f, document.spans) for f in wrong))
    return problem, plugins.rules


@contextmanager
def _stages() -> Iterator[Callable[[str], None] | None]:
    """Yields what says on a terminal, in one line, what is being done; the line goes at the end."""
    if not sys.stderr.isatty():
        yield None
        return
    try:
        yield lambda what: click.echo(f"{_CLEAR}{what} …", nl=False, err=True)
    finally:
        click.echo(_CLEAR, nl=False, err=True)
