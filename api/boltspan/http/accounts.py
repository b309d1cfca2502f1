"""Accounts: signing up, one's own account, tokens and data, leaving; what operators do about accounts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Response

from boltspan.http.call import Call
from boltspan.http.operations import Answer, Resource
from boltspan.http.schemas import accounts as shapes
from boltspan.http.schemas import examples, requests
from boltspan.services import keeping_accounts, own_account
from boltspan.services.sign_up import sign_up as sign_up_person

resource = Resource("accounts", __name__, description="People: sign-up, tokens, their own data, leaving.")


@resource.operation(
    "/v1/accounts",
    method="POST",
    counted="sign_up",
    body=shapes.SignUp,
    examples={"with a handle": shapes.SIGN_UP},
    answers=[Answer(201, shapes.SignedUpAnswer, "The account and its token.", shapes.SIGNED_UP, ("Location",))],
    once=True,
)
def sign_up(call: Call, body: Mapping[str, Any]) -> Response:
    """Sign up as a contributor; the token is answered once and only its hash is kept.

    The Idempotency-Key is a UUID. A repeated request makes no second account and is answered without the token.
    """
    key = call.once_key(uuid=True)
    with call.writing() as uow:
        done = sign_up_person(uow, call.clock, body, key)
    return call.receipt(done.receipt, done.body)


@resource.operation(
    "/v1/account",
    permission="see_own",
    answers=[Answer(200, shapes.AccountWithTokens, "The account.", shapes.ACCOUNT, ("ETag",))],
    problems=[404],
)
def show_account(call: Call) -> Response:
    """Show one's own account and tokens, without their secrets."""
    with call.reading() as uow:
        return call.shown(own_account.own_account(call.actor, uow, call.clock), private=True)


@resource.operation(
    "/v1/account/data",
    permission="see_own",
    answers=[Answer(200, shapes.OwnData, "All of it.", shapes.DATA, ("ETag",))],
    problems=[404],
)
def take_out_data(call: Call) -> Response:
    """Take out all that is kept of oneself: account, claims, photos, proposals, decisions."""
    with call.reading() as uow:
        return call.shown(own_account.own_data(call.actor, uow, call.clock), private=True)


@resource.operation(
    "/v1/account/tokens",
    method="POST",
    permission="manage_own_tokens",
    counted="write",
    body=shapes.NewToken,
    examples={"narrow": shapes.NEW_TOKEN},
    answers=[Answer(201, shapes.IssuedOwnToken, "The token.", shapes.ISSUED, ("Location",))],
    problems=[404],
    once=True,
)
def issue_own_token(call: Call, body: Mapping[str, Any]) -> Response:
    """Make another token of one's own, for another device or a narrower use; it is answered once."""
    key = call.once_key()
    with call.writing() as uow:
        receipt, token = own_account.issue_own_token(call.actor, uow, call.clock, body, key)
    return call.receipt(receipt, receipt.body | ({"token": token.text} if token is not None else {}))


@resource.operation(
    "/v1/account/tokens/<token_id>",
    method="DELETE",
    permission="manage_own_tokens",
    counted="write",
    answers=[Answer(200, shapes.TokenAnswer, "The token as it stands now.", shapes.REVOKED)],
    problems=[404],
)
def revoke_own_token(call: Call, token_id: str) -> Response:
    """Revoke a token of one's own; it is good for nothing from now on. Doing so twice changes nothing.

    Every sign-in by page ends too, since whoever found the token may have signed in by it.
    """
    with call.writing() as uow:
        revoked = own_account.revoke_own_token(call.actor, uow, call.clock, token_id)
    return call.worked_out(revoked)


@resource.operation(
    "/v1/account/departure",
    method="POST",
    permission="leave",
    counted="write",
    body=shapes.Departure,
    examples={"own id": {"id": "p-8d1r6k3x0a"}},
    answers=[Answer(200, shapes.AccountAnswer, "The account as it stays.", shapes.LEFT)],
    problems=[404],
)
def leave(call: Call, body: Mapping[str, Any]) -> Response:
    """Leave: the handle goes, every token and session ends, the facts stay under the random id."""
    with call.writing() as uow:
        left = own_account.leave(call.actor, uow, call.clock, body["id"])
    return call.worked_out(left)


@resource.operation(
    "/v1/accounts/<person_id>",
    permission="see_accounts",
    answers=[Answer(200, shapes.AccountWithTokens, "The account.", shapes.ACCOUNT, ("ETag",))],
    problems=[404],
)
def show_account_of(call: Call, person_id: str) -> Response:
    """Show somebody's account and tokens, without their secrets."""
    with call.reading() as uow:
        return call.shown(keeping_accounts.account(call.actor, uow, call.clock, person_id), private=True)


@resource.operation(
    "/v1/accounts/<person_id>/blocking",
    method="POST",
    permission="block_account",
    counted="write",
    body=shapes.Blocking,
    examples={"block": shapes.BLOCKING},
    answers=[Answer(200, shapes.AccountAnswer, "The account as it stands now.", shapes.BLOCKED)],
    problems=[404],
)
def block_account(call: Call, body: Mapping[str, Any], person_id: str) -> Response:
    """Block an account, or let it in again. What it sent stays as it is."""
    with call.writing() as uow:
        blocked = keeping_accounts.block_account(
            call.actor, uow, call.clock, person_id, body["why"], blocked=body["blocked"]
        )
    return call.worked_out(blocked)


@resource.operation(
    "/v1/accounts/<person_id>/tokens",
    method="POST",
    permission="replace_token",
    counted="write",
    body=requests.Reason,
    examples={"reason": examples.REASON},
    answers=[Answer(201, shapes.SignedUpAnswer, "The account and its token.", shapes.SIGNED_UP, ("Location",))],
    problems=[404],
    once=True,
)
def replace_token(call: Call, body: Mapping[str, Any], person_id: str) -> Response:
    """Replace a lost token: every earlier token and session of the person ends. The new one is answered once."""
    key = call.once_key()
    with call.writing() as uow:
        receipt, token = keeping_accounts.replace_token(call.actor, uow, call.clock, person_id, body["why"], key)
    return call.receipt(receipt, receipt.body | ({"token": token.text} if token is not None else {}))
