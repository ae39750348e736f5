"""A drawing as PNG, through the optional package ``resvg-py`` (``pip install bridgewire[png]``)."""

from __future__ import annotations

from bridgewire.errors import BridgewireError

_LETTER = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="40" height="40">'
    '<text x="5" y="30" font-family="DejaVu Sans, Verdana, sans-serif" font-size="30">{}</text>'
    "</svg>"
)


class PngError(BridgewireError):
    """A PNG cannot be made here; the text says what to do."""


def svg_to_png(svg: str, zoom: int = 2) -> bytes:
    """Turn an SVG drawing into a PNG picture.

    Parameters
    ----------
    svg : str
    zoom : int
        Picture points per drawing unit.

    Returns
    -------
    bytes

    Raises
    ------
    PngError
        If the package is not installed, or if this machine has no font to write labels with.
    """
    try:
        import resvg_py
    except ImportError:
        raise PngError(
            "PNG needs one more package: pip install 'bridgewire[png]'; or write an .svg file"
        ) from None
    with_letter = resvg_py.svg_to_bytes(svg_string=_LETTER.format("M"))
    if bytes(with_letter) == bytes(resvg_py.svg_to_bytes(svg_string=_LETTER.format(""))):
        raise PngError(
            "no font was found on this machine, so labels would be missing; install one "
            "(for example fonts-dejavu-core) or write an .svg file"
        )
    return bytes(resvg_py.svg_to_bytes(svg_string=svg, zoom=zoom))
