"""Edits of a shock's record by maintainers: years, names, what is in the box, merge, divide, withdraw, restore.

And a proposal is accepted, or refused by withdrawing it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, Final

from boltspan.domain.errors import Clash, InvalidInput, NotAllowed
from boltspan.domain.fields import text_from, years_from, years_json
from boltspan.domain.frames import overlap_problems
from boltspan.domain.ids import mint
from boltspan.domain.names import name
from boltspan.domain.problems import Problems
from boltspan.domain.records import model_json, qualifier_from
from boltspan.domain.shock_records import shock_from, shock_json
from boltspan.domain.shocks import Shock, ShockModel
from boltspan.services.cases import RECORD, check_match
from boltspan.services.flags import record_looked_at
from boltspan.services.lookup import events_since, visible_shock
from boltspan.services.made import touch
from boltspan.services.once import OnceKey, Receipt, once
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Clock, StoredShock, UnitOfWork
from boltspan.services.record_ends import bring_cases_in_step
from boltspan.services.shocks import shock_head

Edited = list[StoredShock]


class Editing:
    """What one edit works on: the shock as stored, what was asked, who asks, and the transaction."""

    def __init__(
        self, person: str, uow: UnitOfWork, clock: Clock, stored: StoredShock, data: Mapping[str, Any]
    ) -> None:
        self.person, self.uow, self.clock, self.stored, self.data = person, uow, clock, stored, data
        self.shock = stored.shock
        self.why = text_from(data.get("why"), "/why", 500)

    def put(self, kind: str, stored: StoredShock, **more: Any) -> StoredShock:
        """Store a shock, with its event."""
        shock = stored.shock
        payload = {"make_slug": shock.make, "model_slug": shock.model, "shock": shock_json(shock), "why": self.why}
        sequence = self.uow.events.record(self.person, kind, frame=shock.id, payload=payload | more)
        return touch(self.uow, stored, sequence)

    def changed(self, shock: Shock, kind: str = "shock_edited", **more: Any) -> StoredShock:
        """Store ``shock`` in place of the edited one, with its event."""
        self.check_overlap(shock)
        return self.put(kind, replace(self.stored, shock=shock), edit=str(self.data["edit"]), **more)

    def check_overlap(self, shock: Shock, *beside: Shock) -> None:
        """Raise InvalidInput when ``shock`` meets another one of its model in years and nothing tells them apart."""
        others = [s.shock for s in self.uow.shocks.shocks_of(shock.make, shock.model) if s.listed]
        if problems := overlap_problems(shock, [*(o for o in others if o.id != self.shock.id), *beside]):
            raise InvalidInput(problems)


def edit_shock(
    actor: Actor,
    uow: UnitOfWork,
    clock: Clock,
    shock_id: str,
    data: Mapping[str, Any],
    if_match: str | None,
    key: OnceKey,
) -> Receipt:
    """Change a shock's record. ``data`` has edit (a key of SHOCK_EDITS), why, and what that edit needs.

    ``if_match`` is the shock's edit tag (``shock_tag``). Raises PreconditionMissing, Stale, NotFound, Clash for an
    edit that does not go with the record's state, InvalidInput for the rest.
    """
    person = actor.must("edit_frame")

    def work() -> Receipt:
        stored = visible_shock(uow, actor, shock_id)
        check_match(if_match, shock_tag(stored), lambda read: events_since(uow, shock_id, read))
        edit = data.get("edit")
        if edit not in SHOCK_EDITS:
            raise InvalidInput.one(
                "/edit", "unknown_edit", "there is no such edit", got=edit, accepted=", ".join(SHOCK_EDITS)
            )
        if stored.shock.live and edit == "restore":
            raise Clash("the record answers for itself; there is nothing to restore")
        if not stored.shock.live and edit != "restore":
            raise Clash(f"the record is {stored.shock.record} and is edited no more; it can be restored")
        edited = SHOCK_EDITS[str(edit)](Editing(person, uow, clock, stored, data))
        now = next(s for s in edited if s.shock.id == shock_id)
        if now.listed or not now.shock.live:
            record_looked_at(uow, clock, shock_id)
        for each in edited:
            bring_cases_in_step(uow, each.shock.id)
        return Receipt(_answer(uow, edited), f"/v1/shocks/{shock_id}")

    return once(uow, clock, key, work)


def shock_tag(stored: StoredShock) -> str:
    """Return the strong tag of a shock for edits: it moves with every event on the shock."""
    return f'"{stored.shock.id}-{stored.sequence}"'


def _answer(uow: UnitOfWork, edited: Edited) -> dict[str, Any]:
    heads = []
    for stored in edited:
        make = uow.catalogue.make(stored.shock.make)
        model = uow.shocks.model(stored.shock.make, stored.shock.model)
        assert make is not None and model is not None, "a shock's make and model are never deleted"
        heads.append(shock_head(stored.shock, make, model) | {"listed": stored.listed, "event": stored.sequence})
    return {"shocks": heads}


def _years(e: Editing) -> Edited:
    return [e.changed(replace(e.shock, years=years_from(e.data.get("years", {}), "/years")))]


def _qualifier(e: Editing) -> Edited:
    return [e.changed(replace(e.shock, qualifier=qualifier_from(e.data.get("qualifier", {}), "/qualifier")))]


def _sold_with(e: Editing) -> Edited:
    """Say anew for which frames the shock is sold with hardware; each with its source, which is the editor's word."""
    given = [{**s, "source": {**s.get("source", {}), "by": e.person}} for s in e.data.get("sold_with", ())]
    read = shock_from(e.shock.make, e.shock.model, {**shock_json(e.shock), "sold_with": given})
    problems = Problems()
    for i, sold in enumerate(read.sold_with):
        stored = e.uow.catalogue.frame(sold.frame)
        if stored is None or not stored.listed:
            at = f"/sold_with/{i}/frame"
            problems.add(at, "unknown_frame", "there is no such frame", sold.frame, "the id of a frame")
        elif not set(sold.ends) <= set(stored.frame.ends):
            got, own = ", ".join(sold.ends), ", ".join(stored.frame.ends)
            problems.add(f"/sold_with/{i}/ends", "bad_ends", "the frame's maker names its ends otherwise", got, own)
    problems.raise_any()
    return [e.changed(read)]


