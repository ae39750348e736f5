"""``bridgewire plan``."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from bridgewire.cli.terminal import (
    colour_option,
    ink_for,
    kit_dir_option,
    terminal_width,
    width_option,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from bridgewire.planner.problem import Problem
    from bridgewire.planner.result import Plan
    from bridgewire.rules.registry import LoadedRule


@click.command("plan")
@click.argument("site")
@click.option(
    "--to",
    "target",
    type=click.Path(dir_okay=False),
    metavar="FILE",
    help="Write the plan there, as a show in TOML.",
)
@click.option("--yes", is_flag=True, help="Replace FILE where it exists.")
@click.option(
    "--seconds",
    type=click.FloatRange(min=0.1, max=86_400),
    default=120.0,
    show_default=True,
    help="Give the best plan so far after this time.",
)
@click.option("--seed", type=click.IntRange(0, 2**31 - 1), default=1, show_default=True)
@click.option(
    "--workers",
    type=click.IntRange(1, 64),
    default=2,
    show_default=True,
    help="Threads. With 1 the same seed gives the same plan, if the time is not used up.",
)
@kit_dir_option
@click.option(
    "--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True
)
@colour_option
@width_option(60)
@click.option(
    "--output", type=click.Path(dir_okay=False), metavar="FILE", help="Write the report to a file."
)
def command(
    site: str,
    target: str | None,
    yes: bool,
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
    stock. The plan is a show; it has been checked as "check" would. The report says what it costs
    and how much better a plan could be at most.

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
    if target is not None and not yes and Path(target).exists():
        raise click.UsageError(f"{target} is there already: say --yes to replace it")
    cp_model()
    problem, rules = _loaded(site, kit_dirs)
    plan = plan_site(
        problem, seconds=seconds, seed=seed, workers=workers, rules=rules, progress=_progress()
    )
    if target is not None and plan.show is not None:
        write_files([(target, _text(site, plan))])
    if form == "json":
        write_output(plan_json(site, plan, __version__), output)
    else:
        ink = ink_for("never" if output and colour == "auto" else colour, sys.stdout)
        columns = width or (80 if output else terminal_width(sys.stdout))
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
    from attrs import evolve

    from bridgewire.circuit.catalogue import Catalogue
    from bridgewire.documents.site_loader import load_site
    from bridgewire.errors import InputError
    from bridgewire.kits.discovery import find_kits, kit_folders
    from bridgewire.planner.problem import problem_of
    from bridgewire.plugins.manager import load_plugins

    plugins = load_plugins()
    if plugins.findings:
        from bridgewire.report.problems import problems_text

        click.echo(problems_text(plugins.findings, terminal_width(sys.stderr)), nl=False, err=True)
    file = Path(site)
    read, document = load_site(file)
    folders = [*kit_folders(file, [Path(d) for d in kit_dirs]), *plugins.kits]
    kits = find_kits(read.kits, folders, document.spans)
    catalogue = Catalogue({name: kit.kit for name, kit in kits.items()})
    problem, wrong = problem_of(read, catalogue, plugins.models)
    if problem is None:
        raise InputError(tuple(evolve(f, location=document.spans.locate(f.path)) for f in wrong))
    return problem, plugins.rules


class _Stage:
    """Says on a terminal what is being done, in one line."""

    def __call__(self, what: str) -> None:
        click.echo(f"\r\x1b[K{what} …", nl=False, err=True)


def _progress() -> _Stage | None:
    return _Stage() if sys.stderr.isatty() else None
