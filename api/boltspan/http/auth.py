"""Who is asking: bearer tokens (RFC 6750) in the Authorization header, and nowhere else."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import Any, Final

from boltspan.domain.errors import NotAuthenticated
from boltspan.services.accounts import authenticate
from boltspan.services.permissions import ANYBODY, PERMISSIONS, Actor
from boltspan.services.protocols import Clock, Storage

_BEARER: Final = re.compile(r"[Bb][Ee][Aa][Rr][Ee][Rr] +(\S+)")


def token_in(header: str | None) -> str | None:
    """Return the token in an Authorization header, None without one. Raises NotAuthenticated for another scheme."""
    if header is None:
        return None
    match = _BEARER.fullmatch(header.strip())
    if match is None:
        raise NotAuthenticated("send Authorization: Bearer and the token")
    return match[1]


def actor_of(storage: Storage, clock: Clock, token: str | None) -> Actor:
    """Return who a token speaks for; nobody in particular without one. Raises NotAuthenticated for a wrong one."""
    if token is None:
        return ANYBODY
    with storage.reading() as uow:
        return authenticate(uow, clock, token)


def undeclared(views: Iterable[tuple[str, Callable[..., Any]]]) -> list[str]:
    """Return the routes whose view declares no known permission; [] when all do."""
    return [rule for rule, view in views if getattr(view, "permission", None) not in PERMISSIONS]
