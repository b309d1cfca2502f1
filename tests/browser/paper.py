"""Pages as they come out of the printer: PDF from the browser, its pixels by PDFium."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pypdfium2
from numpy.typing import NDArray

if TYPE_CHECKING:
    from playwright.sync_api import Page

DPI = 300
MM_PER_INCH = 25.4
PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""Width and height in mm (ISO 216; ANSI/ASME Y14.1 size A)."""
Pixels = NDArray[np.uint8]


def printed(page: Page, paper: str) -> list[Pixels]:
    """Return the sheets of paper that ``page`` prints on, as grey pixels at ``DPI``, 0 black to 255 white."""
    return sheets(page.pdf(format=paper, prefer_css_page_size=False, print_background=False))


def sheets(pdf: bytes) -> list[Pixels]:
    """Return the pages of a PDF as grey pixels."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        return [np.squeeze(page.render(scale=DPI / 72, grayscale=True).to_numpy()).copy() for page in document]
    finally:
        document.close()


def mm(pixels: float) -> float:
    """Return how long so many pixels are on paper."""
    return pixels / DPI * MM_PER_INCH
