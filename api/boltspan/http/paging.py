"""Cursors: where a list goes on. Opaque, signed, tied to the question they came from, stable under inserts."""

from __future__ import annotations

import base64
import binascii
import hashlib
import hmac
import json
import threading
from collections.abc import Mapping, Sequence
from typing import Any, Final
from urllib.parse import urlencode

from boltspan.domain.errors import BoltspanError
from boltspan.services.protocols import Storage
from boltspan.services.signing import signing_key

_TAG_BYTES: Final = 16


class BadCursor(BoltspanError):
    """A cursor that this service did not give for this question."""

    code = "bad_cursor"


class Cursors:
    """Makes and reads cursors with the database's own key."""

    def __init__(self, storage: Storage) -> None:
        self._storage = storage
        self._lock = threading.Lock()
        self._key: bytes | None = None

    def make(self, question: str, after: Sequence[Any]) -> str:
        """Return the cursor that goes on after the order key ``after`` of ``question`` (route and conditions)."""
        text = json.dumps(list(after), separators=(",", ":")).encode()
        return base64.urlsafe_b64encode(self._tag(question, text) + text).decode().rstrip("=")

    def read(self, question: str, cursor: str) -> tuple[Any, ...]:
        """Return the order key in ``cursor``. Raises BadCursor for one of another question, key or making."""
        try:
            raw = base64.urlsafe_b64decode(cursor.encode("ascii") + b"=" * (-len(cursor) % 4))
        except (UnicodeEncodeError, binascii.Error):
            raw = b""
        tag, text = raw[:_TAG_BYTES], raw[_TAG_BYTES:]
        if not text or not hmac.compare_digest(tag, self._tag(question, text)):
            raise BadCursor("this cursor was not given for this question; start again without a cursor")
        return tuple(json.loads(text))

    def _tag(self, question: str, text: bytes) -> bytes:
        said = hashlib.sha256(question.encode()).digest() + text
        return hmac.digest(self._secret(), said, "sha256")[:_TAG_BYTES]

    def _secret(self) -> bytes:
        with self._lock:
            if self._key is None:
                self._key = signing_key(self._storage)
            return self._key


def question_of(path: str, query: Mapping[str, Any]) -> str:
    """Return what a cursor is tied to: the path and every condition, but not the page's size."""
    return urlencode([("", path), *sorted((k, str(v)) for k, v in query.items() if k not in ("cursor", "limit"))])


def next_link(path: str, query: Mapping[str, Any], cursor: str) -> str:
    """Return the Link header to the next page."""
    conditions = {k: str(v) for k, v in query.items()} | {"cursor": cursor}
    return f'<{path}?{urlencode(conditions)}>; rel="next"'
