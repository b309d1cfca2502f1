"""People and their tokens. A token is shown once; only the SHA-256 of it is kept."""

from __future__ import annotations

import datetime
import hashlib
import hmac
import re
import secrets
import zlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from boltspan.domain.errors import InvalidInput, NotAuthenticated, NotFound
from boltspan.domain.handles import handle as checked_handle
from boltspan.domain.ids import ALPHABET, check_id, mint
from boltspan.services.permissions import ROLES, Actor
from boltspan.services.protocols import Account, Clock, StoredToken, UnitOfWork

PREFIX: Final = "bs"
DAYS: Final = 365
_TOKEN: Final = re.compile(r"bs_([0-9a-z]{8})_([A-Za-z0-9_-]{43})_([0-9a-f]{6})")


@dataclass(frozen=True, slots=True)
class IssuedToken:
    """A new token: its text (shown now and never again), its id, its person and when it ends."""

    text: str
    id: str
    person: str
    role: str
    expires_at: str


def issue_token(
    uow: UnitOfWork,
    clock: Clock,
    *,
    role: str,
    handle: str | None = None,
    person: str | None = None,
    scopes: Sequence[str] | None = None,
    days: int = DAYS,
) -> IssuedToken:
    """Make a token for a person, a new one unless ``person`` is given, and return it with its text.

    ``scopes`` narrow what the role may do. Raises InvalidInput for an unknown role, scope or handle and for days
    outside 1 to 3,650; NotFound for an unknown person.
    """
    account = _account(uow, clock, role, handle, person)
    granted = ROLES[account.role]
    for i, scope in enumerate(scopes or ()):
        if scope not in granted:
            raise InvalidInput.one(
                f"/scopes/{i}",
                "unknown_scope",
                f"the role {account.role} has no such scope",
                got=scope,
                accepted=", ".join(sorted(granted)),
            )
    if not 1 <= days <= 3650:
        raise InvalidInput.one("/days", "out_of_range", "a token ends some day", got=days, accepted="1 to 3650")
    token_id = "".join(secrets.choice(ALPHABET) for _ in range(8))
    secret = secrets.token_urlsafe(32)
    text = f"{PREFIX}_{token_id}_{secret}_{_checksum(token_id, secret)}"
    ends = datetime.datetime.fromisoformat(clock.now()) + datetime.timedelta(days=days)
    expires_at = ends.strftime("%Y-%m-%dT%H:%M:%S.%fZ")
    stored = StoredToken(token_id, account.id, _hash(text), tuple(sorted(scopes or granted)), clock.now(), expires_at)
    uow.accounts.put_token(stored)
    return IssuedToken(text, token_id, account.id, account.role, expires_at)


def _account(uow: UnitOfWork, clock: Clock, role: str, handle: str | None, person: str | None) -> Account:
    if role not in ROLES:
        raise InvalidInput.one("/role", "unknown_role", "there is no such role", got=role, accepted=", ".join(ROLES))
    if person is not None:
        found = uow.accounts.account(check_id("person", person, "/person"))
        if found is None:
            raise NotFound("person", person)
        if found.role != role:
            found = replace(found, role=role)
            uow.accounts.put_account(found)
        return found
    return new_account(uow, clock, role, handle)


def new_account(
    uow: UnitOfWork, clock: Clock, role: str, handle: str | None = None, terms: str | None = None
) -> Account:
    """Make an account of a new person and return it.

    Raises InvalidInput for a handle that is none, is kept from everybody or is somebody's.
    """
    name = None if handle is None else checked_handle(handle, "/handle")
    if name is not None and uow.accounts.by_handle(name) is not None:
        raise InvalidInput.one(
            "/handle", "handle_taken", "somebody has this handle", got=handle, accepted="another handle"
        )
    if name is not None and uow.accounts.looking_like(name) is not None:
        raise InvalidInput.one("/handle", "handle_looks_taken", "this handle can be taken for somebody else's",
                               got=handle, accepted="a handle that looks like nobody's")  # fmt: skip
    account = Account(mint("person"), role, name, clock.today(), terms=terms)
    uow.accounts.put_account(account)
    return account


def revoke_token(uow: UnitOfWork, clock: Clock, token_id: str) -> StoredToken:
    """Revoke a token by its id, the eight characters after ``bs_``, and end every session of its person.

    A session does not know the token it came from, so that whoever found a token would stay signed in by it. Raises
    NotFound; revoking twice changes nothing.
    """
    token = uow.accounts.token(token_id)
    if token is None:
        raise NotFound("token", token_id)
    if token.revoked_at is None:
        token = replace(token, revoked_at=clock.now())
        uow.accounts.put_token(token)
        uow.accounts.end_sessions(token.account)
    return token


def authenticate(uow: UnitOfWork, clock: Clock, text: str) -> Actor:
    """Return the person a token speaks for and what it may do.

    Raises NotAuthenticated, in the same words, for a malformed, unknown, wrong, expired or revoked token and for a
    blocked person. The token is found by its id and compared in constant time.
    """
    match = _TOKEN.fullmatch(text)
    token = uow.accounts.token(match[1]) if match and _checksum(match[1], match[2]) == match[3] else None
    same = hmac.compare_digest(_hash(text), token.secret_sha256 if token is not None else _hash(""))
    actor = actor_for(uow.accounts.account(token.account)) if token is not None and same else None
    if (
        token is None
        or actor is None
        or token.revoked_at is not None
        or (token.expires_at is not None and token.expires_at <= clock.now())
    ):
        raise NotAuthenticated("the token is wrong, expired or revoked")
    return Actor(actor.person, actor.may & frozenset(token.scopes))


def note_use(uow: UnitOfWork, clock: Clock, token_id: str) -> None:
    """Write down the day a token was last used; called with writes only, so that reading never writes."""
    token = uow.accounts.token(token_id)
    if token is not None:
        if token.last_used_on != clock.today():
            uow.accounts.put_token(replace(token, last_used_on=clock.today()))
        note_active(uow, clock, token.account)


def note_active(uow: UnitOfWork, clock: Clock, person: str) -> None:
    """Write down that a person did something today; the day only, and only once a day."""
    account = uow.accounts.account(person)
    if account is not None and account.last_active_on != clock.today():
        uow.accounts.put_account(replace(account, last_active_on=clock.today()))


def revoke_all(uow: UnitOfWork, clock: Clock, person: str) -> None:
    """Revoke every token of a person and end every session."""
    for token in uow.accounts.tokens_of(person):
        if token.revoked_at is None:
            uow.accounts.put_token(replace(token, revoked_at=clock.now()))
    uow.accounts.end_sessions(person)


def actor_for(account: Account | None) -> Actor | None:
    """Return whom an account lets act with all its role may; None for none, a blocked one and one that was left."""
    if account is None or account.blocked or account.left_on is not None:
        return None
    return Actor(account.id, ROLES[account.role])


def decides_alone(uow: UnitOfWork, person: str) -> bool:
    """Return whether nobody else may rule on claims here: blocked people and those who left cannot."""
    deciding = {a.id for a in uow.accounts.accounts() if "settle_review" in getattr(actor_for(a), "may", ())}
    return deciding == {person}


def token_id_of(text: str) -> str | None:
    """Return the id in a token's text, None when it is no token."""
    match = _TOKEN.fullmatch(text)
    return match[1] if match else None


def _hash(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def _checksum(token_id: str, secret: str) -> str:
    """Return six hex digits over id and secret, so that leak scanners and a mistyped token are told apart."""
    return f"{zlib.crc32(f'{token_id}{secret}'.encode()) & 0xFFFFFF:06x}"
