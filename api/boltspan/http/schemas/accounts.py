"""Accounts, tokens and photos: what is sent and what is answered. The answers' shapes document; services make them."""

from __future__ import annotations

from typing import Any, Final

from marshmallow import fields

from boltspan.domain.claims import STATES
from boltspan.domain.handles import LEAST, MOST
from boltspan.domain.terms import VERSION
from boltspan.http.schemas.answers import PhotoAnswer, listed, text
from boltspan.http.schemas.fields import Choice, Closed, Flag, Id, Items, Open, Text, Whole
from boltspan.http.schemas.statements import why_field
from boltspan.services.permissions import PERMISSIONS, PUBLIC, ROLES
from boltspan.services.photo_answers import LICENCE


class SignUp(Closed):
    """Who wants to contribute. The terms stand in /v1/vocabulary; sending their version agrees to them."""

    terms = Choice((VERSION,), required=True)
    handle = Text(
        least=LEAST,
        most=MOST,
        metadata={
            "description": "A public name: letters and digits of one script, with single blanks, hyphens, underscores "
            "or points between them. Absent: only the random id is public."
        },
    )


class NewToken(Closed):
    """What another token may do, and for how long. It may never do more than the one it is asked for with."""

    scopes = Items(Choice(sorted(PERMISSIONS - {PUBLIC})), least=1, unique=True)
    days = Whole(least=1, most=3650, metadata={"default": 365})


class Departure(Closed):
    """The account's own id, so that nobody leaves by accident."""

    id = Id("person", required=True)


class Blocking(Closed):
    """Whether an account is to be blocked, and why."""

    blocked = Flag(required=True)
    why = why_field()


class PhotoConsent(Closed):
    """The licence under which the photo is given; only who took it can say so."""

    licence = Choice((LICENCE,), required=True)


class PhotoWithdrawn(Open):
    """A photo that its author took back."""

    claim = Id("claim", required=True)
    photo = text("The hash of its bytes.")
    withdrawn_on = text()


class AccountAnswer(Open):
    """An account. Days, never times of day."""

    id = Id("person", required=True)
    role = Choice(tuple(ROLES), required=True)
    handle = text(required=False)
    created_on = text()
    last_active_on = text("The day of the last write.", required=False)
    terms = text("The version of the terms agreed to.", required=False)
    left_on = text(required=False)
    blocked = fields.Boolean()


class TokenAnswer(Open):
    """A token without its secret."""

    id = fields.String(required=True, metadata={"pattern": "^[0-9a-z]{8}$"})
    state = Choice(("valid", "expired", "revoked"), required=True)
    issued_on = text()
    expires_on = text(required=False)
    revoked_on = text(required=False)
    last_used_on = text("The day it was last used for a write.", required=False)
    scopes = listed(fields.String())


class IssuedOwnToken(TokenAnswer):
    """A new token. Its text stands in the first answer only."""

    token = text("The token; it is shown now and never again.", required=False)


class AccountWithTokens(AccountAnswer):
    """An account with its tokens."""

    tokens = listed(fields.Nested(TokenAnswer))


class SignedUpAnswer(Open):
    """A new account, or one whose token was replaced, and its token."""

    account = fields.Nested(AccountAnswer, required=True)
    token = text("Shown in the first answer only; a repeated request is answered without it.", required=False)
    token_id = fields.String(required=True)
    expires_at = text()


class OwnClaim(Open):
    """One's own claim as it stands in the records, with its state."""

    frame = Id("frame")
    shock = Id("shock")
    subject = text()
    state = Choice(STATES, required=True)
    claim = fields.Dict(required=True)


class OwnDecision(Open):
    """One's own decision as it stands in the records."""

    frame = Id("frame")
    shock = Id("shock")
    subject = text()
    decision = fields.Dict(required=True)


class OwnProposal(Open):
    """A frame that one proposed."""

    make = text()
    model = text()
    listed = fields.Boolean(required=True)
    frame = fields.Dict(required=True)


class OwnData(Open):
    """All that is kept of a person."""

    account = fields.Nested(AccountWithTokens, required=True)
    claims = listed(fields.Nested(OwnClaim))
    photos = listed(fields.Nested(PhotoAnswer))
    proposals = listed(fields.Nested(OwnProposal))
    decisions = listed(fields.Nested(OwnDecision))


_ACCOUNT: Final[dict[str, Any]] = {
    "id": "p-8d1r6k3x0a",
    "role": "contributor",
    "handle": "north-bench",
    "created_on": "2026-04-01",
    "terms": VERSION,
}
_TOKEN: Final[dict[str, Any]] = {
    "id": "7k3m9q2d",
    "state": "valid",
    "issued_on": "2026-04-01",
    "expires_on": "2027-04-01",
    "scopes": ["see_own", "submit_claim"],
}
_NEW: Final = f"bs_7k3m9q2d_{'x' * 43}_0a1b2c"
SIGN_UP: Final = {"terms": VERSION, "handle": "north-bench"}
SIGNED_UP: Final = {
    "account": _ACCOUNT,
    "token": _NEW,
    "token_id": "7k3m9q2d",
    "expires_at": "2027-04-01T08:00:00.000000Z",
}
ACCOUNT: Final = _ACCOUNT | {"tokens": [_TOKEN]}
NEW_TOKEN: Final = {"scopes": ["see_own", "submit_claim"], "days": 30}
ISSUED: Final = _TOKEN | {"token": _NEW}
REVOKED: Final = _TOKEN | {"state": "revoked", "revoked_on": "2026-05-01"}
LEFT: Final = {"id": "p-8d1r6k3x0a", "role": "contributor", "created_on": "2026-04-01", "left_on": "2026-05-01"}
BLOCKING: Final = {"blocked": True, "why": "sends invented readings"}
BLOCKED: Final = _ACCOUNT | {"blocked": True}
WITHDRAWN_PHOTO: Final = {"claim": "c-9p4t1w6zke", "photo": "ab" * 32, "withdrawn_on": "2026-04-03"}
PHOTO: Final = {
    "claim": "c-9p4t1w6zke",
    "hash": "ab" * 32,
    "path": f"/v1/photos/{'ab' * 32}",
    "added_on": "2026-04-01",
    "width_px": 1800,
    "height_px": 2400,
    "bytes": 311_204,
    "licence": LICENCE,
}
DATA: Final = {
    "account": ACCOUNT,
    "claims": [
        {
            "frame": "f-7k3m9q2dxw",
            "subject": "upper",
            "state": "submitted",
            "claim": {"id": "c-9p4t1w6zke", "value": {"mount": "trunnion"}},
        }
    ],
    "photos": [PHOTO],
    "proposals": [],
    "decisions": [],
}