def _names(e: Editing) -> Edited:
    """Rename the shock's model or give it aliases; the slug stays, since addresses rest on it."""
    model = e.uow.shocks.model(e.shock.make, e.shock.model)
    assert model is not None, "a shock's model is never deleted"
    if not {"name", "aliases"} & set(e.data):
        raise InvalidInput.one("/name", "field_missing", "nothing to rename", accepted="name, aliases or both")
    aliases = e.data.get("aliases", model.aliases)
    renamed: ShockModel = replace(
        model,
        name=name(e.data.get("name", model.name), "/name"),
        aliases=tuple(name(a, f"/aliases/{i}") for i, a in enumerate(aliases)),
    )
    e.uow.shocks.put_model(renamed)
    payload = {"make_slug": e.shock.make, "shock_model": model_json(renamed), "why": e.why}
    e.uow.events.record(e.person, "shock_model_edited", payload=payload)
    return [e.changed(e.shock)]


def _merge(e: Editing) -> Edited:
    """Merge this record, a double, into another live shock of the same make. Its claims stay with it."""
    into = e.uow.shocks.shock(str(e.data.get("into", "")))
    if into is None or not into.listed or not into.shock.live or into.shock.id == e.shock.id:
        accepted = "the id of another live shock"
        raise InvalidInput.one(
            "/into", "unknown_shock", "there is no such live shock", got=e.data.get("into"), accepted=accepted
        )
    if into.shock.make != e.shock.make:
        detail = "a double is of the same make"
        raise InvalidInput.one("/into", "another_make", detail, got=into.shock.make, accepted=e.shock.make)
    merged = replace(e.shock, record="merged", into=(into.shock.id,))
    return [e.changed(merged, "shock_merged", into=into.shock.id), into]


