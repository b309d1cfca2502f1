"""Submitting: claims about frames and shocks, proposals of frames, taking an own claim back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from boltspan.domain.claims import Claim
from boltspan.domain.errors import Clash, InvalidInput, NotFound
from boltspan.domain.fields import years_json
from boltspan.domain.frames import Frame, Make, Model, overlap_problems
from boltspan.domain.ids import is_id, mint
from boltspan.domain.label_values import value_of_label
from boltspan.domain.names import check_slug, name, slug_of
from boltspan.domain.records import frame_from, frame_json, make_json, model_json
from boltspan.domain.statement_readings import beside_others
from boltspan.domain.statements import claim_from
from boltspan.domain.subjects import Record, kind_of, subject_of
from boltspan.domain.values import value_json
from boltspan.services.answers import frame_head
from boltspan.services.cases import RECORD, open_case
from boltspan.services.claim_receipts import claim_receipt
from boltspan.services.lookup import visible, visible_shock
from boltspan.services.made import stored_record, touch
from boltspan.services.once import OnceKey, Receipt, once
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Case, Clock, Stored, StoredFrame, UnitOfWork
from boltspan.services.publishing import republish
from boltspan.services.settling import let_rule_settle
from boltspan.services.superseding import given_up, supersede


def submit_claim(actor: Actor, uow: UnitOfWork, clock: Clock, data: Mapping[str, Any], key: OnceKey) -> Receipt:
    """Store a claim and open its review; the receipt says how readings were read and where to look for the outcome.

    ``data`` has frame or shock, subject, source and value, label or readings, and may have years and supersedes (own
    claims that this one takes the place of; see ``superseding``). A label is what the source literally says, and the
    quote when the source has none.

    Raises InvalidInput for whatever does not go (a label that is refused or of several ends, an end of another pair and
    a frame that no longer answers included), Clash for a claim that this person has already made.
    """
    person = actor.must("submit_claim")
    return once(uow, clock, key, lambda: _submit(actor, person, uow, clock, data))


def preview_claim(actor: Actor, uow: UnitOfWork, clock: Clock, data: Mapping[str, Any]) -> Claim:
    """Return the claim that ``data`` would make, checked like ``submit_claim`` but for doubles; nothing is stored.

    Whoever is not known yet may look too.
    """
    return _claim_of(actor, actor.person or mint("person"), uow, clock, data)[1]


def mistake_of(uow: UnitOfWork, claim: Claim) -> str | None:
    """Return the code of the usual mistake that a claim's readings look like, beside what others say of its subject."""
    others = [c for c in uow.statements.claims(claim.frame) if c.subject == claim.subject]
    return beside_others(claim, others).mistake


def _submit(actor: Actor, person: str, uow: UnitOfWork, clock: Clock, data: Mapping[str, Any]) -> Receipt:
    stored, claim = _claim_of(actor, person, uow, clock, data)
    subject = claim.subject
    for other in uow.statements.claims(claim.frame):
        if other.counts and other.subject == subject and _same_statement(other, claim):
            raise Clash(f"you have already said this, as claim {other.id}; a claim counts once")
    superseded = given_up(uow, claim, data.get("supersedes", ()))
    sequence = uow.events.record(
        person, "claim_submitted", frame=claim.frame, subject=subject, payload={"claim": claim.id}
    )
    claim = replace(claim, state="submitted", sequence=sequence)
    uow.statements.add_claims([claim])
    for old in superseded:
        sequence = supersede(uow, clock, person, old, claim)
    touch(uow, stored, sequence)
    open_case(uow, clock, claim.frame, subject, "new_claim", sequence)
    republish(uow, [claim.frame])
    let_rule_settle(uow, clock, [claim.frame])
    return Receipt(claim_receipt(actor, uow, clock, claim.id), f"/v1/claims/{claim.id}")


def _claim_of(
    actor: Actor, person: str, uow: UnitOfWork, clock: Clock, data: Mapping[str, Any]
) -> tuple[Stored, Claim]:
    stored = named_record(uow, actor, data)
    record = stored.about
    subject = subject_of(record, str(data.get("subject", "")), "/subject")
    source = {**data.get("source", {}), "by": person}
    stated = _stated(data)
    if "label" in data:
        stated["value"] = _label_value(record, subject, data)
        source.setdefault("quote", data["label"])
    claim = claim_from(record, subject, {"id": mint("claim"), **stated, "source": source})
    _check_seen_on(claim, clock)
    _check_years(claim, record)
    return stored, claim


