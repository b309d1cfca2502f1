"""Edits of a frame's record by maintainers: years, names, qualifier, end names, merge, divide, withdraw, proposals."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, Final

from boltspan.domain.errors import Clash, InvalidInput, NotAllowed
from boltspan.domain.fields import text_from, years_from
from boltspan.domain.frames import Frame, overlap_problems
from boltspan.domain.ids import mint
from boltspan.domain.names import name
from boltspan.domain.problems import Problems
from boltspan.domain.records import frame_json, model_json, qualifier_from, same_ends_from
from boltspan.services.accounts import decides_alone
from boltspan.services.answers import frame_head
from boltspan.services.attention import watch
from boltspan.services.cases import RECORD, check_match
from boltspan.services.flags import record_looked_at
from boltspan.services.lookup import events_since, visible
from boltspan.services.made import touch
from boltspan.services.once import OnceKey, Receipt, once
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Clock, StoredFrame, UnitOfWork
from boltspan.services.publishing import findings_of, republish
from boltspan.services.record_ends import bring_cases_in_step
from boltspan.services.settling import let_rule_settle
from boltspan.services.standing_events import standing_event

_ENDED: Final = ("frame_merged", "frame_divided", "frame_withdrawn")
Edited = list[StoredFrame]
Editor = Callable[["Editing"], Edited]


class Editing:
    """What one edit works on: the frame as stored, what was asked, who asks, and the transaction."""

    def __init__(
        self, person: str, uow: UnitOfWork, clock: Clock, stored: StoredFrame, data: Mapping[str, Any]
    ) -> None:
        self.person, self.uow, self.clock, self.stored, self.data = person, uow, clock, stored, data
        self.frame: Frame = stored.frame
        self.why = text_from(data.get("why"), "/why", 500)

    def record(self, kind: str, frame: Frame, **more: Any) -> int:
        """Record an event about ``frame`` with its record fields after the change; return its number."""
        payload = {"make_slug": frame.make, "model_slug": frame.model, "frame": frame_json(frame), "why": self.why}
        return self.uow.events.record(self.person, kind, frame=frame.id, payload=payload | more)

    def changed(self, frame: Frame, kind: str = "frame_edited", **more: Any) -> StoredFrame:
        """Store ``frame`` in place of the edited one, with its event."""
        self.check_overlap(frame)
        sequence = self.record(kind, frame, edit=str(self.data["edit"]), **more)
        return touch(self.uow, replace(self.stored, frame=frame), sequence)

    def check_overlap(self, frame: Frame, *beside: Frame) -> None:
        """Raise InvalidInput when ``frame`` meets another frame of its model in years and nothing tells them apart."""
        others = [s.frame for s in self.uow.catalogue.frames_of(frame.make, frame.model) if s.listed]
        if problems := overlap_problems(frame, [*(o for o in others if o.id != self.frame.id), *beside]):
            raise InvalidInput(problems)


def edit_frame(
    actor: Actor,
    uow: UnitOfWork,
    clock: Clock,
    frame_id: str,
    data: Mapping[str, Any],
    if_match: str | None,
    key: OnceKey,
) -> Receipt:
    """Change a frame's record. ``data`` has edit (a key of EDITS), why, and what that edit needs.

    ``if_match`` is the frame's edit tag (``frame_tag``). Raises PreconditionMissing, Stale, NotFound, Clash for an
    edit that does not go with the record's state, InvalidInput for the rest.
    """
    person = actor.must("edit_frame")

    def work() -> Receipt:
        stored = visible(uow, actor, frame_id)
        check_match(if_match, frame_tag(stored), lambda read: events_since(uow, frame_id, read))
        edit = data.get("edit")
        if edit not in EDITS:
            raise InvalidInput.one(
                "/edit", "unknown_edit", "there is no such edit", got=edit, accepted=", ".join(EDITS)
            )
        if stored.frame.live and edit == "restore":
            raise Clash("the record answers for itself; there is nothing to restore")
        if not stored.frame.live and edit != "restore":
            raise Clash(f"the record is {stored.frame.record} and is edited no more; it can be restored")
        before = findings_of(uow, [stored.frame])[frame_id]
        edited = EDITS[str(edit)](Editing(person, uow, clock, stored, data))
        now = next(s for s in edited if s.frame.id == frame_id)
        if now.listed or not now.frame.live:
            record_looked_at(uow, clock, frame_id)
        republish(uow, [s.frame.id for s in edited])
        for each in edited:
            bring_cases_in_step(uow, each.frame.id)
        if now.frame.live:
            watch(uow, clock, frame_id, before, findings_of(uow, [now.frame])[frame_id], now.sequence)
        let_rule_settle(uow, clock, [s.frame.id for s in edited])
        edited = [s for of in edited if (s := uow.catalogue.frame(of.frame.id)) is not None]
        return Receipt(_answer(uow, edited), f"/v1/frames/{frame_id}")

    return once(uow, clock, key, work)


def frame_tag(stored: StoredFrame) -> str:
    """Return the strong tag of a frame for edits: it moves with every event on the frame."""
    return f'"{stored.frame.id}-{stored.sequence}"'


def _answer(uow: UnitOfWork, edited: Edited) -> dict[str, Any]:
    heads = []
    for stored in edited:
        make = uow.catalogue.make(stored.frame.make)
        model = uow.catalogue.model(stored.frame.make, stored.frame.model)
        assert make is not None and model is not None, "a frame's make and model are never deleted"
        heads.append(frame_head(stored.frame, make, model) | {"listed": stored.listed, "event": stored.sequence})
    return {"frames": heads}


def _years(e: Editing) -> Edited:
    return [e.changed(replace(e.frame, years=years_from(e.data.get("years", {}), "/years")))]


def _qualifier(e: Editing) -> Edited:
    return [e.changed(replace(e.frame, qualifier=qualifier_from(e.data.get("qualifier", {}), "/qualifier")))]


def _same_ends(e: Editing) -> Edited:
    said = e.data.get("same_ends")
    given = dict(said) if isinstance(said, Mapping) else {}
    source = given.get("source")
    given["source"] = {**(source if isinstance(source, Mapping) else {}), "by": e.person}
    return [e.changed(replace(e.frame, same_ends=same_ends_from(given, e.frame.ends, "/same_ends")))]


def _names(e: Editing) -> Edited:
    """Rename the frame's model or give it aliases; the slug stays, since addresses rest on it."""
    model = e.uow.catalogue.model(e.frame.make, e.frame.model)
    assert model is not None, "a frame's model is never deleted"
    if not {"name", "aliases"} & set(e.data):
        raise InvalidInput.one("/name", "field_missing", "nothing to rename", accepted="name, aliases or both")
    aliases = e.data.get("aliases", model.aliases)
    renamed = replace(
        model,
        name=name(e.data.get("name", model.name), "/name"),
        aliases=tuple(name(a, f"/aliases/{i}") for i, a in enumerate(aliases)),
    )
    e.uow.catalogue.put_model(renamed)
    payload = {"make_slug": e.frame.make, "model": model_json(renamed), "why": e.why}
    e.uow.events.record(e.person, "model_edited", payload=payload)
    return [e.changed(e.frame)]


