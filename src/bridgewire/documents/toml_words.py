"""Says what is wrong with a line of TOML in words for whoever typed it.

The parser speaks of grammar ("expected newline or end of document after a statement"). Most of what
people type wrong is one of a few things: a decimal comma, a unit behind the number, a text without
quotes. Those are told from the line itself.
"""

from __future__ import annotations

import re

from attrs import frozen

from bridgewire.documents.cue_cells import read_seconds
from bridgewire.documents.problems import quoted
from bridgewire.documents.values import DATE_WORDS, day_meant


@frozen
class Words:
    """What is wrong, what should stand there, and what to do."""

    message: str
    expected: str = ""
    remedy: str = ""


_COMMA = re.compile(r"(?<![\w.])([+-]?[0-9]+),([0-9]+)\s*$")
_NUMBER = re.compile(r"[+-]?[0-9]+(?:\.[0-9]+)?$")
_UNIT = re.compile(r"\s*(?:[a-zA-ZΩµ°²]{1,5}|%|°\s?C)\s*(?=[,}\]#]|$)")
_CLOCK = re.compile(r"[0-9]{1,4}(?::[0-9]{1,2}){1,2}(?:\.[0-9]+)?")
_DAY = re.compile(r"[0-9]{1,2}[./][0-9]{1,2}[./][0-9]{2,4}")
_ISO_DAY = re.compile("[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}")
_WORD = re.compile(r"[^\W\d][^,\]}#\"'=]*")
_TYPOGRAPHIC_QUOTES = "“”„‟‘’‚‛«»"
_TYPOGRAPHIC_MINUS = "−–—‒"
_TRUTHS = ("true", "false", "yes", "no", "on", "off")
_NOTHING = ("none", "null", "nil", "nan", "n/a")
_PLAIN_KEY = 'letters a to z, digits, "_" and "-"; any other key in quotes'
_LINE = 'A line holds one key, "=" and its value; a remark starts with "#".'


def explained(message: str, line: str, offset: int) -> Words:
    """Put a refusal of the parser in plain words.

    Parameters
    ----------
    message : str
        What ``tomllib`` says, without its place.
    line : str
        The line in which it stands.
    offset : int
        Character of the line at which the parser gave up.

    Returns
    -------
    Words
        For a message that is not known, the parser's own.

    Examples
    --------
    >>> explained("Expected newline or end of document after a statement", "at_s = 1,5", 8).remedy
    'Write a decimal point: 1.5.'
    """
    before, rest = line[:offset], line[offset:]
    slip = _slip(before, rest)
    if slip is not None:
        return slip
    for pattern, words in _BY_MESSAGE:
        if pattern.match(message):
            return words(before, rest) if callable(words) else words
    plain = message.strip() or "the text does not fit TOML's grammar here"
    return Words(f"{plain[0].lower()}{plain[1:]}")


def _slip(before: str, rest: str) -> Words | None:
    """Find what people commonly type wrong, wherever the parser noticed."""
    head = before.rpartition("=")[2].strip()
    comma = _COMMA.search(before) or _COMMA.search(_token(before + rest))
    if comma is not None and "=" in before and before.rstrip()[-1:].isdigit():
        return Words(
            "this number has a decimal comma",
            remedy=f"Write a decimal point: {comma[1]}.{comma[2]}.",
        )
    if _DAY.fullmatch(_token(before + rest)):
        day = day_meant(_token(before + rest)) or "2026-12-31"
        return Words("this date is not written as TOML wants it", f"year-month-day, such as {day}")
    if _ISO_DAY.fullmatch(_token(before + rest)):
        return Words("there is no such day", DATE_WORDS)
    clock = _CLOCK.fullmatch(_token(before + rest))
    if clock is not None and rest.startswith(":"):
        return _clock(clock[0])
    if rest[:1] in tuple(_TYPOGRAPHIC_QUOTES):
        return Words("these quotes are typographic ones", remedy='Write straight quotes: "…".')
    if rest[:1] in tuple(_TYPOGRAPHIC_MINUS):
        return Words("this minus sign is a typographic one", remedy='Write the plain one: "-".')
    if re.fullmatch("[+-]?0", head) and rest[:1].isdigit():
        return Words("this number starts with a nought", remedy="Leave leading noughts out.")
    if _NUMBER.match(head) and _UNIT.match(rest):
        return Words(
            "there is a unit behind the number",
            remedy="Write the number alone, in the unit that the key names.",
        )
    return None


def _token(line: str) -> str:
    """The value of a line, up to a remark."""
    return line.partition("=")[2].partition("#")[0].strip()


