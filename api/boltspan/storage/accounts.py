"""People and their tokens in the database."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from sqlalchemy import Row, select

from boltspan.services.protocols import Account, StoredToken
from boltspan.storage.queries import Queries
from boltspan.storage.stored_json import dumps, loads
from boltspan.storage.tables import accounts, tokens


class SqlAccounts(Queries):
    """People and their tokens."""

    def account(self, person: str) -> Account | None:
        """Return the account of the person, or None."""
        row = self._one(select(accounts).where(accounts.c.id == person))
        return None if row is None else _account(row)

    def put_account(self, account: Account) -> None:
        """Insert the account, or replace the one with its id."""
        self._put(accounts, [asdict(account)])

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


def _account(row: Row[Any]) -> Account:
    return Account(row.id, row.role, row.handle, row.created_on, row.blocked)


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
