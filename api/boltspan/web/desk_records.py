"""The record of a frame at the desk: accept a proposal, merge a double, divide by a qualifier, withdraw, restore."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from typing import Any, Final

from flask import Response, request

from boltspan.domain.errors import Clash, InvalidInput, NotAllowed, Stale
from boltspan.domain.frames import QUALIFIERS
from boltspan.services import desk
from boltspan.services.edit import edit_frame
from boltspan.services.edit_preview import preview_edit
from boltspan.services.once import once_key
from boltspan.web import desk_words
from boltspan.web.desk_pages import to_page
from boltspan.web.fields import Filled
from boltspan.web.given import Given
from boltspan.web.routes import Route
from boltspan.web.signing_up import once_field
from boltspan.web.visitors import Visitors

PARTS: Final = (1, 2, 3)
KINDS: Final = [(kind, kind.replace("_", " ")) for kind in QUALIFIERS]
PART_FIELDS: Final = ("kind", "is", "from", "to", "ask")
FIELDS: Final = (
    "edit", "into", "why", "match", *(f"part_{n}_{name}" for n in PARTS for name in PART_FIELDS),
)  # fmt: skip


def edit_data(fields: Mapping[str, str]) -> dict[str, Any]:
    """Return the edit that a form states. Parts of a division without anything filled in are left out."""
    edit = fields.get("edit", "")
    data: dict[str, Any] = {"edit": edit, "why": fields.get("why", "").strip()}
    if edit == "merge":
        data["into"] = fields.get("into", "").strip()
    if edit == "divide":
        texts = [{name: fields.get(f"part_{n}_{name}", "").strip() for name in PART_FIELDS} for n in PARTS]
        parts = [{k: v for k, v in part.items() if v} for part in texts if any(part[k] for k in PART_FIELDS[1:])]
        data["parts"] = [{"qualifier": part} for part in parts]
    return data


def field_of(pointer: str) -> str | None:
    """Return the form's field that a problem with an edit belongs to; None for one of the whole."""
    names = pointer[1:].split("/")
    if names[0] == "parts" and len(names) > 1:
        name = names[3] if len(names) > 3 and names[3] in PART_FIELDS else "is"
        return f"part_{int(names[1]) + 1}_{name}"
    return {"into": "into", "why": "why", "edit": "edit", "parts": "part_2_is"}.get(names[0])


class RecordPages:
    """The pages of a frame's record."""

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
            answers = desk.answers_of(uow, whole.case["frame"])
            doubles = desk.frames_of_make(uow, whole.case["frame"])
        return self._visitors.page(
            "desk_record.html", status,
            whole=whole, case=whole.case, answers=answers, doubles=doubles, form=form, blank=Filled(), changed=changed,
            edits=self._edits(whole), parts=PARTS, kinds_of_qualifier=KINDS, carried_out=request.args.get("done"),
            desk_words=desk_words,
        )  # fmt: skip

    def _edits(self, whole: desk.Whole) -> list[str]:
        if whole.frame["record"] != "frame":
            return ["restore"]
        return ["divide", "merge", "withdraw"] if whole.frame["listed"] else ["accept", "withdraw"]

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
                visitor.actor, self._given.storage, self._given.clock, whole.case["frame"], edit_data(fields),
                fields.get("match", ""),
            )  # fmt: skip
        except (InvalidInput, NotAllowed, Clash, Stale) as wrong:
            return self._again(review_id, fields, wrong)
        return self._visitors.page(
            "desk_record_preview.html", whole=whole, case=whole.case, preview=shown,
            typed={k: fields[k] for k in FIELDS if fields.get(k)}, once=str(uuid.uuid4()), desk_words=desk_words,
        )  # fmt: skip

    def change_edit(self, review_id: str) -> Response:
        """Show a filled-in edit again, to be changed."""
        return self._record(review_id, Filled(self._visitors.form()))

    def carry_out_edit(self, review_id: str) -> Response:
        """Carry an edit out, unless something has happened since the record was read."""
        fields = self._visitors.form()
        visitor = self._visitors.person()
        data = edit_data(fields)
        key = once_key(visitor.actor.must("edit_frame"), request.path, once_field(fields), repr(data).encode())
        try:
            with self._visitors.writing(visitor.actor) as uow:
                frame = desk.whole_case(visitor.actor, uow, self._given.clock, review_id).case["frame"]
                edit_frame(visitor.actor, uow, self._given.clock, frame, data, fields.get("match"), key)
        except (InvalidInput, NotAllowed, Clash, Stale) as wrong:
            return self._again(review_id, fields, wrong)
        return to_page(f"/desk/{review_id}/record?done={data['edit']}")

    def _again(self, review_id: str, fields: Mapping[str, str], wrong: Exception) -> Response:
        form = Filled(fields)
        if isinstance(wrong, InvalidInput):
            edit = fields.get("edit", "")
            form.tell(wrong, lambda p: f"{edit}-{name}" if (name := field_of(p)) is not None else None)
            return self._record(review_id, form, 422)
        form.whole.append(f"{str(wrong)[:1].upper()}{str(wrong)[1:].rstrip('.')}.")
        if isinstance(wrong, Stale):
            return self._record(review_id, form, 412, wrong.changed)
        return self._record(review_id, form, 403 if isinstance(wrong, NotAllowed) else 409)
