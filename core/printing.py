"""The one place that makes a PDF of a page: nothing outside the page is fetched."""

import ctypes
import logging
import threading
from typing import Any

from core.errors import DomainError

# What WeasyPrint needs of the system; see the message below.
LIBRARIES = (
    "libgobject-2.0.so.0",
    "libpango-1.0.so.0",
    "libpangoft2-1.0.so.0",
    "libharfbuzz.so.0",
    "libharfbuzz-subset.so.0",
    "libfontconfig.so.1",
)
INSTALL = (
    "apt-get install --no-install-recommends libpango-1.0-0 libpangoft2-1.0-0 "
    "libharfbuzz-subset0 fonts-dejavu-core fonts-dejavu-extra"
)


class PrintingUnavailableError(DomainError):
    """The system lacks a library that drawing a PDF needs."""

    code = "printing_unavailable"


_kept = threading.local()

# Its progress is told page by page; only what is wrong is worth a line.
logging.getLogger("weasyprint").setLevel(logging.WARNING)


def print_html(html: str) -> bytes:
    """Return a finished page as a tagged PDF (PDF/UA-1).

    Args:
        html: the whole page, styles and drawings inside, with language and title.

    Returns:
        The file; the same page drawn by the same program and fonts gives the same
        bytes.

    Raises:
        PrintingUnavailableError: Pango or a library beside it is not installed.
    """
    check_printing()
    # Loads Pango and takes half a second, which only those who print shall wait.
    import weasyprint  # noqa: PLC0415
    from weasyprint.urls import URLFetcher  # noqa: PLC0415

    page = weasyprint.HTML(
        string=html, url_fetcher=URLFetcher(allowed_protocols={"data"})
    )
    drawn: Any = page.write_pdf(pdf_variant="pdf/ua-1", font_config=_fonts())
    return bytes(drawn)


def _fonts() -> Any:
    """Return this thread's fonts, found once.

    Finding them anew for each page leaves a third of a megabyte behind each time: a
    worker that draws all day would grow. Our pages bring no fonts of their own, so
    nothing of one page is left for the next. Pango's are not for two threads at once.
    """
    from weasyprint.text.fonts import FontConfiguration  # noqa: PLC0415 - as above

    found = getattr(_kept, "fonts", None)
    if found is None:
        found = _kept.fonts = FontConfiguration()
    return found


def check_printing() -> None:
    """Refuse, with the line to run, where a needed library is missing.

    Raises:
        PrintingUnavailableError: names what is missing.
    """
    missing = [name for name in LIBRARIES if not _loads(name)]
    if missing:
        raise PrintingUnavailableError(
            f"Nothing can be printed: {', '.join(missing)} is missing. "
            f"On Debian run: {INSTALL}"
        )


def _loads(name: str) -> bool:
    try:
        ctypes.CDLL(name)
    except OSError:
        return False
    return True
