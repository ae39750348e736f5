"""Settings to try: ``run[west].length_m=10..60/10`` read into places and values."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from attrs import frozen

from bridgewire.circuit.catalogue import nearest
from bridgewire.diagnostics import DocPath
from bridgewire.remedies.edits import Set

MOST_VALUES = 200
_STEP = re.compile(r"^(?P<key>[A-Za-z_][A-Za-z0-9_]*)(?:\[(?P<item>[^\[\]]+)\])?")
_RANGE = re.compile(r"^(?P<low>[^/]+?)\.\.(?P<high>[^/]+?)/(?P<step>.+)$")
_NO_STEP = re.compile(r"^[-+]?[0-9.]+?\.\.[-+]?[0-9.]+$")
_LISTS = ("position", "box", "strip", "splitter", "run", "igniter", "cue")


class SettingError(ValueError):
    """A setting that cannot be read, or that names nothing in the show."""


@frozen
class Setting:
    """One thing to vary.

    Attributes
    ----------
    text : str
        The place as given, e.g. ``run[west].length_m``.
    paths : tuple of DocPath
        Places in the show that get the value.
    values : tuple
        To be tried, one after the other. A text ``x0.5`` multiplies what is there.
    """

    text: str
    paths: tuple[DocPath, ...]
    values: tuple[Any, ...]

    def edits(self, value: Any, plain: Mapping[str, Any]) -> tuple[Set, ...]:
        """Edits that give the places one of the values.

        Raises
        ------
        SettingError
            If a value is to be multiplied where there is no number.
        """
        return tuple(Set(path, self._value(path, value, plain)) for path in self.paths)

    def _value(self, path: DocPath, value: Any, plain: Mapping[str, Any]) -> Any:
        factor = factor_of(value)
        if factor is None:
            return value
        here: Any = plain
        for step in path:
            within = here
            here = here.get(step) if isinstance(here, Mapping) else here[step]
            if here is None:
                hint = nearest(str(step), within)
                about = f"{self.text}: there is no value to multiply"
                raise SettingError(f"{about}; {hint}" if hint else about)
        if isinstance(here, Mapping):
            return {k: v if k == "tol_pct" else _times(v, factor) for k, v in here.items()}
        if isinstance(here, bool) or not isinstance(here, int | float):
            raise SettingError(f"{self.text}: {here!r} is no number to multiply")
        return _times(here, factor)


def factor_of(value: Any) -> float | None:
    """The factor that a text like ``x0.5`` states; None for any other value.

    >>> factor_of("x0.5"), factor_of(0.5), factor_of("xenon")
    (0.5, None, None)
    """
    if not isinstance(value, str) or not value.startswith("x"):
        return None
    try:
        return float(value[1:])
    except ValueError:
        return None


def _times(value: float, factor: float) -> float | int:
    """The product; a whole number of things stays a whole number where it can."""
    product = value * factor
    return int(product) if isinstance(value, int) and product.is_integer() else product


def parse_setting(text: str, plain: Mapping[str, Any]) -> Setting:
    """Read one setting.

    Parameters
    ----------
    text : str
        ``PLACE=VALUES``. The place is a path of keys; an item of a list is named by its id in
        brackets (a run also by the part it leads to), ``[*]`` is all of them. Values are
        separated by commas; ``10..60/10`` is 10 to 60 in steps of 10; ``x0.5`` multiplies what the
        show says; anything that is no number is a text.
    plain : mapping
        The show as plain data.

    Raises
    ------
    SettingError
        With what is wrong and, where something is like it, what may have been meant.

    Examples
    --------
    >>> show = {"run": [{"to": "west", "length_m": 20}]}
    >>> parse_setting("run[west].length_m=10..30/10", show)
    Setting(text='run[west].length_m', paths=(('run', 0, 'length_m'),), values=(10, 20, 30))
    """
    place, equals, values = text.partition("=")
    place = place.strip()
    if not equals or not place or not values.strip():
        raise SettingError(f"{text!r}: expected PLACE=VALUES, e.g. site.ambient_C=-10,0,10")
    paths = _paths(place, plain)
    found = [v for part in values.split(",") for v in _values(part.strip(), text)]
    if len(found) > MOST_VALUES:
        raise SettingError(f"{text!r}: {len(found)} values are more than {MOST_VALUES}")
    return Setting(place, tuple(paths), tuple(found))


def _paths(place: str, plain: Mapping[str, Any]) -> list[DocPath]:
    paths: list[DocPath] = [()]
    rest = place
    while rest:
        match = _STEP.match(rest)
        if match is None:
            raise SettingError(f"{place!r}: cannot read {rest!r}; expected key or key[id]")
        key, item = match["key"], match["item"]
        rest = rest[match.end() :]
        if rest and not rest.startswith("."):
            raise SettingError(f"{place!r}: expected '.' before {rest!r}")
        rest = rest[1:]
        if item is None:
            paths = [(*p, key) for p in paths]
            continue
        if paths != [()] or key not in _LISTS:
            raise SettingError(
                f"{place!r}: {key!r} is no list of the show; there are: {', '.join(_LISTS)}"
            )
        paths = [(key, i) for i in _items(place, key, item, plain.get(key, []))]
    if len(paths[0]) < 2 or isinstance(paths[0][-1], int):
        raise SettingError(f"{place!r}: name a key within it, e.g. {place}.length_m")
    return paths


def _items(place: str, key: str, item: str, items: Sequence[Mapping[str, Any]]) -> list[int]:
    if item == "*":
        if not items:
            raise SettingError(f"{place!r}: the show has no {key}")
        return list(range(len(items)))
    names = [{str(x[k]) for k in ("id", "to", "at") if k in x} for x in items]
    found = [i for i, n in enumerate(names) if item in n]
    if found:
        return found
    hint = nearest(item, sorted(set().union(*names)))
    raise SettingError(f"{place!r}: there is no {key} {item!r}" + (f"; {hint}" if hint else ""))


def _values(part: str, text: str) -> list[Any]:
    match = _RANGE.match(part)
    if match is None:
        if not part:
            raise SettingError(f"{text!r}: a value is missing between commas")
        if _NO_STEP.match(part) is not None:
            raise SettingError(f"{text!r}: {part} has no step; expected LOW..HIGH/STEP")
        return [_number(part)]
    ends = [_number(match[k]) for k in ("low", "high", "step")]
    if any(isinstance(e, str) for e in ends) or ends[2] <= 0 or ends[1] < ends[0]:
        raise SettingError(f"{text!r}: expected LOW..HIGH/STEP with numbers, LOW at most HIGH")
    low, high, step = ends
    steps = int((high - low) / step + 1e-9)
    if steps >= MOST_VALUES:
        raise SettingError(f"{text!r}: more than {MOST_VALUES} values")
    return [_tidy(low + k * step) for k in range(steps + 1)]


def _number(text: str) -> Any:
    for read in (int, float):
        try:
            value = read(text)
        except ValueError:
            continue
        return value if abs(value) < float("inf") else text
    return text


def _tidy(value: float) -> float | int:
    value = round(value, 9)
    return int(value) if value == int(value) else value
