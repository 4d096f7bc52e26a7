"""A page of a PDF as a PNG picture."""

from __future__ import annotations

import io

DPI = 150


def from_pdf(pdf: bytes, page: int = 0, dpi: int = DPI) -> bytes:
    """Page ``page`` (from 0) of ``pdf`` as PNG bytes at ``dpi`` dots per inch; raises IndexError
    if there is no such page."""
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    try:
        if not 0 <= page < len(document):
            raise IndexError(f"page {page} of {len(document)}")
        image = document[page].render(scale=dpi / 72.0).to_pil().convert("L")
    finally:
        document.close()
    stream = io.BytesIO()
    image.save(stream, "PNG", optimize=False, dpi=(dpi, dpi))
    return stream.getvalue()