def _stated(data: Mapping[str, Any]) -> dict[str, Any]:
    return {k: data[k] for k in ("value", "years") if k in data}


def _label_value(record: Record, subject: str, data: Mapping[str, Any]) -> dict[str, Any]:
    if not isinstance(record, Frame):
        raise InvalidInput.one(
            "/label", "not_an_end", "a label is of a frame's end", got=data["label"], accepted="value for a shock"
        )
    if "value" in data:
        raise InvalidInput.one(
            "/label", "value_twice", "the size is stated twice", got=data["label"], accepted="either label or value"
        )
    return value_json(value_of_label(record, subject, str(data["label"]), "/label"))


def _same_statement(a: Claim, b: Claim) -> bool:
    """Whether the same person says the same of the same source again; the day it was seen makes no difference."""
    return (a.value, a.years) == (b.value, b.years) and replace(a.source, seen_on="") == replace(b.source, seen_on="")


def _check_seen_on(claim: Claim, clock: Clock) -> None:
    if claim.source.seen_on > clock.today():
        raise InvalidInput.one(
            "/source/seen_on",
            "in_the_future",
            "the source cannot have been seen after today",
            got=claim.source.seen_on,
            accepted=f"{clock.today()} or earlier",
        )


def _check_years(claim: Claim, record: Record) -> None:
    if claim.years is not None and not claim.years.overlaps(record.years):
        raise InvalidInput.one(
            "/years",
            "years_outside",
            f"the claim speaks of years in which this {kind_of(record.id)} was not made",
            got=years_json(claim.years),
            accepted=f"years from {record.years.start} to {record.years.end or 'now'}",
        )


def named_record(uow: UnitOfWork, actor: Actor, data: Mapping[str, Any]) -> Stored:
    """Return the live frame or shock that ``data`` names under ``frame`` or ``shock``, just one of them.

    Raises InvalidInput for none, for both, and for a record that answers no more.
    """
    kind = "shock" if "shock" in data else "frame"
    if "shock" in data and "frame" in data:
        detail, accepted = "this is about a frame or a shock, not about both", "frame or shock"
        raise InvalidInput.one("/shock", "field_not_taken", detail, got=data["shock"], accepted=accepted)
    wanted = str(data.get(kind, ""))
    try:
        stored: Stored | None = (visible_shock if kind == "shock" else visible)(uow, actor, wanted)
    except NotFound:
        stored = None
    if stored is None:
        accepted = f"the id of a {kind}, or of your own proposal"
        raise InvalidInput.one(f"/{kind}", f"unknown_{kind}", f"there is no such {kind}", got=wanted, accepted=accepted)
    claimable(stored.about)
    return stored


def claimable(record: Record) -> None:
    """Raise InvalidInput naming the ids to use instead when claims cannot be made about ``record``."""
    if not record.live:
        kind = kind_of(record.id)
        raise InvalidInput.one(
            f"/{kind}",
            f"{kind}_{record.record}",
            f"this {kind}'s record is {record.record}, so no claim can be made about it",
            got=record.id,
            accepted=", ".join(record.into) or f"another {kind}",
        )


def withdraw_claim(actor: Actor, uow: UnitOfWork, clock: Clock, claim_id: str, why: str, key: OnceKey) -> Receipt:
    """Take an own claim back, with a reason. It stays in the history; it is evidence no more.

    Raises NotFound for a claim of somebody else, Clash for one that does not count any more.
    """
    person = actor.must("withdraw_claim")

    def work() -> Receipt:
        found = uow.statements.claim(claim_id) if is_id("claim", claim_id) else None
        if found is None or found.source.by != person:
            raise NotFound("claim", claim_id)
        if not found.counts:
            raise Clash(f"the claim is {found.state} and counts no more")
        stored = stored_record(uow, found.frame)
        assert stored is not None, "a claim's record is never deleted"
        sequence = uow.events.record(
            person, "claim_withdrawn", frame=found.frame, subject=found.subject, payload={"claim": found.id, "why": why}
        )
        taken = replace(found, state="withdrawn", withdrawn_on=clock.today(), withdrawn_why=why)
        uow.statements.set_state(taken)
        touch(uow, stored, sequence)
        if stored.about.live:
            open_case(uow, clock, found.frame, found.subject, "claim_withdrawn", sequence)
        republish(uow, [found.frame])
        let_rule_settle(uow, clock, [found.frame])
        return Receipt(claim_receipt(actor, uow, clock, taken.id), f"/v1/claims/{found.id}", 200)

    return once(uow, clock, key, work)


