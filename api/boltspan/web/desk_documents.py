"""Whole documents at the desk: a maker's table or a shop's chart is looked at line by line and ruled on in one act."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from typing import Any

from flask import Response, request

from boltspan.domain.errors import Clash, InvalidInput, Stale
from boltspan.domain.ruling_reasons import REFUSAL_REASONS
from boltspan.services import desk
from boltspan.services.document_reviews import LEFT, rule_on_document
from boltspan.services.once import once_key
from boltspan.web import desk_words
from boltspan.web.desk_pages import ACCOUNT_UNDONE
from boltspan.web.fields import Filled
from boltspan.web.given import Given
from boltspan.web.routes import Route
from boltspan.web.signing_up import once_field
from boltspan.web.visitors import Visitors

FIELDS = ("document", "ruling", "reason", "why", "match")


class DocumentPages:
    """The pages of whole documents."""

    def __init__(self, given: Given, visitors: Visitors) -> None:
        self._given, self._visitors = given, visitors

    def routes(self) -> Sequence[Route]:
        """Return the routes."""
        return (
            Route("/desk/documents", self.document, "see_reviews"),
            Route("/desk/documents", self.carry_out_document, "settle_review", ("POST",)),
            Route("/desk/documents/check", self.check_document, "settle_review", ("POST",)),
            Route("/desk/documents/change", self.change_document, "settle_review", ("POST",)),
        )

    def document(self) -> Response:
        """Show what a document says, line by line."""
        return self._document(request.args.get("document", ""), Filled())

    def _document(self, document: str, form: Filled, status: int = 200) -> Response:
        visitor = self._visitors.person()
        with self._given.storage.reading() as uow:
            shown, tag = desk.whole_document(visitor.actor, uow, document)
        return self._visitors.page(
            "desk_document.html", status,
            shown=shown, tag=tag, form=form, left_words=LEFT, reasons=_reasons(), desk_words=desk_words,
            settled=[line for line in shown["lines"] if "left" not in line],
        )  # fmt: skip

    def check_document(self) -> Response:
        """Show what a ruling on a document would do, before it is carried out."""
        fields = self._visitors.form()
        visitor = self._visitors.person()
        visitor.actor.must("settle_review")
        wrong = {}
        if fields.get("ruling") not in ("settle", "refuse_claims"):
            wrong["ruling"] = "Choose what you rule."
        if fields.get("ruling") == "refuse_claims" and fields.get("reason") not in REFUSAL_REASONS:
            wrong["reason"] = "Choose the reason."
        if not fields.get("why", "").strip():
            wrong["why"] = "Say in a few words why; it stands beside the ruling for everybody."
        document = fields.get("document", "")
        if wrong:
            return self._document(document, Filled(fields, wrong), 422)
        with self._given.storage.reading() as uow:
            shown, tag = desk.whole_document(visitor.actor, uow, document)
        if tag != fields.get("match"):
            return self._moved(fields)
        refused = fields["ruling"] == "refuse_claims"
        return self._visitors.page(
            "desk_document_preview.html",
            shown=shown, typed={k: fields[k] for k in FIELDS if fields.get(k)}, refused=refused, once=str(uuid.uuid4()),
            touched=[line for line in shown["lines"] if refused or "left" not in line],
            left=[line for line in shown["lines"] if not refused and "left" in line],
            left_words=LEFT, reasons=REFUSAL_REASONS, desk_words=desk_words,
        )  # fmt: skip

    def change_document(self) -> Response:
        """Show a filled-in ruling again, to be changed."""
        fields = self._visitors.form()
        return self._document(fields.get("document", ""), Filled(fields))

    def carry_out_document(self) -> Response:
        """Carry out a ruling on a document and show what became of each line."""
        fields = self._visitors.form()
        visitor = self._visitors.person()
        data = {k: fields[k].strip() for k in ("document", "ruling", "why", "reason") if fields.get(k, "").strip()}
        if data.get("ruling") == "settle":
            data.pop("reason", None)
        key = once_key(visitor.actor.must("settle_review"), request.path, once_field(fields), repr(data).encode())
        try:
            with self._visitors.writing(visitor.actor) as uow:
                done = rule_on_document(visitor.actor, uow, self._given.clock, data, fields.get("match"), key).body
        except Stale:
            return self._moved(fields)
        except (InvalidInput, Clash) as wrong:
            return self._document(fields.get("document", ""), Filled(fields, whole=[f"{wrong}."]), 422)
        with self._given.storage.reading() as uow:
            lines = (*done["decided"], *done["left"])
            heads = {desk.record_id(line): desk.about_record(uow, desk.record_id(line)) for line in lines}
        return self._visitors.page("desk_document_done.html", done=done, heads=heads, left_words=LEFT)

    def _moved(self, fields: Mapping[str, str]) -> Response:
        told = "Somebody was here since you read this; nothing was carried out. Read the lines again and decide anew."
        return self._document(fields.get("document", ""), Filled(fields, whole=[told]), 412)


def _reasons() -> dict[str, Any]:
    return {code: text for code, text in REFUSAL_REASONS.items() if code != ACCOUNT_UNDONE}
