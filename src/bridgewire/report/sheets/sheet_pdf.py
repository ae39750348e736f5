"""A sheet as PDF, through the optional package WeasyPrint."""

from __future__ import annotations

from typing import Any

from attrs import frozen

from bridgewire.errors import BridgewireError


class PdfMissingError(BridgewireError):
    """PDF cannot be made here; the text says what to do."""


@frozen
class Pdf:
    """A PDF document."""

    data: bytes
    pages: int


def html_to_pdf(html: str) -> Pdf:
    """Turn a sheet's HTML into PDF.

    Parameters
    ----------
    html : str
        See `bridgewire.report.sheets.sheet_html.sheet_html`. Nothing it names is fetched.

    Raises
    ------
    PdfMissingError
        If WeasyPrint, or one of the system libraries that it needs, is not installed.
    """
    weasyprint = _weasyprint()
    nothing = weasyprint.urls.URLFetcher(allowed_protocols=())
    document = weasyprint.HTML(string=html, url_fetcher=nothing).render()
    data = document.write_pdf()
    assert isinstance(data, bytes)
    return Pdf(data, len(document.pages))


def _weasyprint() -> Any:
    try:
        import weasyprint
    except ImportError:
        raise PdfMissingError(
            "PDF needs one more package: pip install 'bridgewire[sheets]'; or ask for --format html"
        ) from None
    except OSError:
        raise PdfMissingError(
            "PDF needs the system library Pango (Debian: apt-get install libpango-1.0-0 "
            "libpangoft2-1.0-0 libharfbuzz-subset0), which was not found; or ask for --format html"
        ) from None
    return weasyprint
