"""Sources: where a statement comes from. Every claim keeps its own."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from typing import Final
from urllib.parse import unquote, urlsplit

from boltspan.domain.errors import InvalidInput

KINDS: Final = ("spec_page", "exploded_diagram", "manual", "maker_reply", "retailer_chart", "measured", "fitted")
MAKERS_OWN: Final = frozenset({"spec_page", "exploded_diagram", "manual", "maker_reply"})
"""Kinds that speak for the frame's maker."""
MOST_READINGS: Final = 20
MOST_URL: Final = 500
MOST_DOCUMENT: Final = MOST_URL
"""A document may be named after an address, so every address must fit."""


PARTS: Final = ("bolt", "width", "bore", "outer")
"""What readings can be of: the bolt and the width at a frame; the bore, the width and the outside of an eyelet."""


@dataclass(frozen=True, slots=True)
class Measurement:
    """What stood on the instrument: readings in mm of the feature of each part, in the order taken."""

    instrument: str
    resolution_mm: Decimal
    bolt_feature: str | None = None
    width_feature: str | None = None
    bolt_readings_mm: tuple[Decimal, ...] = ()
    width_readings_mm: tuple[Decimal, ...] = ()
    bore_feature: str | None = None
    outer_feature: str | None = None
    bore_readings_mm: tuple[Decimal, ...] = ()
    outer_readings_mm: tuple[Decimal, ...] = ()

    @property
    def parts(self) -> tuple[tuple[str, str, tuple[Decimal, ...]], ...]:
        """What was measured, in the order of PARTS: the part, its feature, its readings."""
        every = ((p, getattr(self, f"{p}_feature"), getattr(self, f"{p}_readings_mm")) for p in PARTS)
        return tuple((part, feature, readings) for part, feature, readings in every if feature is not None)


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
        """What counts as one voice: the person for a measurement or a fitting, else the document.

        An address names the document, whatever else it is called: one page under two names is one page.
        """
        if self.kind in ("measured", "fitted"):
            return self.person
        return f"document {document_of(self.url) if self.url else self.document}"

    @property
    def person(self) -> str:
        """The voice of who brought it."""
        return f"person {self.by}"


def check_url(text: str, pointer: str) -> str:
    """Return ``text`` when it is a plain web address; raise InvalidInput naming ``pointer`` otherwise.

    Only http and https, with a host, without user names, white space or characters that cannot be seen. It is kept
    and shown, never fetched.
    """
    accepted = f"an http or https address of at most {MOST_URL} characters, with a host and without a user name"
    if any(_not_in_addresses(ch) for ch in text) or len(text) > MOST_URL:
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


def _not_in_addresses(ch: str) -> bool:
    return ch.isspace() or unicodedata.category(ch)[0] == "C" or ch in '<>"\\^`{|}'


def document_of(url: str) -> str:
    """Return the document's name for an address: host and path without scheme, fragment, "www." and final slash.

    The query stays, since it often names the page. In Unicode NFC, as every text is kept.
    """
    parts = urlsplit(url)
    host = (parts.hostname or "").removeprefix("www.")
    port = f":{parts.port}" if parts.port not in (None, 80, 443) else ""
    name = host + port + parts.path.rstrip("/") + (f"?{parts.query}" if parts.query else "")
    return unicodedata.normalize("NFC", name)


_ADDRESS: Final = re.compile(r"(?:https?://)?(?:www\.)?([^\s/?#:]+\.[^\s/?#:.]{2,})(?::\d+)?([/?#]\S*)?", re.IGNORECASE)
_START_PAGE: Final = re.compile(r"/(?:index|default)\.[a-z]{3,5}$")


def page_of(source: Source) -> str:
    """Return the source's voice for the published rule, which is stricter than ``Source.witness``.

    Two addresses of one page are one voice: spelling, scheme, "www.", port, query, fragment and the name of a start
    page make no difference. It may take two pages for one, never one for two as far as an address can tell.
    """
    if source.kind in ("measured", "fitted"):
        return source.person
    written = source.url or source.document or ""
    text = " ".join(unicodedata.normalize("NFKC", unquote(written)).casefold().split())
    address = _ADDRESS.fullmatch(text)
    if address is None:
        return f"document {text}"
    path = re.split(r"[?#]", address[2] or "")[0]
    path = re.sub(r"/+", "/", path).rstrip("/")
    return f"document {address[1]}{_START_PAGE.sub('', path)}"