def _clock(text: str) -> Words:
    try:
        remedy = f"Write seconds: {read_seconds(text):.10g}."
    except ValueError:
        remedy = "Write seconds, as a number."
    return Words("this time is written with colons", remedy=remedy)


def _after_value(before: str, rest: str) -> Words:
    if rest.lstrip().startswith("}") and "{" not in before:
        return Words(
            'there is a closing "}" without an opening one on this line',
            remedy="Put a table in braces on one line.",
        )
    if before.rstrip().endswith(('"', "'")):
        return Words(
            "there is text after the closing quote",
            remedy='Put one pair of quotes round the whole text; a quote within is written \\".',
        )
    return Words("there is more on this line than a key and its value", remedy=_LINE)


def _value(_before: str, rest: str) -> Words:
    text = rest.strip()
    if not text or text.startswith("#"):
        return Words(
            "there is no value after the equals sign", remedy="Write one, or remove the key."
        )
    if re.match(r"[+-]?\.[0-9]", text):
        return Words(
            "this number starts with its point",
            remedy=f"Write a nought before it: {re.sub('[.]', '0.', text, count=1).split()[0]}.",
        )
    found = _WORD.match(text)
    word = found[0].strip() if found else ""
    if word.lower() in _TRUTHS:
        return Words(f"{quoted(word)} is no value", "true or false, in small letters")
    if word.lower() in _NOTHING:
        return Words(f"{quoted(word)} is no value", remedy="Leave out a key that has no value.")
    if word:
        return Words("this text has no quotes", remedy=f"Put it in quotes: {quoted(word)}.")
    return Words("this is no value", "a number, a text in quotes, true, false, […] or {…}")


def _equals(_before: str, rest: str) -> Words:
    if rest.lstrip().startswith(":"):
        return Words('there is ":" between key and value', expected='"="')
    if rest[:1].isalpha() and not rest[:1].isascii():
        return Words(f"a key in plain letters cannot hold {quoted(rest[0])}", _PLAIN_KEY)
    return Words('there is no "=" after the key', remedy=_LINE)


def _key(before: str, rest: str) -> Words:
    if "{" in before and before.rstrip().endswith(","):
        if not rest.strip():
            return Words(
                "a table in braces goes on over the end of its line",
                remedy="Put all of it on one line.",
            )
        if rest.lstrip().startswith("}"):
            return Words('there is a comma before the closing "}"', remedy="Remove the comma.")
    if before.strip() in ("[", "[["):
        return Words("this heading has no name", remedy="Write one, such as [[cue]].")
    return Words("a key cannot start like this", _PLAIN_KEY)


def _list(_before: str, rest: str) -> Words:
    if rest.strip():
        return Words("there is no comma between two items of this list", '"," or "]"')
    return Words("a list is opened but never closed", 'a closing "]"')


def _heading(before: str, rest: str) -> Words:
    closing = "]]" if before.lstrip().startswith("[[") else "]"
    if rest[:1].isspace() and rest.strip(" ]"):
        return Words("a heading holds one name", "no spaces, or the name in quotes")
    return Words("this heading is not closed", f'a closing "{closing}"')


_UNCLOSED_TEXT = Words("a text is opened but never closed", "a closing quote")
_BACKSLASH = Words(
    'a "\\" in double quotes starts an escape, and this is none',
    remedy='Write a path with "/", or put the text in single quotes.',
)
_BY_MESSAGE = tuple(
    (re.compile(pattern), words)
    for pattern, words in (
        ("Expected newline or end of document", _after_value),
        ("Invalid value", _value),
        ("Expected '=' after a key", _equals),
        ("Invalid initial character for a key part", _key),
        ("Unclosed array", _list),
        ("Unclosed inline table", Words("a table in braces is not closed", '"," or a closing "}"')),
        (r"Expected '\]", _heading),
        (r"Unterminated string|Expected|(Illegal|Found invalid) character '\\n'", _UNCLOSED_TEXT),
        ("Unescaped|Invalid hex value|Escaped character", _BACKSLASH),
        ("(Illegal|Found invalid) character", Words("this character cannot stand here")),
        ("Invalid date or datetime", Words("there is no such day or time")),
        ("Invalid statement", Words("this is no line of TOML", remedy=_LINE)),
        ("Exceeds the limit", Words("a number has thousands of digits")),
        ("Cannot redefine", Words("a table and a list of tables have the same name")),
        (
            "Cannot|Duplicate",
            Words("a key or table is set twice", remedy="Remove or rename one of the two."),
        ),
    )
)