def propose_frame(actor: Actor, uow: UnitOfWork, clock: Clock, data: Mapping[str, Any], key: OnceKey) -> Receipt:
    """Store a frame that is not listed until a maintainer accepts it; claims may name it at once.

    ``data`` has make {name, slug?}, model {name, slug?, aliases?}, years, ends, and may have a qualifier. A known make
    or model is recognised by its slug. Raises InvalidInput, overlapping years included.
    """
    person = actor.must("propose_frame")
    return once(uow, clock, key, lambda: _propose(person, uow, clock, data))


def _propose(person: str, uow: UnitOfWork, clock: Clock, data: Mapping[str, Any]) -> Receipt:
    make_slug = slug_given(data.get("make", {}), "/make")
    make = uow.catalogue.make(make_slug)
    model_slug = slug_given(data.get("model", {}), "/model")
    model = uow.catalogue.model(make_slug, model_slug)
    new_make = make or Make(make_slug, name(data["make"].get("name"), "/make/name"))
    new_model = model or Model(make_slug, model_slug, name(data["model"].get("name"), "/model/name"))
    record = {k: data[k] for k in ("years", "ends", "qualifier") if k in data}
    frame = frame_from(make_slug, model_slug, {"id": mint("frame"), "record": "frame", **record})
    others = [s.frame for s in uow.catalogue.frames_of(make_slug, model_slug) if s.listed]
    if problems := overlap_problems(frame, others):
        raise InvalidInput(problems)
    case = store_proposal(uow, clock, person, person, new_make, new_model, frame)
    body = {
        "frame": frame_head(frame, new_make, new_model) | {"ends": list(frame.ends), "listed": False},
        "review": {"id": case.id, "state": case.state},
    }
    return Receipt(body, f"/v1/frames/{frame.id}")


def store_proposal(
    uow: UnitOfWork, clock: Clock, person: str | None, by: str, make: Make, model: Model, frame: Frame
) -> Case:
    """Store a frame that is not listed yet, with its make and model where they are new, and return its review.

    ``person`` does it (None: the command line) for ``by``, whose proposal it is. What stands is taken as it is.
    """
    if uow.catalogue.make(make.slug) is None:
        uow.events.record(person, "make_proposed", payload={"make": make_json(make)})
        uow.catalogue.put_make(make)
    if uow.catalogue.model(model.make, model.slug) is None:
        payload = {"make_slug": model.make, "model": model_json(model)}
        uow.events.record(person, "model_proposed", payload=payload)
        uow.catalogue.put_model(model)
    payload = {"make_slug": model.make, "model_slug": model.slug, "frame": frame_json(frame)}
    sequence = uow.events.record(person, "frame_proposed", frame=frame.id, payload=payload)
    uow.catalogue.put_frame(StoredFrame(frame, listed=False, proposed_by=by, sequence=sequence))
    return open_case(uow, clock, frame.id, RECORD, "proposal", sequence)


def slug_given(data: Mapping[str, Any], pointer: str) -> str:
    """Return the slug of a make or model: as given, or made of its name. Raises InvalidInput when none can be made."""
    if "slug" in data:
        return check_slug(data["slug"], f"{pointer}/slug")
    written = name(data.get("name"), f"{pointer}/name")
    slug = slug_of(written)
    if not slug:
        raise InvalidInput.one(
            f"{pointer}/slug",
            "slug_needed",
            "no slug can be made of this name",
            got=written,
            accepted="slug: a-z, 0-9 and hyphens",
        )
    return slug
