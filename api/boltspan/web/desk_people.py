"""One contributor at the desk: what they sent and how it fared, and undoing all of it in one act."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence

from flask import Response, request

from boltspan.domain.errors import Clash, InvalidInput, NotAllowed
from boltspan.services.once import once_key
from boltspan.services.person_view import person_view, preview_undoing, undo_person
from boltspan.web import desk_words
from boltspan.web.fields import Filled
from boltspan.web.given import Given
from boltspan.web.routes import Route
from boltspan.web.signing_up import once_field
from boltspan.web.visitors import Visitors


class PeoplePages:
    """The pages of contributors, for maintainers."""

    def __init__(self, given: Given, visitors: Visitors) -> None:
        self._given, self._visitors = given, visitors

    def routes(self) -> Sequence[Route]:
        """Return the routes."""
        return (
            Route("/desk/people/<person_id>", self.contributor, "see_reviews"),
            Route("/desk/people/<person_id>/check", self.check_undoing, "undo_account", ("POST",)),
            Route("/desk/people/<person_id>/change", self.change_undoing, "undo_account", ("POST",)),
            Route("/desk/people/<person_id>/undoing", self.undo, "undo_account", ("POST",)),
        )

    def contributor(self, person_id: str) -> Response:
        """Show what a contributor sent and how it fared."""
        return self._shown(person_id, Filled())

    def _shown(self, person_id: str, form: Filled, status: int = 200) -> Response:
        visitor = self._visitors.person()
        with self._given.storage.reading() as uow:
            shown = person_view(visitor.actor, uow, self._given.clock, person_id)
        return self._visitors.page("desk_person.html", status, shown=shown, form=form, desk_words=desk_words)

    def check_undoing(self, person_id: str) -> Response:
        """Show what undoing everything of an account would do, before it is carried out."""
        fields = self._visitors.form()
        visitor = self._visitors.person()
        self._given.count_write(visitor.actor.must("undo_account"))
        why = fields.get("why", "").strip()
        try:
            found = preview_undoing(visitor.actor, self._given.storage, self._given.clock, person_id, why)
        except (InvalidInput, NotAllowed, Clash) as wrong:
            return self._again(person_id, fields, wrong)
        with self._given.storage.reading() as uow:
            shown = person_view(visitor.actor, uow, self._given.clock, person_id)
        return self._visitors.page(
            "desk_person_preview.html", shown=shown, found=found, why=why, once=str(uuid.uuid4()),
            desk_words=desk_words,
        )  # fmt: skip

    def change_undoing(self, person_id: str) -> Response:
        """Show the filled-in form again, to be changed."""
        return self._shown(person_id, Filled(self._visitors.form()))

    def undo(self, person_id: str) -> Response:
        """Undo everything of an account, and show what it came to."""
        fields = self._visitors.form()
        visitor = self._visitors.person()
        why = fields.get("why", "").strip()
        key = once_key(visitor.actor.must("undo_account"), request.path, once_field(fields), why.encode())
        try:
            with self._visitors.writing(visitor.actor) as uow:
                found = undo_person(visitor.actor, uow, self._given.clock, person_id, why, key).body
        except (InvalidInput, NotAllowed, Clash) as wrong:
            return self._again(person_id, fields, wrong)
        return self._visitors.page("desk_person_undone.html", person=person_id, found=found, desk_words=desk_words)

    def _again(self, person_id: str, fields: Mapping[str, str], wrong: Exception) -> Response:
        form = Filled(fields)
        if isinstance(wrong, InvalidInput):
            form.tell(wrong, lambda pointer: "why" if pointer == "/why" else None)
            return self._shown(person_id, form, 422)
        form.whole.append(f"{str(wrong)[:1].upper()}{str(wrong)[1:].rstrip('.')}.")
        return self._shown(person_id, form, 403 if isinstance(wrong, NotAllowed) else 409)
