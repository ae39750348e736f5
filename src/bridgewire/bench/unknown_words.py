"""Names of a record's unknowns for a person."""

from __future__ import annotations

_OF = {
    "drum": "resistance per metre",
    "contact-kind": "contact resistance",
    "strip-kind": "resistance inside",
    "splitter-kind": "resistance inside",
}


def words_of(key: str) -> str:
    """What an unknown is, in a few words.

    Parameters
    ----------
    key : str
        As in `bridgewire.bench.latents.Unknown`.

    Examples
    --------
    >>> words_of("batch/generic:clip-on-short/heat capacity")
    'clip-on-short heat capacity'
    >>> words_of("scatter/generic:clip-on-short/heat capacity")
    'scatter of clip-on-short heat capacity'
    >>> words_of("drum/harrowmere:shore-cable"), words_of("kind/harrowmere:heron/limit")
    ('shore-cable resistance per metre', 'heron limit')
    >>> words_of("bench/chain/contact/a")
    'cables and contacts of bench chain'
    >>> words_of("ambient/site")
    'ambient temperature'
    """
    head, _, rest = key.partition("/")
    if head in ("batch", "scatter", "kind"):
        full, _, what = rest.rpartition("/")
        bare = full.split(":", 1)[-1]
        return f"scatter of {bare} {what}" if head == "scatter" else f"{bare} {what}"
    if head in _OF:
        full, _, drum = rest.partition("/")
        bare = full.split(":", 1)[-1]
        return f"{bare} {_OF[head]}" + (f" (drum {drum})" if drum else "")
    if head == "bench":
        return f"cables and contacts of bench {rest.split('/', 1)[0]}"
    return "ambient temperature" if head == "ambient" else key
