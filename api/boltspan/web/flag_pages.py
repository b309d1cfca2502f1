"""Saying by page that an answer is wrong: anybody may, without an account, and nobody decides by it."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from typing import Any, Final

from flask import Response, redirect, request

from boltspan.domain.errors import InvalidInput, KeyReused, Moved
from boltspan.domain.ruling_reasons import FLAG_REASONS
from boltspan.domain.values import SHOCK_SIZE
from boltspan.services.flags import MOST_WORDS, set_flag
from boltspan.services.lookup import frame
from boltspan.services.once import once_key
from boltspan.web.fields import Filled
from boltspan.web.given import Given
from boltspan.web.routes import Route
from boltspan.web.signing_up import once_field
from boltspan.web.visitors import Visitors

WHOLE: Final = "whole"
"""What the form calls the frame as a whole: its name, its years, that it stands here twice."""
_FIELDS: Final = ("subject", "reason", "words")


class FlagPages:
    """The form that says what is wrong, and its receipt."""

    def __init__(self, given: Given, visitors: Visitors) -> None:
        self._given, self._visitors = given, visitors

    def routes(self) -> Sequence[Route]:
        """Return the routes."""
        return Route("/wrong", self.wrong_form), Route("/wrong", self.wrong, methods=("POST",))

    def wrong_form(self) -> Response:
        """Show the form about one frame."""
        frame_id = request.args.get("frame", "")
        if not frame_id:
            return _to("/")
        self._given.count()
        try:
            found = self._frame(frame_id)
        except Moved as moved:
            return _to(f"/wrong?frame={moved.into}")
        return self._form(found, Filled({"subject": request.args.get("subject", "")}))

    def _frame(self, frame_id: str) -> dict[str, Any]:
        with self._given.storage.reading() as uow:
            return frame(uow, self._visitors.here().actor, frame_id)

    def _form(self, found: dict[str, Any], form: Filled, status: int = 200) -> Response:
        answers = found["ends"] | {SHOCK_SIZE: found["shock_size"]}
        once = form.text("once") or str(uuid.uuid4())
        return self._visitors.page(
            "wrong.html", status, frame=found, answers=answers, form=form, whole=WHOLE, once=once, most=MOST_WORDS
        )

    def wrong(self) -> Response:
        """Take in what is wrong, and say what happens now."""
        fields = self._visitors.form()
        actor = self._visitors.here().actor
        self._given.count_report()
        found = self._frame(fields.get("frame", ""))
        form = Filled(fields)
        if not fields.get("subject"):
            form.wrong["subject"] = "Choose what it is about."
        if fields.get("reason") not in FLAG_REASONS:
            form.wrong["reason"] = "Choose what is wrong."
        if form.failed:
            return self._form(found, form, 422)
        data = {"frame": found["id"]} | {name: text for name in _FIELDS if (text := fields.get(name, "").strip())}
        if data["subject"] == WHOLE:
            del data["subject"]
        try:
            key = once_key(actor.person or "anybody", "/wrong", once_field(fields), repr(data).encode())
            with self._visitors.writing(actor, counted=False) as uow:
                receipt = set_flag(actor, uow, self._given.clock, data, key)
        except InvalidInput as error:
            form.tell(error, lambda pointer: pointer[1:] if pointer[1:] in _FIELDS else None)
            return self._form(found, form, 422)
        except KeyReused:
            again = Filled({name: text for name, text in fields.items() if name != "once"})
            again.whole.append("This form has arrived already, with other words. Send it once more to add these.")
            return self._form(found, again, 409)
        return self._visitors.page("wrong_sent.html", frame=found, flag=receipt.body["flag"])


def _to(place: str) -> Response:
    response = redirect(place, 303)
    assert isinstance(response, Response)
    response.headers["Cache-Control"] = "no-store"
    return response
