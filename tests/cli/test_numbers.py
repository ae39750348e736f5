"""Numbers on the command line: limits, what is no number, and the words of help and refusals."""

from __future__ import annotations

import click
import pytest

from bridgewire.cli.main import run
from bridgewire.cli.numbers import Number, Whole
from tests.cli.shows import SMALL


@pytest.mark.parametrize(
    ("kind", "text", "value"),
    [
        (Whole(1, 64), "1", 1),
        (Whole(1, 64), "64", 64),
        (Whole(), "-7", -7),
        (Number(0.5, 1.0, max_open=True), "0.5", 0.5),
        (Number(min=0.0, min_open=True), "1e-9", 1e-9),
    ],
)
def test_what_is_within_its_limits(kind: Whole | Number, text: str, value: float) -> None:
    assert kind.convert(text, None, None) == value


@pytest.mark.parametrize(
    ("kind", "text", "words"),
    [
        (Whole(1, 64), "0", "0 is out of range; expected 1 to 64"),
        (Whole(1, 64), "65", "65 is out of range; expected 1 to 64"),
        (Whole(1, 64), "two", "'two' is not a whole number; expected 1 to 64"),
        (Whole(min=1), "0", "0 is out of range; expected at least 1"),
        (Whole(), "1.5", "'1.5' is not a whole number"),
        (Number(0.5, 1.0, max_open=True), "1", "1 is out of range; expected at least 0.5, below 1"),
        (Number(min=0.0, min_open=True), "0", "0 is out of range; expected above 0"),
        (Number(-60.0, 80.0), "nan", "'nan' is not a number; expected -60 to 80"),
        (Number(), "inf", "'inf' is not a number"),
        (Number(), "warm", "'warm' is not a number"),
    ],
)
def test_what_is_refused_says_what_is_expected(kind: Whole | Number, text: str, words: str) -> None:
    with pytest.raises(click.BadParameter) as caught:
        kind.convert(text, None, None)
    assert caught.value.message == words


@pytest.mark.parametrize(
    "arguments",
    [
        ["supply", str(SMALL), "--from-C", "nan"],
        ["sheets", str(SMALL), "--folder", "out", "--confidence", "nan"],
        ["trace", str(SMALL), "opening", "--step-ms", "nan"],
    ],
)
def test_not_a_number_is_refused(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert run(arguments) == 2
    assert "'nan' is not a number" in capsys.readouterr().err


@pytest.mark.parametrize("command", ["check", "odds", "supply", "trace", "sheets", "plan", "reach"])
def test_the_help_tells_limits_in_words(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([command, "--help"]) == 0
    told = capsys.readouterr().out
    assert "<=" not in told
    assert "INTEGER" not in told
    assert "FLOAT" not in told
