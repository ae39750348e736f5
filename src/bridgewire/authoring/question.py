"""What a question is, when it is asked, and what is an answer to it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Literal

from attrs import frozen

from bridgewire.authoring.meter import Accuracy, quantity, resolution
from bridgewire.documents.ranges import ID_PATTERN, ID_WORDS

UNKNOWN = "-"
"""The answer ``do not know``. It leaves the value out of the profile; nothing is put in its
place."""

Form = Literal[
    "id", "text", "date", "choice", "whole", "number", "numbers", "quantity", "reading",
    "readings", "accuracy", "size",
]  # fmt: skip
"""``reading`` is a figure off a meter, as shown; ``quantity`` one of a label or data sheet, which
may have a tolerance; ``size`` a gauge or an area."""

Answers = Mapping[str, str]
"""Key of a question -> answer as typed."""

_WRITTEN: Mapping[str, str] = {
    "date": "2026-05-31",
    "accuracy": "0.5 % + 2",
    "size": "24 AWG or 0.5 mm2",
}
"""Form -> an answer that shows how it is written."""

_SIZE = re.compile(r"\s*(\d+(?:\.\d+)?)\s*(awg|mm2|mm²)\s*", re.IGNORECASE)
_DATE = re.compile(r"\d{4}-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12]\d|3[01])")


@frozen
class Question:
    """One question.

    Attributes
    ----------
    key : str
        In an answers file.
    prompt : str
        As asked, without unit.
    form : str
    help : str
        How to find out; shown at ``?``.
    unit : str
    choices : tuple of str
        For ``choice``.
    required : bool
        Whether an entry cannot be described without it.
    only_if : tuple
        Key and answers: asked only where that question has one of these answers.
    known : str
        Key of another question: asked only where that one has an answer.
    least, most : float
        Bounds of every number in the answer.
    """

    key: str
    prompt: str
    form: Form
    help: str
    unit: str = ""
    choices: tuple[str, ...] = ()
    required: bool = False
    only_if: tuple[str, tuple[str, ...]] | None = None
    known: str = ""
    least: float = 0.0
    most: float = 1e6

    def applies(self, answers: Answers) -> bool:
        """Tell whether it is asked, given the answers before it."""
        if self.only_if is not None and answers.get(self.only_if[0]) not in self.only_if[1]:
            return False
        return not self.known or answers.get(self.known, UNKNOWN) != UNKNOWN

    def asked(self) -> str:
        """The question with its unit, its choices or how an answer is written."""
        if self.choices:
            return f"{self.prompt} ({', '.join(self.choices)})"
        if self.form in _WRITTEN:
            return f"{self.prompt}, as in {_WRITTEN[self.form]}"
        return f"{self.prompt}, in {self.unit}" if self.unit else self.prompt

    def checked(self, text: str) -> str:
        """Return the answer tidied.

        Raises
        ------
        ValueError
            If it is no answer to this question, with what is wanted.
        """
        text = text.strip()
        if text == UNKNOWN:
            if self.required:
                raise ValueError("the profile cannot do without this one")
            return UNKNOWN
        if not text:
            raise ValueError('an answer is needed, or "-" for: do not know')
        if not text.isprintable() or len(text) > 500:
            raise ValueError("one line of plain text is needed")
        if self.form == "id" and re.fullmatch(ID_PATTERN, text) is None:
            raise ValueError(f"write {ID_WORDS}")
        if self.form == "date" and _DATE.fullmatch(text) is None:
            raise ValueError("write the date as in 2026-05-31")
        if self.form == "choice":
            text = self._chosen(text)
        if self.form == "size":
            size_of(text)
        if self.form == "accuracy":
            Accuracy.parse(text)
        for number in self._numbers(text):
            if not self.least <= number <= self.most:
                raise ValueError(
                    f"{number:g} is out of range ({self.least:g} to {self.most:g}"
                    f"{' ' + self.unit if self.unit else ''})"
                )
        return text

    def _chosen(self, text: str) -> str:
        """Return the choice that is meant: in any case, or by a beginning that only it has."""
        plain = re.sub(r"\s+", "-", text.lower())
        if plain in self.choices:
            return plain
        begun = [choice for choice in self.choices if choice.startswith(plain)]
        if len(begun) != 1:
            raise ValueError(f"write one of: {', '.join(self.choices)}")
        return begun[0]

    def _numbers(self, text: str) -> list[float]:
        if self.form == "whole":
            if re.fullmatch(r"\d{1,6}", text) is None:
                raise ValueError("write a whole number")
            return [float(text)]
        if self.form in ("number", "reading"):
            resolution(text)
            return [float(text)]
        if self.form in ("numbers", "readings"):
            for part in separate(text):
                resolution(part)
            return [float(part) for part in separate(text)]
        if self.form == "quantity":
            band = quantity(text)
            return [band.min, band.max]
        return []


def separate(text: str) -> list[str]:
    """Split several numbers.

    Raises
    ------
    ValueError
        If a comma may be meant as a decimal sign, as in ``0,41, 0,39``.

    >>> separate("1.71, 1.69 1.74")
    ['1.71', '1.69', '1.74']
    """
    if "." not in text and re.search(r"\d,\d", text) is not None:
        raise ValueError("write decimals with a point, and a blank after a comma: 0.41, 0.39")
    return [part for part in re.split(r"[\s,;]+", text.strip()) if part]


def size_of(text: str) -> tuple[float | None, float | None]:
    """Read a printed size into gauge and area; one of them is None.

    Raises
    ------
    ValueError
        For any other text.

    >>> size_of("24 AWG"), size_of("0.5 mm2")
    ((24.0, None), (None, 0.5))
    """
    found = _SIZE.fullmatch(text)
    if found is None:
        raise ValueError("write the size with its unit, as in 24 AWG or 0.5 mm2")
    value = float(found[1])
    if found[2].lower() == "awg":
        if not 0 <= value <= 40:
            raise ValueError("gauges go from 0 to 40 AWG")
        return value, None
    if not 0 < value <= 1000:
        raise ValueError("areas go up to 1000 mm2")
    return None, value


@frozen
class Section:
    """A group of questions; `many` where it may be answered several times."""

    key: str
    noun: str
    questions: tuple[Question, ...]
    many: bool = True
    intro: str = ""

    def question(self, key: str) -> Question:
        """The question of a key; KeyError where there is none."""
        return {q.key: q for q in self.questions}[key]

    def asked(self, answers: Answers) -> list[Question]:
        """The questions that apply, given all answers so far, in order."""
        return [q for q in self.questions if q.applies(answers)]


def as_typed(value: Any) -> str:
    """Turn a value of an answers file into what a person would have typed.

    Raises
    ------
    ValueError
        For a table or a truth value.

    >>> as_typed([1.7, "1.80"])
    '1.7, 1.80'
    """
    if isinstance(value, bool) or not isinstance(value, (str, int, float, list)):
        raise ValueError("write it as a text in quotes")
    if isinstance(value, list):
        return ", ".join(as_typed(item) for item in value)
    return value if isinstance(value, str) else repr(value)
