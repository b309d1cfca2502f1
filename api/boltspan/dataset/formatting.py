"""The one form of a file's text, for whatever writes files and for the check."""

from __future__ import annotations

from typing import Any

from boltspan.dataset.documents import Document
from boltspan.dataset.keyorder import canonical
from boltspan.dataset.text import text_of


def file_text(data: Any, kind: str) -> bytes:
    """Return the bytes of a file of ``kind`` (a key of layout.SCHEMAS) that says ``data``: UTF-8, everything in order.

    Raises TypeError when a null stands in it, which has no text here.
    """
    return text_of(canonical(data, kind)).encode()


def formatted(document: Document) -> bytes | None:
    """Return the document's bytes in their one form, or None when it cannot have one: not read, or null inside."""
    if document.unread is not None or document.kind is None:
        return None
    try:
        return file_text(document.data, document.kind)
    except TypeError:
        return None
