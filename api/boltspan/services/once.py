"""Doing a creating request once: the answer is saved in the same transaction as its effect and replayed after."""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

from boltspan.domain.errors import InvalidInput, KeyReused
from boltspan.services.protocols import Clock, SavedAnswer, UnitOfWork

KEPT_HOURS: Final = 24
MOST_KEY: Final = 128


@dataclass(frozen=True, slots=True)
class Receipt:
    """What a creating request brought about: a JSON-ready body and the path of the new thing."""

    body: dict[str, Any]
    location: str
    status: int = 201
    replayed: bool = False


@dataclass(frozen=True, slots=True)
class OnceKey:
    """An Idempotency-Key with its owner (a person and a route) and the fingerprint of the request's body."""

    owner: str
    key: str
    fingerprint: str


def once_key(person: str, route: str, header: str, body: bytes) -> OnceKey:
    """Return the key of a request. A quoted and a bare header value are the same key.

    Raises InvalidInput when the value is empty, over 128 characters or not printable ASCII.
    """
    key = header.strip()
    if len(key) > 1 and key[0] == key[-1] == '"':
        key = key[1:-1]
    if not 1 <= len(key) <= MOST_KEY or not key.isascii() or not key.isprintable():
        raise InvalidInput.one(
            "/Idempotency-Key",
            "bad_key",
            "this is no Idempotency-Key",
            got=key,
            accepted=f"1 to {MOST_KEY} printable ASCII characters, such as a UUID",
        )
    return OnceKey(f"{person} {route}", key, hashlib.sha256(body).hexdigest())


def once(uow: UnitOfWork, clock: Clock, key: OnceKey, work: Callable[[], Receipt]) -> Receipt:
    """Return what ``work`` brings about, or what it brought about when the key was used before.

    Raises KeyReused when the key came with another body. A ``work`` that raises saves nothing: the same key may come
    again with a corrected body.
    """
    uow.keys.forget_before(_hours_before(clock.now(), KEPT_HOURS))
    saved = uow.keys.saved(key.owner, key.key)
    if saved is not None:
        if saved.fingerprint != key.fingerprint:
            raise KeyReused("this Idempotency-Key was used with another body; take a new key for a new request")
        return Receipt(saved.body, saved.location or "", saved.status, replayed=True)
    receipt = work()
    answer = SavedAnswer(key.fingerprint, receipt.status, receipt.body, receipt.location, clock.now())
    uow.keys.save(key.owner, key.key, answer)
    return receipt


def _hours_before(instant: str, hours: int) -> str:
    then = datetime.datetime.fromisoformat(instant) - datetime.timedelta(hours=hours)
    return then.strftime("%Y-%m-%dT%H:%M:%S.%fZ")
