"""What an operator does about accounts: see them, block and unblock, replace a lost token."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from boltspan.domain.errors import Clash, NotAllowed, NotFound
from boltspan.domain.ids import is_id
from boltspan.services.accounts import IssuedToken, actor_for, issue_token, revoke_all
from boltspan.services.once import OnceKey, Receipt, once
from boltspan.services.own_account import account_json, token_json
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Account, Clock, UnitOfWork
from boltspan.services.settling import let_rule_settle


def account(actor: Actor, uow: UnitOfWork, clock: Clock, name: str) -> dict[str, Any]:
    """Return the account of an id or a handle, with its tokens. Raises NotFound."""
    actor.permitted("see_accounts")
    found = account_named(uow, name)
    return account_json(found) | {"tokens": [token_json(t, clock) for t in uow.accounts.tokens_of(found.id)]}


def account_named(uow: UnitOfWork, name: str) -> Account:
    """Return the account of an id or a handle. Raises NotFound."""
    found = uow.accounts.account(name) if is_id("person", name) else uow.accounts.by_handle(name)
    if found is None:
        raise NotFound("account", name)
    return found


def signing_person(uow: UnitOfWork, name: str) -> Actor:
    """Return the actor of a maintainer's or operator's account, by id or handle, for what the command line signs.

    Raises NotFound; NotAllowed for an account that may not rule on claims, is blocked or was left.
    """
    actor = actor_for(account_named(uow, name))
    if actor is None or "settle_review" not in actor.may:
        raise NotAllowed(f"{name} signs for nothing here: a maintainer or operator does, neither blocked nor gone")
    return actor


def block_account(
    actor: Actor, uow: UnitOfWork, clock: Clock, person: str, why: str, *, blocked: bool
) -> dict[str, Any]:
    """Block an account, or let it in again, with a reason; what it sent stays as it is.

    A blocked account's tokens and sessions answer like wrong ones at once. Blocking twice changes nothing. Raises
    NotFound; Clash for the acting person's own account.
    """
    by = actor.permitted("block_account")
    found = account_named(uow, person)
    if found.id == by:
        raise Clash("nobody blocks the account they act with")
    if found.blocked != blocked:
        found = replace(found, blocked=blocked)
        uow.accounts.put_account(found)
        if blocked:
            uow.accounts.end_sessions(found.id)
        kind = "account_blocked" if blocked else "account_unblocked"
        uow.events.record(by, kind, payload={"person": found.id, "why": why})
        if not blocked:
            let_rule_settle(uow, clock, (), [found.id])
    return account_json(found)


def replace_token(
    actor: Actor, uow: UnitOfWork, clock: Clock, person: str, why: str, key: OnceKey | None
) -> tuple[Receipt, IssuedToken | None]:
    """Revoke every token and session of a person and make one new token, for somebody who lost theirs.

    A repeated request is answered without the token's text. Raises NotFound; Clash for an account that is blocked or
    was left.
    """
    by = actor.permitted("replace_token")
    issued: list[IssuedToken] = []

    def work() -> Receipt:
        found = account_named(uow, person)
        if found.blocked or found.left_on is not None:
            raise Clash("the account is blocked or was left, so it gets no token")
        revoke_all(uow, clock, found.id)
        token = issue_token(uow, clock, role=found.role, person=found.id)
        issued.append(token)
        uow.events.record(by, "token_replaced", payload={"person": found.id, "why": why})
        body = {"account": account_json(found), "token_id": token.id, "expires_at": token.expires_at}
        return Receipt(body, f"/v1/accounts/{found.id}")

    receipt = work() if key is None else once(uow, clock, key, work)
    return receipt, issued[0] if issued else None
