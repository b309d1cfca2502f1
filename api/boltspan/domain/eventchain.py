"""The chain of events: each one's hash covers the one before, so that nobody changes the past unseen.

The hash is SHA-256 over the previous hash (64 hexadecimal digits) and the event's JSON in the canonical form of
RFC 8785 (keys sorted by UTF-16 code units, no white space). That form writes 8.0 as 8, so every number with a point is
a text in it, with all its digits; a reader of another language gets the same bytes. The form never changes: hashes of
it are published with every release.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from decimal import Decimal
from typing import Any, Final

from boltspan.domain.lengths import plain

START: Final = "0" * 64
"""What the first event follows."""


def canonical(value: Any) -> bytes:
    """Return the canonical JSON of objects, lists, texts, integers, Decimals, true and false.

    Raises TypeError for anything else: None and floats have no exact form here.
    """
    return json.dumps(_plain(value), ensure_ascii=False, separators=(",", ":")).encode()


def link(
    previous: str,
    sequence: int,
    at: str,
    actor: str | None,
    kind: str,
    frame: str | None,
    subject: str | None,
    payload: Mapping[str, Any],
) -> str:
    """Return the hash of an event that follows the one with the hash ``previous``; what is None is left out."""
    whole: dict[str, Any] = {"sequence": sequence, "at": at, "kind": kind, "payload": payload}
    whole |= {k: v for k, v in (("actor", actor), ("frame", frame), ("subject", subject)) if v is not None}
    return hashlib.sha256(previous.encode() + canonical(whole)).hexdigest()


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {k: _plain(value[k]) for k in sorted(value, key=lambda k: k.encode("utf-16-be"))}
    if isinstance(value, list | tuple):
        return [_plain(v) for v in value]
    if isinstance(value, Decimal):
        return plain(value)
    if isinstance(value, str | bool | int):
        return value
    raise TypeError(f"{type(value).__name__} has no canonical form: {value!r}")
