"""A small show file for a test to check."""

from __future__ import annotations

import json
from collections.abc import Sequence
from os import PathLike
from pathlib import Path


def small_show(
    folder: str | PathLike[str],
    *,
    name: str = "show.toml",
    title: str = "Small show",
    kits: Sequence[str] = ("generic",),
    box: str = "generic:battery-matrix",
    strip: str = "generic:strip-8",
    cable: str = "generic:pair-24awg-solid",
    igniter: str = "generic:electric-match",
    igniters: int = 1,
    length_m: float = 10.0,
    pulse_s: float | None = None,
    supply_V: float | None = 20.5,
    ambient_C: float = 15.0,
    extra: str = "",
) -> Path:
    """Write a show of one box, one strip and some igniters, each on a way and cue of its own.

    Parameters
    ----------
    folder : path
        Where to write it.
    name : str
        Of the file.
    title : str
        Of the show.
    kits : sequence of str
        Kit profiles that it names.
    box, strip, cable, igniter : str
        Kit entries, as ``kit:id``.
    igniters : int
        From 1 to the ways of the strip. They are called ``igniter 1`` and so on; their cues,
        20 s apart, ``cue 1`` and so on.
    length_m : float
        Of the cable from box to strip, m, known to 2 %.
    pulse_s : float, optional
        The class's usual pulse where absent, s.
    supply_V : float, optional
        What the meter reads on the box; None for a supply that is no battery.
    ambient_C : float
        Known to 5 °C.
    extra : str
        Further text in TOML: at the end, so it begins with a table.

    Returns
    -------
    Path
        Of the file.

    Examples
    --------
    >>> import tempfile
    >>> import bridgewire
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     report = bridgewire.check(small_show(folder, igniters=2))
    >>> [cue.verdict.value for cue in report.cues]
    ['sure', 'sure']
    """
    q = json.dumps
    reading = "" if supply_V is None else f"supply_V = {{ typical = {supply_V}, tol = 0.1 }}\n"
    pulse = "" if pulse_s is None else f"pulse_s = {pulse_s}\n"
    parts = [
        f"format = 1\ntitle = {q(title)}\nkits = [{', '.join(q(k) for k in kits)}]\n",
        f"[site]\nambient_C = {{ typical = {ambient_C}, tol = 5 }}\n",
        "[requirements]\nmargin = 1.2\nspread_s = 0.5\nlatest_light_s = 5.0\n",
        f'[[box]]\nid = "box"\nkind = {q(box)}\nat_m = [0, 0]\nstandby_s = 600\n{reading}',
        f'[[strip]]\nid = "strip"\nkind = {q(strip)}\nat_m = [{length_m * 0.8:g}, 0]\n',
        f'[[run]]\nfrom = "box/1"\nto = "strip"\ncable = {q(cable)}\n'
        f"length_m = {{ typical = {length_m}, tol_pct = 2 }}\n",
    ]
    for n in range(1, igniters + 1):
        parts.append(f'[[igniter]]\nid = "igniter {n}"\nat = "strip/{n}"\nclass = {q(igniter)}\n')
        parts.append(f'[[cue]]\nid = "cue {n}"\nfire = "box/1/{n}"\ntime_s = {20.0 * n}\n{pulse}')
    file = Path(folder) / name
    file.write_text("\n".join([*parts, extra]), encoding="utf-8")
    return file