def _divide(e: Editing) -> Edited:
    """Divide the record by a running change: each part is a new shock with a qualifier and starts without claims."""
    problems = Problems()
    parts: list[Shock] = []
    given = e.data.get("parts", [])
    for i, part in enumerate(given):
        made = problems.keep(lambda p=part, i=i: _part(e.shock, p, f"/parts/{i}"))  # type: ignore[misc]
        parts += [] if made is None else [made]
    if len(given) < 2:
        detail = "a record is divided into two parts or more"
        problems.add("/parts", "too_few_parts", detail, len(given), "two or more")
    problems.raise_any()
    for i, shock in enumerate(parts):
        e.check_overlap(shock, *parts[:i])
    divided = replace(e.shock, record="divided", into=tuple(p.id for p in parts))
    stored = [e.changed(divided, "shock_divided", ask_instead=[p.id for p in parts])]
    return stored + [e.put("shock_added", StoredShock(shock)) for shock in parts]


def _part(whole: Shock, data: Mapping[str, Any], pointer: str) -> Shock:
    years = years_from(data.get("years", years_json(whole.years)), f"{pointer}/years")
    told = qualifier_from(data.get("qualifier", {}), f"{pointer}/qualifier")
    return replace(whole, id=mint("shock"), years=years, qualifier=told, sold_with=())


def _withdraw(e: Editing) -> Edited:
    gone = replace(e.shock, record="withdrawn", withdrawn_on=e.clock.today(), why=e.why)
    return [e.changed(gone, "shock_withdrawn")]


def _restore(e: Editing) -> Edited:
    """Undo a merge, a division or a withdrawal: the record answers for itself again, as before.

    The parts of a division go into it, with what was said of them; their ids lead to it from then on.
    """
    parts = []
    for part_id in e.shock.into if e.shock.record == "divided" else ():
        part = e.uow.shocks.shock(part_id)
        assert part is not None, "the parts of a divided shock are never deleted"
        if not part.shock.live:
            raise Clash(f"the part {part_id} is {part.shock.record} itself; restore it first")
        said = e.uow.statements.claims(part_id) or e.uow.statements.decisions(part_id)
        gone = replace(part, shock=replace(part.shock, record="merged", into=(e.shock.id,)), listed=bool(said))
        parts.append(e.put("shock_merged", gone, edit="restore", into=e.shock.id))
    live = replace(e.shock, record="shock", into=(), withdrawn_on=None, why=None)
    return [e.changed(live, "shock_restored"), *parts]


def _accept(e: Editing) -> Edited:
    """List a proposed shock. Its author cannot."""
    if e.stored.listed:
        raise Clash("the shock is listed already")
    if e.stored.proposed_by == e.person:
        raise NotAllowed("nobody accepts an own proposal")
    e.check_overlap(e.shock)
    return [e.put("shock_listed", replace(e.stored, listed=True), edit="accept")]


def _keep(e: Editing) -> Edited:
    """Leave the record as it stands: what was said to be wrong with it was looked at."""
    case = e.uow.cases.of_subject(e.shock.id, RECORD)
    if not e.stored.listed or case is None or case.state != "open":
        raise Clash("nothing about the record waits for a look")
    sequence = e.uow.events.record(e.person, "shock_kept", frame=e.shock.id, payload={"edit": "keep", "why": e.why})
    return [touch(e.uow, e.stored, sequence)]


SHOCK_EDITS: Final[dict[str, Callable[[Editing], Edited]]] = {
    "years": _years,
    "names": _names,
    "qualifier": _qualifier,
    "sold_with": _sold_with,
    "merge": _merge,
    "divide": _divide,
    "withdraw": _withdraw,
    "accept": _accept,
    "restore": _restore,
    "keep": _keep,
}
