"""Symbols that the wiring drawings share, each drawn once and used by its id.

Battery, capacitor, resistor, make contact, diode, connection dot and terminal follow the general
form of IEC 60617. There is no standard symbol for an igniter; ours is a resistor with a dot and
rays. Verdicts differ by shape: a filled disc, a half-filled disc, a cross, a dotted ring with a
question mark.
"""

from __future__ import annotations

from collections.abc import Iterable

from bridgewire.timeline.outcomes import Verdict

STYLE = (
    "<style>.bw-w{fill:none;stroke:currentColor}.bw-p{fill:#fff}.bw-i{fill:currentColor}"
    ".bw-f{stroke:#999}"
    "@supports(color:var(--a)){.bw{color:var(--ink,currentColor)}.bw-p{fill:var(--paper,Canvas)}"
    ".bw-f{stroke:var(--faint,#999)}.bw-m{color:var(--mark,currentColor)}}</style>"
)
"""Colours. Custom properties stand behind ``@supports`` so that readers of SVG that do not know
them (for PDF and PNG) keep plain black and white."""

_SHAPES = {
    # Supplies stand upright between two rails 76 apart, plus on top.
    "battery": '<path class="bw-w" d="M0 0v33M0 43v33M-12 33h24"/><path class="bw-w" '
    'd="M-6 43h12" stroke-width="4"/>',
    "capacitor": '<path class="bw-w" d="M0 0v34M0 42v34"/><path class="bw-w" '
    'd="M-12 34h24M-12 42h24" stroke-width="2"/>',
    "regulated": '<circle class="bw-w" cy="38" r="12"/><path class="bw-w" d="M0 0v76"/>',
    "resistor": '<path class="bw-w bw-p" d="M-14-5h28v10h-28z"/>',
    "contact": '<path class="bw-p" d="M-14-4h28v8h-28z"/><path class="bw-w" '
    'd="M-14 0h6L9-3M8 0h6"/><path class="bw-i" d="M7-4h2v4h-2z"/>',
    "diode": '<path class="bw-i" d="M-6-5h12L0 5z"/><path class="bw-w" d="M-6 5h12" '
    'stroke-width="2"/>',
    "igniter": '<path class="bw-w bw-p" d="M-5-13h10v26h-10z"/><path class="bw-w" '
    'd="M-8-5l-5-3M-8 0h-6M-8 5l-5 3"/><circle class="bw-i" r="3"/>',
    "dot": '<circle class="bw-i" r="2.6"/>',
    "terminal": '<circle class="bw-w bw-p" r="3.2"/>',
    "box": '<path class="bw-w bw-p" d="M-5-5h10v10h-10z"/><path class="bw-i" d="M-5-5h10v5h-10z"/>',
    "splitter": '<path class="bw-w bw-p" d="M-5 0L5-5.5v11z"/>',
    "strip": '<path class="bw-w bw-p" d="M-6-3.5h12v7h-12zM-2-3.5v7M2-3.5v7"/>',
    "position": '<path class="bw-w" d="M-4 0h8M0-4v8"/>',
    "sure": '<circle class="bw-m bw-i" r="4.6"/>',
    "marginal": '<circle class="bw-m bw-w bw-p" r="4.2"/>'
    '<path class="bw-m bw-i" d="M0-4.2a4.2 4.2 0 0 0 0 8.4z"/>',
    "no": '<path class="bw-m bw-w" d="M-4-4l8 8M4-4l-8 8" stroke-width="2.2"/>',
    "unknown": '<circle class="bw-m bw-w" r="5" stroke-dasharray="1.6 1.6"/><path '
    'class="bw-m bw-w" d="M-1.8-1.2a1.8 1.6 0 1 1 1.8 2v.7"/><circle class="bw-m bw-i" '
    'cy="3" r=".8"/>',
}
_RUNG = (
    '<path class="bw-w" d="M0 0v76"/><circle class="bw-i" r="2.6"/><circle class="bw-i" cy="76" '
    'r="2.6"/><circle class="bw-w bw-p" cy="{0}" r="3"/><circle class="bw-w bw-p" cy="67" r="3"/>'
    f'<g transform="translate(0 46)">{_SHAPES["igniter"]}</g>'
)
_SHAPES |= {
    # A run of 130 units, and a rung without and with a diode, between rails 76 apart.
    "run": '<path class="bw-w" d="M0 0h130M0 76h130"/><path class="bw-w bw-p" '
    'd="M51-5h28v10h-28zM51 71h28v10h-28z"/>',
    "rung": _RUNG.format(9),
    "rungd": _RUNG.format(27) + f'<g transform="translate(0 14)">{_SHAPES["diode"]}</g>',
}
NAMES = tuple(_SHAPES)

VERDICT_SYMBOL = {v: v.value for v in Verdict}
"""The symbol of each verdict."""


def definitions(names: Iterable[str]) -> str:
    """The colours and these symbols, for the inside of one drawing.

    Parameters
    ----------
    names : iterable of str
        Of `NAMES`.

    Examples
    --------
    >>> definitions(["dot"]).endswith('<g id="bw-dot"><circle class="bw-i" r="2.6"/></g></defs>')
    True
    """
    wanted = set(names)
    shapes = "".join(f'<g id="bw-{n}">{s}</g>' for n, s in _SHAPES.items() if n in wanted)
    return f"{STYLE}<defs>{shapes}</defs>"


def symbol_defs() -> str:
    """Colours and all symbols, for a page to include once.

    Returns
    -------
    str
        An SVG without size. Drawings made with ``with_symbols=False`` use its ids. It works for
        drawings inside the same HTML page; a drawing in a file of its own, and programs that read
        each SVG by itself, need drawings that carry their symbols.

    Examples
    --------
    >>> 'id="bw-igniter"' in symbol_defs()
    True
    """
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="0" height="0" '
        f'style="position:absolute" aria-hidden="true">{definitions(NAMES)}</svg>\n'
    )
