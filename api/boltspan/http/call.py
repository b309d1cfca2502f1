"""One request as its view sees it: who asks, what the service is made of, and how answers are sent."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Final

from flask import Request, Response, g

from boltspan.domain.errors import InvalidInput, KeyMissing, PreconditionMissing, WrongType
from boltspan.http.conditional import none_match
from boltspan.http.headers import JSON, LOOKUP_CACHE, PRIVATE_CACHE
from boltspan.http.limits import Left, OverLimit, Policy, caller
from boltspan.http.parts import Parts
from boltspan.http.published import Ready
from boltspan.http.strictjson import body_of
from boltspan.services.accounts import note_use, token_id_of
from boltspan.services.answers import encode, etag
from boltspan.services.once import OnceKey, Receipt, once_key
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Clock, UnitOfWork

_UUID: Final = re.compile(r"[0-9a-fA-F]{8}(?:-[0-9a-fA-F]{4}){3}-[0-9a-fA-F]{12}")


@dataclass(frozen=True, slots=True)
class Call:
    """One request of ``actor``; ``query`` holds the conditions it stated, checked."""

    actor: Actor
    parts: Parts
    request: Request
    token: str | None
    query: Mapping[str, Any]

    @property
    def clock(self) -> Clock:
        """The time."""
        return self.parts.clock

    def count_lookup(self) -> None:
        """Count this request as a look-up, for views that are exempt while their answer is ready."""
        g.left = count_request(self.parts, self.parts.policies.lookup, self.request.remote_addr)

    @contextmanager
    def reading(self) -> Iterator[UnitOfWork]:
        """Open a unit of work that reads."""
        with self.parts.storage.reading() as uow:
            yield uow

    @contextmanager
    def writing(self) -> Iterator[UnitOfWork]:
        """Open a unit of work that writes, note the token's use in it, and show its changes here at once after it."""
        with self.parts.storage.writing() as uow:
            token_id = token_id_of(self.token) if self.token is not None else None
            if token_id is not None:
                note_use(uow, self.clock, token_id)
            yield uow
        self.parts.published.written()

    def once_key(self, most_bytes: int | None = None, *, uuid: bool = False) -> OnceKey:
        """Return the request's Idempotency-Key.

        With ``uuid`` it must be one, so that nobody without a token meets another's. ``most_bytes`` is what the body
        may have, when that is not the usual. Raises KeyMissing without a key, InvalidInput for one that is none.
        """
        body = body_of(self.request) if most_bytes is None else self.upload(most_bytes)
        header = self.request.headers.get("Idempotency-Key")
        if header is None:
            raise KeyMissing("send an Idempotency-Key, such as a UUID, so that a repeated request is done once")
        owner = self.actor.person or "anybody"
        key = once_key(owner, self.request.path, header, body)
        if uuid and not _UUID.fullmatch(key.key):
            raise InvalidInput.one("/Idempotency-Key", "bad_key", "this key is a UUID", got=key.key,
                                   accepted="a UUID, such as 6f1f4a52-6d0b-4d56-9f3a-0c5a0d4b9f11")  # fmt: skip
        return key

    def upload(self, most_bytes: int) -> bytes:
        """Return a body that is no JSON. Raises RequestEntityTooLarge beyond ``most_bytes``, WrongType when empty."""
        self.request.max_content_length = most_bytes + 1
        body = body_of(self.request)
        if not body:
            raise WrongType("there is no body; send the photo as it is")
        return body

    def if_match(self) -> str:
        """Return the If-Match header. Raises PreconditionMissing without one, or with an empty one."""
        header = self.request.headers.get("If-Match")
        if header is None or not header.strip():
            raise PreconditionMissing("send If-Match with the ETag that you read, so that nobody's work is overwritten")
        return header

    def shown(self, body: Mapping[str, Any], *, private: bool = False, tag: str | None = None) -> Response:
        """Return what was read: with its ETag, 304 when the caller has it; ``private`` answers are not stored."""
        raw = encode(dict(body))
        return self.raw(Ready(raw, tag or etag(raw)), PRIVATE_CACHE if private else LOOKUP_CACHE)

    def raw(self, ready: Ready, cache: str, content_type: str = JSON) -> Response:
        """Return bytes that are there already, as ``shown`` does."""
        if none_match(self.request.headers.get("If-None-Match"), ready.etag):
            response = Response(status=304)
            del response.headers["Content-Type"]
        else:
            response = Response(ready.body, content_type=content_type)
        response.headers["ETag"] = ready.etag
        response.headers["Cache-Control"] = cache
        return response

    def worked_out(self, body: Mapping[str, Any]) -> Response:
        """Return what a read-only POST worked out; nobody stores it."""
        return _sent(body, 200)

    def receipt(self, receipt: Receipt, body: Mapping[str, Any] | None = None) -> Response:
        """Return what a write brought about, and where it is; ``body`` when more is told than what is kept of it."""
        response = _sent(receipt.body if body is None else body, receipt.status)
        response.headers["Location"] = receipt.location
        return response


def _sent(body: Mapping[str, Any], status: int) -> Response:
    response = Response(encode(dict(body)), status, content_type=JSON)
    response.headers["Cache-Control"] = PRIVATE_CACHE
    return response


def count_request(parts: Parts, policy: Policy, address: str | None) -> Left | None:
    """Count a request in memory by its address; None when limits are off. Raises OverLimit."""
    return parts.counters.hit(policy, caller(address)) if parts.settings.rate_limits else None


def count_write(parts: Parts, person: str) -> Left | None:
    """Count a write of a person where all workers see it; None when limits are off. Raises OverLimit.

    It is counted whether it succeeds or not, in a transaction of its own. A flood is stopped by the count in memory,
    so that it does not write.
    """
    return _count_in_database(parts, parts.policies.write, person)


def count_sender(parts: Parts, policy: Policy, address: str | None) -> Left | None:
    """Count a write without a token by its address, where all workers see it. Raises OverLimit.

    None when limits are off. It is counted whether it succeeds or not.
    """
    return _count_in_database(parts, policy, caller(address))


def _count_in_database(parts: Parts, policy: Policy, who: str) -> Left | None:
    if not parts.settings.rate_limits:
        return None
    parts.counters.hit(policy, who)
    with parts.storage.writing() as uow:
        hits = uow.keys.hit(f"{policy.name} {who}", time.time(), policy.window_s)
    left = Left(policy, max(0, policy.quota - hits), policy.window_s)
    if hits > policy.quota:
        raise OverLimit(left)
    return left
