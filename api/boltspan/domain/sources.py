"""Sources: where a statement comes from. Every claim keeps its own."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final
from urllib.parse import urlsplit

from boltspan.domain.errors import InvalidInput

KINDS: Final = ("spec_page", "exploded_diagram", "manual", "maker_reply", "retailer_chart", "measured", "fitted")
MAKERS_OWN: Final = frozenset({"spec_page", "exploded_diagram", "manual", "maker_reply"})
"""Kinds that speak for the frame's maker."""
MOST_READINGS: Final = 20


@dataclass(frozen=True, slots=True)
class Measurement:
    """What stood on the instrument: readings in mm of the bolt's and the width's feature, in the order taken."""

    instrument: str
    resolution_mm: Decimal
    bolt_feature: str | None = None
    width_feature: str | None = None
    bolt_readings_mm: tuple[Decimal, ...] = ()
    width_readings_mm: tuple[Decimal, ...] = ()


@dataclass(frozen=True, slots=True)
class Source:
    """Who said it, where, and when it was seen. ``document`` names the document: two claims from one count once."""

    kind: str
    by: str
    seen_on: str
    document: str | None = None
    url: str | None = None
    page: str | None = None
    quote: str | None = None
    measurement: Measurement | None = None

    @property
    def witness(self) -> str:
        """What counts as one voice: the person for a measurement or a fitting, else the document."""
        if self.kind in ("measured", "fitted"):
            return f"person {self.by}"
        return f"document {self.document}"


def check_url(text: str, pointer: str) -> str:
    """Return ``text`` when it is a plain web address; raise InvalidInput naming ``pointer`` otherwise.

    Only http and https, with a host, without user names, white space or control characters. It is kept and shown,
    never fetched.
    """
    accepted = "an http or https address with a host and without a user name"
    if any(ch.isspace() or ord(ch) < 32 or ch in '<>"\\^`{|}' for ch in text) or len(text) > 500:
        raise InvalidInput.one(pointer, "bad_url", "this is no web address", got=text, accepted=accepted)
    try:
        parts = urlsplit(text)
        host, _ = parts.hostname, parts.port
    except ValueError:
        raise InvalidInput.one(pointer, "bad_url", "this is no web address", got=text, accepted=accepted) from None
    if parts.scheme not in ("http", "https") or not host or "@" in parts.netloc:
        raise InvalidInput.one(
            pointer, "bad_url", "this is no web address that may be kept", got=text, accepted=accepted
        )
    return text


def document_of(url: str) -> str:
    """Return the document's name for an address: host and path without scheme, fragment, "www." and final slash.

    The query stays, since it often names the page.
    """
    parts = urlsplit(url)
    host = (parts.hostname or "").removeprefix("www.")
    port = f":{parts.port}" if parts.port not in (None, 80, 443) else ""
    return host + port + parts.path.rstrip("/") + (f"?{parts.query}" if parts.query else "")