def _merge(e: Editing) -> Edited:
    """Merge this record, a double, into another live frame of the same ends. Its claims stay with it."""
    into = e.uow.catalogue.frame(str(e.data.get("into", "")))
    if into is None or not into.listed or not into.frame.live or into.frame.id == e.frame.id:
        raise InvalidInput.one(
            "/into",
            "unknown_frame",
            "there is no such live frame",
            got=e.data.get("into"),
            accepted="the id of another live frame",
        )
    problems = Problems()
    other, mapped = into.frame, set(dict(into.frame.same_ends.names) if into.frame.same_ends else ())
    if other.make != e.frame.make:
        problems.add("/into", "another_make", "a double is of the same make", other.make, e.frame.make)
    if set(e.frame.ends) not in (set(other.ends), mapped):
        problems.add(
            "/into", "other_ends", "a double has the same ends", ", ".join(other.ends), ", ".join(e.frame.ends)
        )
    problems.raise_any()
    merged = replace(e.frame, record="merged", into=(into.frame.id,))
    return [e.changed(merged, "frame_merged", into=into.frame.id), into]


def _divide(e: Editing) -> Edited:
    """Divide the record by a running change: each part is a new frame with a qualifier and starts without claims.

    No claim is copied: none says which part it speaks of, and a guess is worse than "not known".
    """
    problems = Problems()
    parts: list[Frame] = []
    for i, part in enumerate(e.data.get("parts", [])):
        years = problems.keep(lambda p=part, i=i: years_from(p.get("years", _years_of(e.frame)), f"/parts/{i}/years"))  # type: ignore[misc]
        told = problems.keep(lambda p=part, i=i: qualifier_from(p.get("qualifier", {}), f"/parts/{i}/qualifier"))  # type: ignore[misc]
        if years is not None and told is not None:
            parts.append(replace(e.frame, id=mint("frame"), years=years, qualifier=told))
    if len(e.data.get("parts", [])) < 2:
        problems.add(
            "/parts",
            "too_few_parts",
            "a record is divided into two parts or more",
            len(e.data.get("parts", [])),
            "two or more",
        )
    problems.raise_any()
    for i, frame in enumerate(parts):
        e.check_overlap(frame, *parts[:i])
    divided = replace(e.frame, record="divided", into=tuple(p.id for p in parts))
    stored = [e.changed(divided, "frame_divided", ask_instead=[p.id for p in parts])]
    for frame in parts:
        sequence = e.record("frame_added", frame)
        part_stored = StoredFrame(frame, sequence=sequence)
        e.uow.catalogue.put_frame(part_stored)
        stored.append(part_stored)
    return stored


