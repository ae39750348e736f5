"""Options of different commands: what is the same has one name and is said in the same words."""

from __future__ import annotations

from collections.abc import Iterator

import click
import pytest

from bridgewire.cli.main import main
from bridgewire.cli.numbers import Number, Whole
from bridgewire.cli.terminal import PLAIN_WIDTH


def _options(
    command: click.Command = main, words: tuple[str, ...] = ()
) -> Iterator[tuple[str, click.Option]]:
    """Every option of every command, with the words of the command."""
    for parameter in command.params:
        if isinstance(parameter, click.Option):
            yield " ".join(words), parameter
    if isinstance(command, click.Group):
        context = click.Context(command)
        for name in command.list_commands(context):
            below = command.get_command(context, name)
            assert below is not None
            yield from _options(below, (*words, name))


OPTIONS = tuple(_options())


def named(name: str) -> dict[str, click.Option]:
    """The commands that have an option, with the option of each."""
    return {words: option for words, option in OPTIONS if name in option.opts}


@pytest.mark.parametrize(
    "option",
    [o for _, o in OPTIONS if o.multiple],
    ids=[f"{w} {o.opts[0]}" for w, o in OPTIONS if o.multiple],
)
def test_what_may_be_repeated_says_so_in_the_same_words(option: click.Option) -> None:
    assert "May be given several times" in (option.help or "")


def test_a_width_is_at_least_what_every_table_takes() -> None:
    found = named("--width")
    assert len(found) >= 7
    for option in found.values():
        assert isinstance(option.type, Whole)
        assert option.type.min == PLAIN_WIDTH
        assert "Tables take 80" in (option.help or "")


def test_every_number_tells_its_limits() -> None:
    found = [o for _, o in OPTIONS if isinstance(o.type, (Whole, Number)) and o.type.limits]
    assert len(found) >= 30
    for option in found:
        assert isinstance(option.type, (Whole, Number))
        assert (option.help or "").endswith(f"({option.type.limits})"), option.name


def test_the_file_of_a_report_is_named_in_the_same_words() -> None:
    both = named("--format").keys() & named("--output").keys()
    assert len(both) >= 12
    told = {words: named("--output")[words].help for words in both}
    assert set(told.values()) == {"Write the report to this file."}, told


def test_replacing_a_file_has_one_name() -> None:
    assert named("--force").keys() == {"bench fit", "kits new", "plan"}
    # It answers the question that the command asks before it changes the show.
    assert named("--yes").keys() == {"advise"}


def test_the_file_of_known_findings_has_one_name() -> None:
    assert named("--baseline").keys() == {"check", "baseline create", "baseline prune"}
    assert not named("--file")
