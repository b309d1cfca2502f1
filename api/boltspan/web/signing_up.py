"""Signing up and in inside any form: whoever is new agrees to the terms, whoever has a token gives it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from boltspan.domain.errors import InvalidInput, NotAuthenticated
from boltspan.services.accounts import IssuedToken, actor_for, authenticate, note_active
from boltspan.services.once import once_key
from boltspan.services.permissions import Actor
from boltspan.services.protocols import UnitOfWork
from boltspan.services.sessions import begin_session
from boltspan.services.sign_up import sign_up
from boltspan.web.given import Given
from boltspan.web.visitors import Visitor

FIELDS: Final = ("handle", "terms", "token")
_UUID: Final = re.compile(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}")


@dataclass(frozen=True, slots=True)
class Known:
    """Who a form is from. ``secret`` is that of a session which just began, ``token`` of an account just made."""

    actor: Actor
    secret: str | None = None
    token: IssuedToken | None = None


def known(given: Given, uow: UnitOfWork, visitor: Visitor, fields: Mapping[str, str]) -> Known:
    """Return who a form is from: the visitor who is signed in, else whom its token speaks for, else somebody new.

    Raises InvalidInput with /token, /terms or /handle for what does not go.
    """
    if visitor.account is not None:
        return Known(visitor.actor)
    if token := fields.get("token", "").strip():
        try:
            actor = authenticate(uow, given.clock, token)
        except NotAuthenticated as wrong:
            raise InvalidInput.one(
                "/token", "wrong_token", str(wrong), accepted="the whole token, from bs_ on"
            ) from wrong
        return _begun(given, uow, actor, None)
    handle = fields.get("handle", "").strip()
    data: dict[str, Any] = {"handle": handle} if handle else {}
    if fields.get("terms"):
        data["terms"] = fields["terms"]
    else:
        raise InvalidInput.one(
            "/terms", "terms_not_agreed", "the terms must be agreed to", accepted="a tick in the box"
        )
    done = sign_up(uow, given.clock, data, once_key("anybody", "/sign-up", once_field(fields), repr(data).encode()))
    actor = actor_for(uow.accounts.account(done.receipt.body["account"]["id"])) or Actor()
    return _begun(given, uow, actor, done.token)


def _begun(given: Given, uow: UnitOfWork, actor: Actor, token: IssuedToken | None) -> Known:
    secret = begin_session(uow, given.clock, actor)
    note_active(uow, given.clock, str(actor.person))
    return Known(actor, secret, token)


def once_field(fields: Mapping[str, str]) -> str:
    """Return the form's own mark, which makes a form that is sent twice count once. Raises InvalidInput without one."""
    mark = fields.get("once", "")
    if not _UUID.fullmatch(mark):
        raise InvalidInput.one(
            "", "bad_key", "the form has lost its mark; open the page again", accepted="the form as shown"
        )
    return mark
