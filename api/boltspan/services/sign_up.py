"""Signing up: a new contributor with the terms agreed to, and a first token that is shown once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from boltspan.domain.errors import InvalidInput
from boltspan.domain.terms import VERSION
from boltspan.services.accounts import IssuedToken, issue_token, new_account
from boltspan.services.once import OnceKey, Receipt, once
from boltspan.services.own_account import account_json
from boltspan.services.protocols import Clock, UnitOfWork


@dataclass(frozen=True, slots=True)
class SignedUp:
    """What a sign-up brought about. ``token`` is None when a repeated request is answered again."""

    receipt: Receipt
    token: IssuedToken | None

    @property
    def body(self) -> dict[str, Any]:
        """The receipt's body, with the token when it is the first answer."""
        if self.token is None:
            return self.receipt.body
        return self.receipt.body | {"token": self.token.text}


def sign_up(uow: UnitOfWork, clock: Clock, data: Mapping[str, Any], key: OnceKey) -> SignedUp:
    """Make a contributor's account and its first token.

    ``data`` has terms, the version agreed to, and may have a handle. A repeated request makes nothing and is answered
    without the token, of which only a hash is kept. Raises InvalidInput for other terms and for a handle that does not
    go; KeyReused.
    """
    issued: list[IssuedToken] = []

    def work() -> Receipt:
        if data.get("terms") != VERSION:
            raise InvalidInput.one("/terms", "terms_not_agreed", "the terms must be agreed to", got=data.get("terms"),
                                   accepted=f"{VERSION}, the version of the terms in /v1/vocabulary")  # fmt: skip
        account = new_account(uow, clock, "contributor", data.get("handle"), VERSION)
        token = issue_token(uow, clock, role=account.role, person=account.id)
        issued.append(token)
        body = {"account": account_json(account), "token_id": token.id, "expires_at": token.expires_at}
        return Receipt(body, "/v1/account")

    receipt = once(uow, clock, key, work)
    return SignedUp(receipt, issued[0] if issued else None)
