"""A record at the desk, a frame's or a shock's: years, names, ends, proposals, doubles, divisions, withdrawals."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from typing import Any

from flask import Response, request

from boltspan.domain.errors import Clash, InvalidInput, NotAllowed, Stale
from boltspan.services import desk
from boltspan.services.edit_preview import preview_edit
from boltspan.services.edit_record import edit_record
from boltspan.services.once import once_key
from boltspan.web import desk_words, record_edits
from boltspan.web.desk_pages import to_page
from boltspan.web.fields import Filled
from boltspan.web.given import Given
from boltspan.web.record_edits import edit_data
from boltspan.web.routes import Route
from boltspan.web.signing_up import once_field
from boltspan.web.visitors import Visitors


class RecordPages:
    """The pages of records."""

    def __init__(self, given: Given, visitors: Visitors) -> None:
        self._given, self._visitors = given, visitors

    def routes(self) -> Sequence[Route]:
        """Return the routes."""
        return (
            Route("/desk/<review_id>/record", self.record, "edit_frame"),
            Route("/desk/<review_id>/record", self.carry_out_edit, "edit_frame", ("POST",)),
            Route("/desk/<review_id>/record/check", self.check_edit, "edit_frame", ("POST",)),
            Route("/desk/<review_id>/record/change", self.change_edit, "edit_frame", ("POST",)),
        )

    def record(self, review_id: str) -> Response:
        """Show the record with what may be done about it."""
        return self._record(review_id, Filled())

    def _record(self, review_id: str, form: Filled, status: int = 200, changed: Sequence[Any] = ()) -> Response:
        visitor = self._visitors.person()
        with self._given.storage.reading() as uow:
            whole = desk.whole_case(visitor.actor, uow, self._given.clock, review_id)
            record = desk.record_of(uow, whole.about["record_id"])
            answers = desk.answers_of(uow, whole.about["record_id"])
            doubles = desk.others_of_make(uow, whole.about["record_id"])
        return self._visitors.page(
            "desk_record.html", status,
            whole=whole, case=whole.case, answers=answers, doubles=doubles, form=form, blank=Filled(), changed=changed,
            edits=[edit for edit in desk_words.EDIT_NAMES if edit in record["edits"]], record=record,
            standing=Filled(_as_typed(record)), parts=record_edits.PARTS, kinds_of_qualifier=record_edits.KINDS,
            meanings=record_edits.meanings(record["ends"]) if "ends" in record else (),
            carried_out=request.args.get("done"), desk_words=desk_words,
            today=self._given.clock.today(),
        )  # fmt: skip

    def check_edit(self, review_id: str) -> Response:
        """Show what an edit would do, before it is carried out."""
        fields = self._visitors.form()
        visitor = self._visitors.person()
        visitor.actor.must("edit_frame")
        self._given.count_write(visitor.actor.must("edit_frame"))
        with self._given.storage.reading() as uow:
            whole = desk.whole_case(visitor.actor, uow, self._given.clock, review_id)
        try:
            shown = preview_edit(
                visitor.actor, self._given.storage, self._given.clock, whole.about["record_id"], edit_data(fields),
                fields.get("match", ""),
            )  # fmt: skip
        except (InvalidInput, NotAllowed, Clash, Stale) as wrong:
            return self._again(review_id, fields, wrong)
        return self._visitors.page(
            "desk_record_preview.html", whole=whole, case=whole.case, preview=shown,
            typed={k: fields[k] for k in record_edits.FIELDS if fields.get(k)}, once=str(uuid.uuid4()),
            desk_words=desk_words,
        )  # fmt: skip

    def change_edit(self, review_id: str) -> Response:
        """Show a filled-in edit again, to be changed."""
        return self._record(review_id, Filled(self._visitors.form()))

    def carry_out_edit(self, review_id: str) -> Response:
        """Carry an edit out, unless something has happened since the record was read."""
        fields = self._visitors.form()
        visitor = self._visitors.person()
        person = visitor.actor.must("edit_frame")
        try:
            data = edit_data(fields)
            key = once_key(person, request.path, once_field(fields), repr(data).encode())
            with self._visitors.writing(visitor.actor) as uow:
                about = desk.whole_case(visitor.actor, uow, self._given.clock, review_id).about
                edit_record(visitor.actor, uow, self._given.clock, about["record_id"], data, fields.get("match"), key)
        except (InvalidInput, NotAllowed, Clash, Stale) as wrong:
            return self._again(review_id, fields, wrong)
        return to_page(f"/desk/{review_id}/record?done={data['edit']}")

    def _again(self, review_id: str, fields: Mapping[str, str], wrong: Exception) -> Response:
        form = Filled(fields)
        if isinstance(wrong, InvalidInput):
            edit = fields.get("edit", "")
            form.tell(wrong, lambda p: f"{edit}-{name}" if (name := record_edits.field_of(p)) is not None else None)
            return self._record(review_id, form, 422)
        form.whole.append(f"{str(wrong)[:1].upper()}{str(wrong)[1:].rstrip('.')}.")
        if isinstance(wrong, Stale):
            return self._record(review_id, form, 412, wrong.changed)
        return self._record(review_id, form, 403 if isinstance(wrong, NotAllowed) else 409)


def _as_typed(record: Mapping[str, Any]) -> dict[str, str]:
    """Return the texts with which the forms of a record's edits begin: how it stands now."""
    found = {"year_from": str(record["years"]["from"]), "name": record["name"]}
    found |= {"year_to": str(record["years"]["to"])} if "to" in record["years"] else {}
    found |= {"aliases": "\n".join(record["aliases"])} if record["aliases"] else {}
    found |= {f"qualifier_{name}": text for name, text in record.get("qualifier", {}).items()}
    if "same_ends" in record:
        found["means"] = " ".join(f"{theirs}={ours}" for theirs, ours in record["same_ends"]["names"].items())
    return found
