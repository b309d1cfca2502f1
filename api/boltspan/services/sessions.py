"""Signing in by page: a session in the database, a signed cookie that names it, and tokens that guard its forms.

The cookie holds a random secret and an HMAC over it; the database holds the secret's hash alone, so that neither a
copy of the database nor a guess makes a cookie.
"""

from __future__ import annotations

import datetime
import hashlib
import hmac
import re
import secrets
from typing import Final

from boltspan.domain.errors import NotAllowed, NotAuthenticated
from boltspan.services.accounts import actor_for
from boltspan.services.permissions import ROLES, Actor
from boltspan.services.protocols import Account, Clock, StoredSession, UnitOfWork

DAYS: Final = 90
_COOKIE: Final = re.compile(r"([A-Za-z0-9_-]{43})\.([0-9a-f]{64})")


def new_secret() -> str:
    """Return 256 random bits as text, for a cookie."""
    return secrets.token_urlsafe(32)


def signed(key: bytes, secret: str) -> str:
    """Return the cookie that holds ``secret``."""
    return f"{secret}.{_mac(key, 'cookie', secret)}"


def secret_in(key: bytes, cookie: str | None) -> str | None:
    """Return the secret in a cookie; None when there is none or this database did not sign it."""
    match = _COOKIE.fullmatch(cookie or "")
    if match is None or not hmac.compare_digest(match[2], _mac(key, "cookie", match[1])):
        return None
    return match[1]


def begin_session(uow: UnitOfWork, clock: Clock, actor: Actor) -> str:
    """Start a session of 90 days and return the secret for its cookie; ended ones of anybody are dropped.

    It may do what ``actor`` may: a narrow token signs in narrowly. Raises NotAuthenticated for nobody.
    """
    if actor.person is None:
        raise NotAuthenticated("nobody in particular cannot sign in")
    account = uow.accounts.account(actor.person)
    whole = account is not None and actor.may == ROLES[account.role]
    scopes = None if whole else tuple(sorted(actor.may))
    uow.accounts.end_sessions_before(clock.now())
    secret = new_secret()
    ends = datetime.datetime.fromisoformat(clock.now()) + datetime.timedelta(days=DAYS)
    ends_at = ends.strftime("%Y-%m-%dT%H:%M:%S.%fZ")
    uow.accounts.add_session(StoredSession(_hash(secret), actor.person, clock.now(), ends_at, scopes))
    return secret


def signed_in(uow: UnitOfWork, clock: Clock, secret: str | None) -> tuple[Account, Actor] | None:
    """Return who a session is of; None for no session, an ended one, and a blocked or left account."""
    session = uow.accounts.session(_hash(secret)) if secret is not None else None
    if session is None or session.ends_at <= clock.now():
        return None
    account = uow.accounts.account(session.account)
    actor = actor_for(account)
    if account is None or actor is None:
        return None
    may = actor.may if session.scopes is None else actor.may & frozenset(session.scopes)
    return account, Actor(account.id, may)


def end_session(uow: UnitOfWork, secret: str) -> None:
    """End the session of a cookie's secret; one that is not there changes nothing."""
    uow.accounts.end_session(_hash(secret))


def form_token(key: bytes, secret: str) -> str:
    """Return what a form carries to show that it came from a page that was shown to the holder of the cookie."""
    return _mac(key, "form", secret)


def check_form(key: bytes, given: str, holders: list[str | None]) -> None:
    """Raise NotAllowed unless a form's token belongs to one of the cookies' secrets that came with it."""
    known = [form_token(key, secret) for secret in holders if secret is not None]
    if not any(hmac.compare_digest(given.encode(), token.encode()) for token in known):
        raise NotAllowed("this form is out of date or was not sent from our own page; open the page again and resend")


def _mac(key: bytes, what: str, secret: str) -> str:
    return hmac.new(key, f"{what} {secret}".encode(), hashlib.sha256).hexdigest()


def _hash(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
