"""People, their tokens and their sessions in the database."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from sqlalchemy import Row, delete, select

from boltspan.domain.handles import handle_key, handle_skeleton
from boltspan.services.protocols import Account, StoredSession, StoredToken
from boltspan.storage.queries import Queries
from boltspan.storage.stored_json import dumps, loads
from boltspan.storage.tables import accounts, sessions, tokens


class SqlAccounts(Queries):
    """People, their tokens and their sessions."""

    def account(self, person: str) -> Account | None:
        """Return the account of the person, or None."""
        row = self._one(select(accounts).where(accounts.c.id == person))
        return None if row is None else _account(row)

    def by_handle(self, handle: str) -> Account | None:
        """Return the account whose handle is the same but for case, or None."""
        row = self._one(select(accounts).where(accounts.c.handle_key == handle_key(handle)))
        return None if row is None else _account(row)

    def looking_like(self, handle: str) -> Account | None:
        """Return an account whose handle can be taken for this one, the first by id, or None."""
        alike = select(accounts).where(accounts.c.handle_skeleton == handle_skeleton(handle))
        row = self._one(alike.order_by(accounts.c.id).limit(1))
        return None if row is None else _account(row)

    def put_account(self, account: Account) -> None:
        """Insert the account, or replace the one with its id. Raises Clash when another one has the handle."""
        keys: dict[str, str | None] = {"handle_key": None, "handle_skeleton": None}
        if account.handle is not None:
            keys = {"handle_key": handle_key(account.handle), "handle_skeleton": handle_skeleton(account.handle)}
        self._put(accounts, [asdict(account) | keys])

    def accounts(self) -> list[Account]:
        """Return all accounts by id."""
        return [_account(row) for row in self._all(select(accounts).order_by(accounts.c.id))]

    def token(self, token_id: str) -> StoredToken | None:
        """Return the token in whatever state, or None."""
        row = self._one(select(tokens).where(tokens.c.id == token_id))
        return None if row is None else _token(row)

    def tokens_of(self, person: str) -> list[StoredToken]:
        """Return the person's tokens in whatever state, by when they were issued, then id."""
        own = select(tokens).where(tokens.c.account == person).order_by(tokens.c.issued_at, tokens.c.id)
        return [_token(row) for row in self._all(own)]

    def put_token(self, token: StoredToken) -> None:
        """Insert the token, or replace the one with its id. Raises Clash when there is no such account."""
        self._put(tokens, [asdict(token) | {"scopes": dumps(token.scopes)}])

    def session(self, session_id: str) -> StoredSession | None:
        """Return the session, ended by time or not, or None."""
        row = self._one(select(sessions).where(sessions.c.id == session_id))
        if row is None:
            return None
        scopes = None if row.scopes is None else tuple(loads(row.scopes))
        return StoredSession(row.id, row.account, row.started_at, row.ends_at, scopes)

    def add_session(self, session: StoredSession) -> None:
        """Insert the session. Raises Clash when there is no such account."""
        scopes = None if session.scopes is None else dumps(session.scopes)
        self._add(sessions, [asdict(session) | {"scopes": scopes}])

    def end_session(self, session_id: str) -> None:
        """Drop the session; none of that id changes nothing."""
        self._connection.execute(delete(sessions).where(sessions.c.id == session_id))

    def end_sessions(self, person: str) -> None:
        """Drop all sessions of the person."""
        self._connection.execute(delete(sessions).where(sessions.c.account == person))

    def end_sessions_before(self, instant: str) -> None:
        """Drop the sessions of everybody that ended at ``instant`` or before."""
        self._connection.execute(delete(sessions).where(sessions.c.ends_at <= instant))


def _account(row: Row[Any]) -> Account:
    return Account(
        row.id, row.role, row.handle, row.created_on, row.blocked, row.last_active_on, row.terms, row.left_on
    )


def _token(row: Row[Any]) -> StoredToken:
    return StoredToken(
        row.id,
        row.account,
        row.secret_sha256,
        tuple(loads(row.scopes)),
        row.issued_at,
        row.expires_at,
        row.revoked_at,
        row.last_used_on,
    )
