"""A whole table of one document, such as a shop's chart or a maker's list, looked at and ruled on in one act."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import Any, Final

from boltspan.domain.claims import Claim
from boltspan.domain.errors import InvalidInput, NotAllowed, NotFound
from boltspan.domain.fields import text_from
from boltspan.domain.review import rulings
from boltspan.domain.statement_readings import statement_of
from boltspan.domain.subjects import named
from boltspan.domain.values import Value, agree, value_json
from boltspan.services.carrying_out import carry_out
from boltspan.services.cases import check_match
from boltspan.services.made import stored_record
from boltspan.services.once import OnceKey, Receipt, once
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Clock, UnitOfWork
from boltspan.services.review import checked
from boltspan.services.settling import let_rule_settle

LEFT: Final = {
    "ruled_already": "Somebody has ruled on this already.",
    "contradicted": "Another claim, or the document itself, says something else.",
    "incomplete": "The document does not say all that is needed to fetch the part.",
    "looks_mistaken": "The reading looks like a usual mistake.",
    "own_claim": "Nobody decides on an own claim.",
    "frame_gone": "The record answers no more.",
}
"""Why a line of the document is left to be ruled on by itself."""


def document_review(actor: Actor, uow: UnitOfWork, document: str) -> tuple[dict[str, Any], str]:
    """Return what a document says of each subject and what settling it would come to, and the whole's ETag.

    Raises NotFound when no claim that counts names the document.
    """
    actor.must("see_reviews")
    lines = _lines(uow, document)
    shown = [_line(uow, frame, subject, claims) for (frame, subject), claims in lines.items()]
    body = {"document": document, "claims": sum(map(len, lines.values())), "lines": shown}
    return body, _tag(uow, document, lines)


def rule_on_document(
    actor: Actor, uow: UnitOfWork, clock: Clock, data: Mapping[str, Any], if_match: str | None, key: OnceKey
) -> Receipt:
    """Settle every subject on which a document speaks alone or agrees with all others, or refuse all its claims.

    ``data`` has document, ruling (settle or refuse_claims), why, and with a refusal its reason. What cannot be settled
    with the others is left and told. Raises NotFound, PreconditionMissing, Stale, InvalidInput; nothing is half done.
    """
    person = actor.must("settle_review")

    def work() -> Receipt:
        document, ruling = str(data.get("document", "")), data.get("ruling")
        why = text_from(data.get("why"), "/why", 500)
        lines = _lines(uow, document)
        check_match(if_match, _tag(uow, document, lines))
        if ruling not in ("settle", "refuse_claims"):
            raise InvalidInput.one("/ruling", "unknown_ruling", "a document is settled or refused as a whole",
                                   got=ruling, accepted="settle, refuse_claims")  # fmt: skip
        done, left = [], []
        for (frame_id, subject), claims in lines.items():
            code = None if ruling == "refuse_claims" else _left(uow, frame_id, subject, claims)
            about = {**named(frame_id), "subject": subject}
            if code is not None:
                left.append(about | {"code": code})
                continue
            try:
                done.append(about | {"decision": _rule(uow, clock, person, frame_id, subject, claims, data, why)})
            except NotAllowed:
                left.append(about | {"code": "own_claim"})
        let_rule_settle(uow, clock, {frame for frame, _ in lines})
        return Receipt({"document": document, "decided": done, "left": left}, "/v1/document-reviews")

    return once(uow, clock, key, work)


def _rule(
    uow: UnitOfWork, clock: Clock, person: str, frame_id: str, subject: str, claims: list[Claim],
    data: Mapping[str, Any], why: str,
) -> str:  # fmt: skip
    stored = stored_record(uow, frame_id)
    assert stored is not None, "a claim's record is never deleted"
    ids = [c.id for c in claims]
    if data["ruling"] == "settle":
        value = claims[0].value
        assert value is not None, "a document states values"
        body: dict[str, Any] = {"ruling": "settle", "value": value_json(value), "rests_on": ids, "why": why}
    else:
        body = {"ruling": "refuse_claims", "refuses": ids, "why": why}
        if "reason" in data:
            body["reason"] = data["reason"]
    decision = checked(uow, clock, person, stored.about, subject, body)
    carry_out(uow, clock, stored, decision)
    return decision.id


def _lines(uow: UnitOfWork, document: str) -> dict[tuple[str, str], list[Claim]]:
    found: dict[tuple[str, str], list[Claim]] = {}
    for claim in uow.statements.claims_of_document(document):
        if claim.counts:
            found.setdefault((claim.frame, claim.subject), []).append(claim)
    if not found:
        raise NotFound("document", document)
    return found


def _left(uow: UnitOfWork, frame_id: str, subject: str, claims: list[Claim]) -> str | None:
    """Return why the document's claims on a subject are not settled with the rest; None when they are."""
    stored = stored_record(uow, frame_id)
    if stored is None or not stored.about.live:
        return "frame_gone"
    if rulings([d for d in uow.statements.decisions(frame_id) if d.subject == subject]).standing is not None:
        return "ruled_already"
    counting = [statement_of(c) for c in uow.statements.claims(frame_id) if c.subject == subject and c.counts]
    if any(s.mistake for s in counting):
        return "looks_mistaken"
    values: list[Value] = [c.value for c in claims if c.value is not None]
    if not values or any(not agree(values[0], v) for v in values):
        return "contradicted"
    if any(not s.allows(values[0]) for s in counting):
        return "contradicted"
    return None if values[0].complete else "incomplete"


def _line(uow: UnitOfWork, frame_id: str, subject: str, claims: list[Claim]) -> dict[str, Any]:
    found: dict[str, Any] = {**named(frame_id), "subject": subject, "claims": [c.id for c in claims]}
    if (case := uow.cases.of_subject(frame_id, subject)) is not None:
        found["review"] = case.id
    if claims[0].value is not None:
        found["value"] = value_json(claims[0].value, labelled=True)
    if claims[0].source.quote is not None:
        found["quote"] = claims[0].source.quote
    if (code := _left(uow, frame_id, subject, claims)) is not None:
        found["left"] = code
    return found


def _tag(uow: UnitOfWork, document: str, lines: Mapping[tuple[str, str], list[Claim]]) -> str:
    """Return the strong ETag of a document's review: it moves with every event on a frame that it speaks of."""
    digest = hashlib.sha256(document.encode())
    for frame_id in sorted({frame for frame, _ in lines}):
        stored = stored_record(uow, frame_id)
        digest.update(f" {frame_id} {stored.sequence if stored is not None else 0}".encode())
    return f'"{digest.hexdigest()[:32]}"'