def _years_of(frame: Frame) -> dict[str, Any]:
    return dict(frame_json(frame)["years"])


def _withdraw(e: Editing) -> Edited:
    gone = replace(e.frame, record="withdrawn", withdrawn_on=e.clock.today(), why=e.why)
    return [e.changed(gone, "frame_withdrawn")]


def _restore(e: Editing) -> Edited:
    """Undo a merge, a division or a withdrawal: the record answers for itself again, as before.

    The parts of a division go into it, with what was said of them; their ids lead to it from then on. An edit of its
    years, names or ends is undone by another edit.
    """
    undone = [n.sequence for n in e.uow.events.of_frame(e.frame.id) if n.kind in _ENDED][-1:]
    stored = []
    for part_id in e.frame.into if e.frame.record == "divided" else ():
        part = e.uow.catalogue.frame(part_id)
        assert part is not None, "the parts of a divided frame are never deleted"
        if not part.frame.live:
            raise Clash(f"the part {part_id} is {part.frame.record} itself; restore it first")
        gone = replace(part.frame, record="merged", into=(e.frame.id,))
        said = e.uow.statements.claims(part_id) or e.uow.statements.decisions(part_id)
        sequence = e.record("frame_merged", gone, edit="restore", into=e.frame.id)
        stored.append(touch(e.uow, replace(part, frame=gone, listed=bool(said)), sequence))
    live = replace(e.frame, record="frame", into=(), withdrawn_on=None, why=None)
    e.check_overlap(live)
    sequence = e.record("frame_restored", live, edit="restore", undoes=undone)
    holds = standing_event(e.uow, live.id)
    return [touch(e.uow, replace(e.stored, frame=live), sequence, holds_from=holds), *stored]


def _accept(e: Editing) -> Edited:
    """List a proposed frame. Its author cannot, unless it came with a chart of theirs and nobody else may decide here:
    the chart is the source, not the person.
    """
    if e.stored.listed:
        raise Clash("the frame is listed already")
    if e.stored.proposed_by == e.person and not (_came_with_chart(e) and decides_alone(e.uow, e.person)):
        raise NotAllowed("nobody accepts an own proposal")
    e.check_overlap(e.frame)
    sequence = e.record("frame_listed", e.frame, edit="accept")
    return [touch(e.uow, replace(e.stored, listed=True), sequence)]


def _keep(e: Editing) -> Edited:
    """Leave the record as it stands: what was said to be wrong with it was looked at. The answer stays as it is."""
    case = e.uow.cases.of_subject(e.frame.id, RECORD)
    if not e.stored.listed or case is None or case.state != "open":
        raise Clash("nothing about the record waits for a look")
    sequence = e.uow.events.record(e.person, "frame_kept", frame=e.frame.id, payload={"edit": "keep", "why": e.why})
    return [touch(e.uow, e.stored, sequence, holds_from=e.stored.event)]


def _came_with_chart(e: Editing) -> bool:
    """Return whether the editing person has said nothing of the frame but what a chart says, and that at least."""
    own = [c for c in e.uow.statements.claims(e.frame.id) if c.source.by == e.person and c.counts]
    return bool(own) and all(c.source.kind == "retailer_chart" for c in own)


EDITS: Final[dict[str, Editor]] = {
    "years": _years,
    "names": _names,
    "qualifier": _qualifier,
    "same_ends": _same_ends,
    "merge": _merge,
    "divide": _divide,
    "withdraw": _withdraw,
    "accept": _accept,
    "restore": _restore,
    "keep": _keep,
}
