"""A person's own account: what is kept about them, their tokens, their data to take out, and leaving."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from boltspan.domain.errors import InvalidInput, NotFound
from boltspan.domain.records import frame_json
from boltspan.domain.shock_records import shock_json
from boltspan.domain.shocks import Shock
from boltspan.domain.statements import claim_json, decision_json
from boltspan.domain.subjects import named
from boltspan.services.accounts import IssuedToken, issue_token, revoke_all, revoke_token
from boltspan.services.once import OnceKey, Receipt, once
from boltspan.services.permissions import Actor
from boltspan.services.photo_answers import photo_json
from boltspan.services.protocols import Account, Clock, Stored, StoredToken, UnitOfWork

MOST_TOKENS: Final = 20


def account_json(account: Account) -> dict[str, Any]:
    """Return the JSON form of an account; what there is not is left out."""
    parts = {
        "id": account.id,
        "role": account.role,
        "handle": account.handle,
        "created_on": account.created_on,
        "last_active_on": account.last_active_on,
        "terms": account.terms,
        "left_on": account.left_on,
    }
    found: dict[str, Any] = {k: v for k, v in parts.items() if v is not None}
    return found | ({"blocked": True} if account.blocked else {})


def token_json(token: StoredToken, clock: Clock) -> dict[str, Any]:
    """Return the JSON form of a token without its secret: state, scopes, and the day it was last used for a write."""
    ended = token.expires_at is not None and token.expires_at <= clock.now()
    parts = {
        "id": token.id,
        "state": "revoked" if token.revoked_at else "expired" if ended else "valid",
        "issued_on": token.issued_at[:10],
        "expires_on": None if token.expires_at is None else token.expires_at[:10],
        "revoked_on": None if token.revoked_at is None else token.revoked_at[:10],
        "last_used_on": token.last_used_on,
    }
    return {k: v for k, v in parts.items() if v is not None} | {"scopes": list(token.scopes)}


def own_account(actor: Actor, uow: UnitOfWork, clock: Clock) -> dict[str, Any]:
    """Return the acting person's account with its tokens, newest first."""
    account = _own(actor.must("see_own"), uow)
    tokens = [token_json(t, clock) for t in reversed(uow.accounts.tokens_of(account.id))]
    return account_json(account) | {"tokens": tokens}


def own_data(actor: Actor, uow: UnitOfWork, clock: Clock) -> dict[str, Any]:
    """Return all that is kept of the acting person: account, tokens, claims, photos, proposals, decisions.

    Claims and decisions stand as in the record files, with the frame and the subject they are about.
    """
    person = actor.must("see_own")
    claims = [
        {**named(c.frame), "subject": c.subject, "state": c.state, "claim": claim_json(c)}
        for c in reversed(uow.statements.claims_by(person))
    ]
    decisions = [
        {**named(d.frame), "subject": d.subject, "decision": decision_json(d)}
        for d in uow.statements.decisions_of_person(person)
    ]
    proposed: list[Stored] = [*uow.catalogue.proposed_by(person), *uow.shocks.proposed_by(person)]
    return {
        "account": own_account(actor, uow, clock),
        "claims": claims,
        "photos": [photo_json(p) | {"claim": p.claim} for p in uow.photos.of_person(person)],
        "proposals": [_proposal(stored) for stored in proposed],
        "decisions": decisions,
    }


def _proposal(stored: Stored) -> dict[str, Any]:
    record = stored.about
    told = {"shock": shock_json(record)} if isinstance(record, Shock) else {"frame": frame_json(record)}
    return {"make": record.make, "model": record.model, "listed": stored.listed, **told}


def issue_own_token(
    actor: Actor, uow: UnitOfWork, clock: Clock, data: Mapping[str, Any], key: OnceKey
) -> tuple[Receipt, IssuedToken | None]:
    """Make another token of the acting person that may do no more than the one they act with.

    ``data`` may have scopes and days. A repeated request is answered without the token's text. Raises InvalidInput for
    scopes that the acting token lacks, for days out of range, and when there are 20 valid tokens already.
    """
    person = actor.must("manage_own_tokens")
    issued: list[IssuedToken] = []

    def work() -> Receipt:
        valid = [t for t in uow.accounts.tokens_of(person) if token_json(t, clock)["state"] == "valid"]
        if len(valid) >= MOST_TOKENS:
            raise InvalidInput.one("", "too_many_tokens", "there are too many tokens; revoke one first", got=len(valid),
                                   accepted=f"at most {MOST_TOKENS} valid tokens")  # fmt: skip
        scopes = sorted(data.get("scopes") or actor.may)
        for i, scope in enumerate(scopes):
            if scope not in actor.may:
                raise InvalidInput.one(f"/scopes/{i}", "unknown_scope", "the acting token has no such scope", got=scope,
                                       accepted=", ".join(sorted(actor.may)))  # fmt: skip
        days = {"days": data["days"]} if "days" in data else {}
        role = _own(person, uow).role
        token = issue_token(uow, clock, role=role, person=person, scopes=scopes, **days)
        issued.append(token)
        stored = uow.accounts.token(token.id)
        assert stored is not None, "it was just stored"
        return Receipt(token_json(stored, clock), "/v1/account")

    receipt = once(uow, clock, key, work)
    return receipt, issued[0] if issued else None


def revoke_own_token(actor: Actor, uow: UnitOfWork, clock: Clock, token_id: str) -> dict[str, Any]:
    """Revoke a token of the acting person; twice changes nothing. Raises NotFound for somebody else's."""
    person = actor.must("manage_own_tokens")
    token = uow.accounts.token(token_id)
    if token is None or token.account != person:
        raise NotFound("token", token_id)
    return token_json(revoke_token(uow, clock, token_id), clock)


def leave(actor: Actor, uow: UnitOfWork, clock: Clock, confirmed: str) -> dict[str, Any]:
    """Close the acting person's account: name gone, tokens and sessions ended; what they sent stays, under their id.

    Raises InvalidInput unless ``confirmed`` is the account's own id.
    """
    account = _own(actor.must("leave"), uow)
    if confirmed != account.id:
        raise InvalidInput.one("/id", "not_own_id", "leaving is confirmed by one's own id", got=confirmed,
                               accepted="the account's id")  # fmt: skip
    revoke_all(uow, clock, account.id)
    gone = replace(account, handle=None, left_on=clock.today())
    uow.accounts.put_account(gone)
    uow.events.record(account.id, "account_left", payload={"person": account.id})
    return account_json(gone)


def _own(person: str, uow: UnitOfWork) -> Account:
    account = uow.accounts.account(person)
    if account is None:
        raise NotFound("account", person)
    return account
