"""Looking things up: makes, models, frames by name, by year and by size, one frame and what its answer rests on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from boltspan.domain.claim_states import was_looked_at
from boltspan.domain.claims import Claim
from boltspan.domain.errors import Gone, InvalidInput, Moved, NotFound
from boltspan.domain.findings import for_year
from boltspan.domain.frames import Frame, Make, Model, Years
from boltspan.domain.ids import is_id
from boltspan.domain.records import make_json, model_json
from boltspan.domain.review import Decision, rulings
from boltspan.domain.statements import claim_json, decision_json
from boltspan.domain.subjects import Record, kind_of, named
from boltspan.services.answers import frame_answer, outcome, years_text
from boltspan.services.claim_view import About, standing_answer
from boltspan.services.made import stored_record
from boltspan.services.names import SURE, Hit, NameIndex, clear, years_in
from boltspan.services.permissions import ANYBODY, Actor
from boltspan.services.photo_answers import photo_json
from boltspan.services.protocols import Event, FrameQuery, Stored, StoredFrame, StoredPhoto, StoredShock, UnitOfWork
from boltspan.services.publishing import answer_for_year, findings_of, is_demo, newest_event

MOST_LOOKUPS: Final = 200
MOST_CANDIDATES: Final = 20
MOST_NEAREST: Final = 5


@dataclass(frozen=True, slots=True)
class FramePage:
    """Frames found, and the order key to go on after (None when these were the last).

    ``meant`` is what a text asked for, when none was found: make and model by their names where it surely means one
    (else empty), and the one year it says.
    """

    frames: list[dict[str, Any]]
    after: tuple[str, str, int, str] | None
    meant: dict[str, Any] | None = None


def name_index(uow: UnitOfWork) -> NameIndex:
    """Return an index over all makes and models as they stand."""
    return NameIndex(uow.catalogue.makes(), uow.catalogue.models())


def makes(uow: UnitOfWork) -> dict[str, Any]:
    """Return every make of frames with its slug, by slug."""
    return {"makes": [make_json(m) for m in _frame_makes(uow)]}


def _frame_makes(uow: UnitOfWork) -> list[Make]:
    """Return the makes, those left out that make shocks and no frame."""
    only_shocks = {m.make for m in uow.shocks.models()} - {m.make for m in uow.catalogue.models()}
    return [m for m in uow.catalogue.makes() if m.slug not in only_shocks]


def with_nearest(unknown: NotFound, index: NameIndex, make_slug: str, model_slug: str = "") -> NotFound:
    """Return the error for an unknown make, or model of a make, with the slugs that are most like what was asked for.

    Of a model make/model, of a make its slug; at most MOST_NEAREST, none when nothing is alike.
    """
    hits = index.find(f"{make_slug} {model_slug}".replace("-", " ").strip(), MOST_NEAREST)
    slugs = (f"{hit.make}/{hit.model}" if model_slug else hit.make for hit in hits)
    return NotFound(unknown.what, unknown.name, tuple(dict.fromkeys(slugs)))


def make(uow: UnitOfWork, slug: str) -> dict[str, Any]:
    """Return one make with its models and their years. Raises NotFound."""
    found = next((m for m in _frame_makes(uow) if m.slug == slug), None)
    if found is None:
        raise NotFound("make", slug)
    models = []
    for model in uow.catalogue.models(slug):
        frames = [s.frame for s in uow.catalogue.frames_of(slug, model.slug) if s.listed and s.frame.live]
        models.append(model_json(model) | {"years": years_text(frames)})
    return make_json(found) | {"models": models}


def year(uow: UnitOfWork, make_slug: str, model_slug: str, wanted: int) -> dict[str, Any]:
    """Return the answer for a make, model and year. Raises NotFound for an unknown make or model only."""
    found_make, found_model = _make(uow, make_slug), _model(uow, make_slug, model_slug)
    if found_model not in uow.catalogue.models(make_slug):
        raise NotFound("model", f"{make_slug}/{model_slug}")
    listed = [s for s in uow.catalogue.frames_of(make_slug, model_slug) if s.listed]
    answering = [s for s in listed if s.frame.live]
    findings = findings_of(uow, [s.frame for s in answering])
    newest = newest_event(uow, found_make, found_model, listed)
    return answer_for_year(found_make, found_model, wanted, answering, findings, newest, demo=is_demo(uow))


def frames(uow: UnitOfWork, query: FrameQuery, index: NameIndex, text: str | None = None) -> FramePage:
    """Return the listed frames that meet every condition, in order of make, model and first year.

    ``text`` is a name as people write it, typing errors tolerated; a model year in it counts unless ``query`` has one,
    and of several years any will do. With a text the likest models come first and there is one page of at most
    ``query.limit``. A text that is like nothing finds nothing.
    """
    if text is None:
        found = uow.catalogue.find(query)
        last = found[-1].frame if len(found) == query.limit else None
        after = (last.make, last.model, last.years.start, last.id) if last else None
        return FramePage(_answers(uow, found, query.year), after)
    name, written = years_in(text)
    narrowed, hits = _in_year(query, written), index.find(name)
    answers = _of_models(uow, narrowed, hits, written)
    return FramePage(answers, None, None if answers else _meant(uow, hits, narrowed.year))


def _meant(uow: UnitOfWork, hits: Sequence[Hit], year: int | None) -> dict[str, Any]:
    asked: dict[str, Any] = {} if year is None else {"year": year}
    if not hits or hits[0].likeness < SURE:
        return asked
    make, model = _make(uow, hits[0].make), _model(uow, hits[0].make, hits[0].model)
    return {"make": make.name, "model": model.name} | asked


def _in_year(query: FrameQuery, written: Years | None) -> FrameQuery:
    """Return the query for the year that was written, when there is just one and the query has none."""
    if query.year is not None or written is None or written.start != written.end:
        return query
    return replace(query, year=written.start)


def _of_models(uow: UnitOfWork, query: FrameQuery, hits: Sequence[Hit], written: Years | None) -> list[dict[str, Any]]:
    """Return the answers for the frames of the models in ``hits``, in their order, that touch the years written."""
    rank = {(h.make, h.model): i for i, h in enumerate(hits)}
    if not rank:
        return []
    found = uow.catalogue.find(replace(query, models=tuple(rank), limit=min(query.limit * 4, 200)))
    if query.year is None and written is not None:
        found = [s for s in found if s.frame.years.overlaps(written)]
    found.sort(key=lambda s: rank[s.frame.make, s.frame.model])
    return _answers(uow, found[: query.limit], query.year)


def frame(uow: UnitOfWork, actor: Actor, frame_id: str) -> dict[str, Any]:
    """Return the answer for one frame.

    Raises Moved for a merged one, Gone (with the ids to ask instead) for a divided or withdrawn one, NotFound for
    none, and for a proposal when neither its author nor a maintainer asks.
    """
    stored = visible(uow, actor, frame_id)
    check_answers(stored.frame)
    return _answers(uow, [stored])[0]


def visible(uow: UnitOfWork, actor: Actor, frame_id: str) -> StoredFrame:
    """Return the stored frame when ``actor`` may see it; raise NotFound otherwise."""
    stored = uow.catalogue.frame(frame_id) if is_id("frame", frame_id) else None
    if stored is None or not _is_seen(stored, actor):
        raise NotFound("frame", frame_id)
    return stored


def visible_shock(uow: UnitOfWork, actor: Actor, shock_id: str) -> StoredShock:
    """Return the stored shock when ``actor`` may see it; raise NotFound otherwise."""
    stored = uow.shocks.shock(shock_id) if is_id("shock", shock_id) else None
    if stored is None or not _is_seen(stored, actor):
        raise NotFound("shock", shock_id)
    return stored


def _is_seen(stored: Stored, actor: Actor) -> bool:
    merged, own = stored.about.record == "merged", actor.person == stored.proposed_by
    return stored.listed or merged or own or "see_reviews" in actor.may


def frame_title(uow: UnitOfWork, found: Frame) -> str:
    """Return how people call a frame: make and model."""
    return f"{_make(uow, found.make).name} {_model(uow, found.make, found.model).name}"


def check_answers(found: Record) -> None:
    """Raise Moved or Gone when the record no longer answers for a frame or shock."""
    kind = kind_of(found.id)
    if found.record == "merged":
        raise Moved(kind, found.id, found.into[0])
    if found.record == "divided":
        raise Gone(kind, found.id, "it was divided: a part changed while it was made", found.into)
    if found.record == "withdrawn":
        raise Gone(kind, found.id, found.why or "", ())


def claims(uow: UnitOfWork, actor: Actor, frame_id: str) -> dict[str, Any]:
    """Return what every claim about a frame says, by subject, with its state and source. Raises as ``frame``.

    What the contributor sent beside an unreviewed claim (its quote, its photos) is not shown before the review.
    """
    return claims_about(uow, actor, visible(uow, actor, frame_id))


def claims_about(uow: UnitOfWork, actor: Actor, stored: Stored) -> dict[str, Any]:
    """Return what is said and decided about a stored frame or shock, as ``claims`` does."""
    record = stored.about
    said, decided = uow.statements.claims(record.id), uow.statements.decisions(record.id)
    photos = uow.photos.of_claims([c.id for c in said])
    found: dict[str, Any] = {**named(record.id), "record": record.record, "subjects": {}}
    for subject in record.subjects:
        ruled = [d for d in decided if d.subject == subject]
        about = About([c for c in said if c.subject == subject], ruled)
        found["subjects"][subject] = {
            "claims": [claim_answer(actor, c, about, photos.get(c.id, ())) for c in about.claims],
            "decisions": [decision_answer(d, rulings(ruled).reversed) for d in ruled],
        }
    return found


def claim_answer(
    actor: Actor, claim: Claim, about: About | None = None, photos: Sequence[StoredPhoto] = ()
) -> dict[str, Any]:
    """Return one claim as ``actor`` may see it: before the review without its quote, photos and why it was
    taken back, but for its author.

    ``about`` is what its state follows from, None for it alone.
    """
    about = about or About((claim,), ())
    said = {k: v for k, v in claim_json(claim).items() if k != "reviewed"}
    shown = said | standing_answer(claim, about)
    trusted = actor.person == claim.source.by or "see_reviews" in actor.may
    if not trusted and not was_looked_at(claim, about.decisions):
        shown["source"] = {k: v for k, v in shown["source"].items() if k != "quote"}
        if "withdrawn" in shown:
            shown["withdrawn"] = {"on": claim.withdrawn_on}
    if photos and (claim.state == "accepted" or trusted):
        shown["photos"] = [photo_json(p) for p in photos]
    return shown


def decision_answer(decision: Decision, undone: frozenset[str]) -> dict[str, Any]:
    """Return one decision, marked when it is among those ``undone``."""
    return decision_json(decision) | ({"reversed": True} if decision.id in undone else {})


def history(uow: UnitOfWork, actor: Actor, frame_id: str) -> dict[str, Any]:
    """Return every event of a frame, oldest first, with its date (never the time of day)."""
    visible(uow, actor, frame_id)
    return history_of(uow, frame_id)


def history_of(uow: UnitOfWork, record_id: str) -> dict[str, Any]:
    """Return the events of a frame or shock, as ``history`` does."""
    return {**named(record_id), "history": [event_answer(uow, e) for e in uow.events.of_frame(record_id)]}


def events_since(uow: UnitOfWork, record_id: str, event: int) -> list[dict[str, Any]]:
    """Return what happened to a frame or shock after an event, oldest first, for somebody who read it then."""
    return [event_answer(uow, e) for e in uow.events.of_frame(record_id) if e.sequence > event]


def event_answer(uow: UnitOfWork, event: Event) -> dict[str, Any]:
    """Return the public form of an event. Of a proposal nothing but that there was one, until it is listed."""
    found: dict[str, Any] = {"event": event.sequence, "on": event.at[:10], "kind": event.kind}
    if event.kind.endswith("_proposed"):
        return found
    if event.frame is None:
        if isinstance(row := event.payload.get("hardware"), Mapping):
            found["hardware"] = row["id"]
        of_none = ("make_slug", "model_slug", "release", "model_version", "limit", "number")
        return found | {k: event.payload[k] for k in of_none if k in event.payload}
    stored = stored_record(uow, event.frame)
    if stored is None or not stored.listed:
        return found
    found |= named(event.frame)
    if event.subject is not None:
        found["subject"] = event.subject
    public = ("claim", "claims", "decision", "ruling", "value", "why", "edit", "record", "into", "ask_instead",
              "reason", "superseded_by")  # fmt: skip
    unseen = {"why"} if event.kind == "claim_withdrawn" and _never_looked_at(uow, event) else set()
    return found | {k: event.payload[k] for k in public if k in event.payload and k not in unseen}


def _never_looked_at(uow: UnitOfWork, event: Event) -> bool:
    claim = uow.statements.claim(str(event.payload.get("claim")))
    return claim is not None and not was_looked_at(claim, uow.statements.decisions(claim.frame))


def changes(uow: UnitOfWork, since: int, limit: int) -> dict[str, Any]:
    """Return the events after ``since``, in order, at most ``limit``, and where to go on.

    ``next_since`` equals ``since`` when nothing came after it. Raises InvalidInput for a number beyond the last event.
    """
    last = uow.events.last()
    if since > last:
        raise InvalidInput.one(
            "/since", "beyond_last", "no event has that number yet", got=since, accepted=f"0 to {last}"
        )
    found = uow.events.page(since, limit)
    return {
        "changes": [event_answer(uow, e) for e in found],
        "next_since": found[-1].sequence if found else since,
        "last": last,
    }


def lookups(uow: UnitOfWork, index: NameIndex, questions: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """Return one answer for each question, in order, each on its own, with the caller's ``ref`` echoed.

    A question names a frame, or a make and model (slugs or names) with a year, or a text, or a size. What is not found
    is answered as unknown; a name that another model is not clearly less like, or that is no more than somewhat like,
    is answered with candidates and a question. A model that was not made in the year asked for gives way to no other.
    """
    return {"answers": [_lookup(uow, index, q) for q in questions]}


def _lookup(uow: UnitOfWork, index: NameIndex, question: Mapping[str, Any]) -> dict[str, Any]:
    ref = {"ref": question["ref"]} if "ref" in question else {}
    if "frame" in question:
        return ref | _lookup_frame(uow, str(question["frame"]))
    query = FrameQuery(
        year=question.get("year"),
        bolt_mm=question.get("bolt_mm"),
        width_mm=question.get("width_mm"),
        mount=question.get("mount"),
        limit=MOST_CANDIDATES,
    )
    text = question.get("q")
    if "make" in question:
        slugs = by_slugs(uow, str(question["make"]), str(question.get("model", "")))
        if slugs is not None:
            query = replace(query, models=(slugs,))
        else:
            text = f"{question['make']} {question.get('model', '')}".strip()
    if text is None:
        return ref | several(frames(uow, query, index).frames, query.year)
    name, written = years_in(text)
    query, hits = _in_year(query, written), clear(index.find(name))
    found = _of_models(uow, query, hits, written)
    return ref | several(found, query.year, sure=bool(hits) and hits[0].likeness >= SURE)


def _lookup_frame(uow: UnitOfWork, frame_id: str) -> dict[str, Any]:
    wanted = frame_id
    try:
        while (stored := visible(uow, ANYBODY, wanted)).frame.record == "merged":
            wanted = stored.frame.into[0]
        asked = {"asked": frame_id} if wanted != frame_id else {}
        return {"outcome": "one", "frames": [frame(uow, ANYBODY, wanted)]} | asked
    except Gone as gone:
        return {"outcome": "gone", "frames": [], "why": gone.why, "ask_instead": list(gone.ask_instead)}
    except NotFound:
        return {"outcome": "unknown", "frames": []}


def several(found: list[dict[str, Any]], wanted: int | None, *, sure: bool = True) -> dict[str, Any]:
    """Return the outcome over frame answers; more than one model or frame carries the question between them.

    When it is not ``sure`` that the only frame is the one that was meant, it is a candidate and the question is that.
    """
    if len(found) == 1 and not sure:
        name = f"{found[0]['make']['name']} {found[0]['model']['name']}"
        return {"outcome": "several", "frames": found, "ask": f"Is it the {name}?"}
    answer: dict[str, Any] = {"outcome": outcome(len(found)), "frames": found}
    if len(found) > 1:
        asks = [f["qualifier"]["ask"] for f in found if "qualifier" in f]
        models = {(f["make"]["slug"], f["model"]["slug"]) for f in found}
        question = "Which make and model is it?" if len(models) > 1 else " ".join(dict.fromkeys(asks))
        answer["ask"] = question or ("Which model year is it?" if wanted is None else "Which of these frames is it?")
    return answer


def by_slugs(uow: UnitOfWork, make_slug: str, model_slug: str) -> tuple[str, str] | None:
    """Return make and model when both are slugs of a model that is there, else None."""
    model = uow.catalogue.model(make_slug, model_slug)
    return (model.make, model.slug) if model is not None else None


def _answers(uow: UnitOfWork, stored: Sequence[StoredFrame], year: int | None = None) -> list[dict[str, Any]]:
    """Return the answers for frames; for a ``year`` beyond its evidence a settled value is at most provisional."""
    demo = is_demo(uow)
    findings = findings_of(uow, [s.frame for s in stored])
    known: dict[tuple[str, str], tuple[Make, Model]] = {}
    found = []
    for s in stored:
        key = (s.frame.make, s.frame.model)
        if key not in known:
            known[key] = (_make(uow, key[0]), _model(uow, *key))
        said = findings[s.frame.id]
        said = said if year is None else [for_year(f, year) for f in said]
        found.append(frame_answer(s, *known[key], said, demo=demo))
    return found


def _make(uow: UnitOfWork, slug: str) -> Make:
    found = uow.catalogue.make(slug)
    if found is None:
        raise NotFound("make", slug)
    return found


def _model(uow: UnitOfWork, make_slug: str, slug: str) -> Model:
    found = uow.catalogue.model(make_slug, slug)
    if found is None:
        raise NotFound("model", f"{make_slug}/{slug}")
    return found
