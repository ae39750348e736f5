"""Says what is wrong with a YAML text in words for whoever typed it."""

from __future__ import annotations

from attrs import frozen


@frozen
class Words:
    """What is wrong, and what to do."""

    message: str
    remedy: str = ""


_TAB = Words("there is a tab where only spaces may be", "Indent with spaces.")
_MEANINGS = (
    (
        "mapping values are not allowed",
        Words(
            'a ":" cannot stand here',
            'Put a text that holds ": " in quotes; indent the keys of one table alike.',
        ),
    ),
    (
        "could not find expected ':'",
        Words('there is no ":" after this key', 'Write "key: value", with a space after the ":".'),
    ),
    (
        "did not find expected key",
        Words("this does not fit the lines above", "Indent the keys of one table alike."),
    ),
    ("did not find expected ',' or '}'", Words('there is no "," or "}" before this')),
    ("did not find expected ',' or ']'", Words('there is no "," or "]" before this')),
    (
        "did not find expected '-' indicator",
        Words("this is no item of the list above", 'Start each item with "-", indented alike.'),
    ),
    (
        "block sequence entries are not allowed",
        Words('a "-" cannot stand here', "Start a list on a line of its own."),
    ),
    ("found unexpected end of stream", Words("a text is opened but never closed", "Close it.")),
    ("found a tab character", _TAB),
    (
        "found character that cannot start any token",
        Words("this character cannot start a value", "Put the text in quotes."),
    ),
)


def explained(message: str, at: str) -> Words:
    """Put a refusal of the parser in plain words.

    Parameters
    ----------
    message : str
        What the parser says, without its place.
    at : str
        The text from the place on.

    Returns
    -------
    Words
        For a message that is not known, the parser's own.

    Examples
    --------
    >>> explained("found character that cannot start any token", "\\tpulse_s: 2").remedy
    'Indent with spaces.'
    """
    if at.startswith("\t") and "cannot start any token" in message:
        return _TAB
    return next((words for part, words in _MEANINGS if part in message), Words(message))
