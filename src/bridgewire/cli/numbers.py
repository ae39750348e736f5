"""Numbers on the command line: what is asked for and what is wrong is said in plain words."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    _WholeType = click.ParamType[int]
    _NumberType = click.ParamType[float]
else:  # generic since click 8.4 only
    _WholeType = _NumberType = click.ParamType

_Command = TypeVar("_Command", bound=Callable[..., object])


class Whole(_WholeType):
    """A whole number, within limits where some are given.

    >>> Whole(min=1).convert("3", None, None)
    3
    >>> Whole(1, 64).convert("2.5", None, None)
    Traceback (most recent call last):
        ...
    click.exceptions.BadParameter: '2.5' is not a whole number; expected 1 to 64
    """

    name = "whole number"

    def __init__(self, min: int | None = None, max: int | None = None) -> None:
        self.min, self.max = min, max

    @property
    def limits(self) -> str:
        """In words; empty where there are none."""
        return _range(self.min, self.max)

    def get_metavar(self, param: click.Parameter, ctx: click.Context | None = None) -> str:
        """What stands for it in the help."""
        return "N"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """Read it."""
        try:
            number = int(value)
        except ValueError:
            expected = _expected(self)
            self.fail(f"{value!r} is not a whole number{expected}", param, ctx)
        _check(self, number, param, ctx)
        return number


class Number(_NumberType):
    """A finite number, within limits where some are given.

    >>> Number(min=0.0, min_open=True).convert("0.25", None, None)
    0.25
    >>> Number(0.5, 1.0, max_open=True).convert("nan", None, None)
    Traceback (most recent call last):
        ...
    click.exceptions.BadParameter: 'nan' is not a number; expected at least 0.5, below 1
    """

    name = "number"

    def __init__(
        self,
        min: float | None = None,
        max: float | None = None,
        min_open: bool = False,
        max_open: bool = False,
    ) -> None:
        self.min, self.max = min, max
        self.min_open, self.max_open = min_open, max_open

    @property
    def limits(self) -> str:
        """In words; empty where there are none."""
        return _range(self.min, self.max, self.min_open, self.max_open)

    def get_metavar(self, param: click.Parameter, ctx: click.Context | None = None) -> str:
        """What stands for it in the help."""
        return "NUMBER"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Read it."""
        try:
            number = float(value)
        except ValueError:
            number = math.nan
        if not math.isfinite(number):
            self.fail(f"{value!r} is not a number{_expected(self)}", param, ctx)
        _check(self, number, param, ctx)
        return number


class NumberOption(click.Option):
    """An option that tells the limits of its number at the end of its help."""

    def __init__(self, *names: Any, **settings: Any) -> None:
        super().__init__(*names, **settings)
        limits = self.type.limits if isinstance(self.type, (Whole, Number)) else ""
        if limits:
            self.help = f"{self.help or ''} ({limits})".lstrip()


def number_option(*names: str, **settings: Any) -> Callable[[_Command], _Command]:
    """`click.option` for a number, with its limits in the help."""
    return click.option(*names, cls=NumberOption, **settings)


def _check(
    kind: Whole | Number, number: float, param: click.Parameter | None, ctx: click.Context | None
) -> None:
    low, high = kind.min, kind.max
    min_open, max_open = (
        (kind.min_open, kind.max_open) if isinstance(kind, Number) else (False, False)
    )
    below = low is not None and (number <= low if min_open else number < low)
    above = high is not None and (number >= high if max_open else number > high)
    if below or above:
        kind.fail(f"{number:.15g} is out of range{_expected(kind)}", param, ctx)


def _expected(kind: Whole | Number) -> str:
    return f"; expected {kind.limits}" if kind.limits else ""


def _range(
    low: float | None, high: float | None, min_open: bool = False, max_open: bool = False
) -> str:
    if low is not None and high is not None and not (min_open or max_open):
        return f"{low:.15g} to {high:.15g}"
    parts = []
    if low is not None:
        parts.append(f"{'above' if min_open else 'at least'} {low:.15g}")
    if high is not None:
        parts.append(f"{'below' if max_open else 'at most'} {high:.15g}")
    return ", ".join(parts)
