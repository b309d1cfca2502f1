"""The maintainers' desk: the queue, one case on one screen, and rulings that are looked at before they are carried out.

What is typed goes along in the forms, with the tag of the case as it was read: a ruling on something that has moved
since is not carried out, and nothing that was typed is lost.
"""

from __future__ import annotations

import re
import uuid
from collections.abc import Mapping, Sequence
from typing import Any, Final

from flask import Response, redirect, request
from markupsafe import Markup

from boltspan.domain.drawings.evidence_rows import heaviest
from boltspan.domain.drawings.number_line import number_line
from boltspan.domain.errors import Clash, InvalidInput, NotAllowed, Stale
from boltspan.domain.ruling_reasons import REFUSAL_REASONS
from boltspan.domain.subjects import kind_of, value_of_subject
from boltspan.services import desk, review
from boltspan.services.asking import ask_for_more
from boltspan.services.case_view import case_named, since, stored_of
from boltspan.services.cases import RECORD, case_tag, check_match
from boltspan.services.once import once_key
from boltspan.services.protocols import UnitOfWork
from boltspan.web import desk_words, rulings
from boltspan.web.fields import Filled
from boltspan.web.given import Given
from boltspan.web.routes import Route
from boltspan.web.signing_up import once_field
from boltspan.web.visitors import Visitors

A_PAGE: Final = 20
_AFTER: Final = re.compile(r"(-?[0-9]{1,9})\.([0-9]{1,15})\.(q-[0-9a-z]{10})")
ACCOUNT_UNDONE: Final = "account_undone"


class DeskPages:
    """The pages of cases and rulings."""

    def __init__(self, given: Given, visitors: Visitors) -> None:
        self._given, self._visitors = given, visitors

    def routes(self) -> Sequence[Route]:
        """Return the routes."""
        return (
            Route("/desk", self.desk, "see_reviews"),
            Route("/desk/next", self.next_case, "see_reviews"),
            Route("/desk/open", self.open_case, "open_review", ("POST",)),
            Route("/desk/<review_id>", self.desk_case, "see_reviews"),
            Route("/desk/<review_id>/check", self.check_ruling, "settle_review", ("POST",)),
            Route("/desk/<review_id>/change", self.change_ruling, "settle_review", ("POST",)),
            Route("/desk/<review_id>/rulings", self.carry_out, "settle_review", ("POST",)),
            Route("/desk/<review_id>/questions", self.ask_contributor, "ask_for_more", ("POST",)),
        )

    def desk(self) -> Response:
        """Show what waits, the case with most at stake first."""
        return self._queue(Filled())

    def _queue(self, form: Filled, status: int = 200) -> Response:
        visitor = self._visitors.person()
        state = "closed" if request.args.get("state") == "closed" else "open"
        at = _AFTER.fullmatch(request.args.get("after", ""))
        after = (int(at[1]), int(at[2]), at[3]) if at else None
        with self._given.storage.reading() as uow:
            shown = desk.queue(visitor.actor, uow, self._given.clock, state, after, A_PAGE)
        return self._visitors.page(
            "desk.html", status, queue=shown, state=state, later=after is not None, form=form, once=str(uuid.uuid4()),
            desk_words=desk_words,
        )  # fmt: skip

    def next_case(self) -> Response:
        """Go on with the case that has most at stake, leaving out the one that was just looked at."""
        visitor = self._visitors.person()
        with self._given.storage.reading() as uow:
            cases = desk.queue(visitor.actor, uow, self._given.clock, "open", None, 2).cases
        others = [case["id"] for case in cases if case["id"] != request.args.get("not")]
        return to_page(f"/desk/{others[0]}" if others else "/desk")

    def open_case(self) -> Response:
        """Open the case of a subject that has none open."""
        fields = self._visitors.form()
        visitor = self._visitors.person()
        typed = {name: fields.get(name, "").strip() for name in ("record", "subject", "why")}
        kind = kind_of(typed["record"])
        data = {kind: typed["record"], "subject": typed["subject"], "why": typed["why"]}
        key = once_key(visitor.actor.must("open_review"), request.path, once_field(fields), repr(data).encode())
        try:
            with self._visitors.writing(visitor.actor) as uow:
                receipt = review.open_review(visitor.actor, uow, self._given.clock, data, key)
        except InvalidInput as wrong:
            form = Filled(fields)
            names = {f"/{kind}": "record", "/subject": "subject", "/why": "why"}
            form.tell(wrong, names.get)
            return self._queue(form, 422)
        return to_page(f"/desk/{receipt.body['id']}")

    def desk_case(self, review_id: str) -> Response:
        """Show one case with everything in view."""
        return self._case(review_id, Filled())

    def _case(self, review_id: str, form: Filled, status: int = 200, changed: Sequence[Any] = ()) -> Response:
        visitor = self._visitors.person()
        with self._given.storage.reading() as uow:
            whole = desk.whole_case(visitor.actor, uow, self._given.clock, review_id)
        if whole.case["subject"] == RECORD:
            return to_page(f"/desk/{review_id}/record")
        said = whole.explained
        return self._visitors.page(
            "desk_case.html", status,
            whole=whole, case=whole.case, form=form, blank=Filled(), changed=changed, rulings=rulings.RULINGS,
            reasons={code: text for code, text in REFUSAL_REASONS.items() if code != ACCOUNT_UNDONE},
            picture=None if said is None else Markup(number_line(said)),  # noqa: S704 - escaped by the drawing
            numbers={} if said is None else desk_words.claim_numbers([w.claim for w in heaviest(said.weights).shown]),
            weights={} if said is None else {w.claim: w for w in said.weights},
            carried_out=request.args.get("done"), once=str(uuid.uuid4()), desk_words=desk_words,
        )  # fmt: skip

    def check_ruling(self, review_id: str) -> Response:
        """Show what a ruling would do, before it is carried out."""
        fields = self._visitors.form()
        visitor = self._visitors.person()
        visitor.actor.must("settle_review")
        self._given.count()
        try:
            with self._given.storage.reading() as uow:
                case = case_named(uow, review_id)
                check_match(fields.get("match"), case_tag(case), lambda read: since(uow, case, read))
                data = self._data(uow, review_id, fields)
                shown = review.preview(visitor.actor, uow, self._given.clock, review_id, data)
                whole = desk.whole_case(visitor.actor, uow, self._given.clock, review_id)
        except (InvalidInput, NotAllowed, Stale, Clash) as wrong:
            return self._again(review_id, fields, wrong)
        return self._visitors.page(
            "desk_preview.html",
            whole=whole, case=whole.case, preview=shown, data=data, typed=rulings.carried(fields),
            effects=desk_words.for_shops(shown["before"], shown["after"]), once=str(uuid.uuid4()),
            rulings=rulings.RULINGS, desk_words=desk_words,
        )  # fmt: skip

    def change_ruling(self, review_id: str) -> Response:
        """Show a filled-in ruling again, to be changed."""
        return self._case(review_id, Filled(self._visitors.form()))

    def carry_out(self, review_id: str) -> Response:
        """Carry a ruling out, unless something has happened since the case was read."""
        fields = self._visitors.form()
        visitor = self._visitors.person()
        try:
            with self._visitors.writing(visitor.actor) as uow:
                data = self._data(uow, review_id, fields)
                key = once_key(visitor.actor.must("settle_review"), request.path, once_field(fields),
                               repr(rulings.carried(fields)).encode())  # fmt: skip
                review.decide(visitor.actor, uow, self._given.clock, review_id, data, fields.get("match"), key)
        except (InvalidInput, NotAllowed, Stale, Clash) as wrong:
            return self._again(review_id, fields, wrong)
        return to_page(f"/desk/{review_id}?done={data['ruling']}")

    def ask_contributor(self, review_id: str) -> Response:
        """Ask the contributor of a claim for more."""
        fields = self._visitors.form()
        visitor = self._visitors.person()
        asked = (fields.get("claim", ""), fields.get("question", "").strip())
        key = once_key(visitor.actor.must("ask_for_more"), request.path, once_field(fields), repr(asked).encode())
        try:
            with self._visitors.writing(visitor.actor) as uow:
                if not asked[0]:
                    raise InvalidInput.one("/claim", "field_missing", "choose whom you ask", accepted="one claim")
                ask_for_more(visitor.actor, uow, self._given.clock, asked[0], asked[1], key)
        except (InvalidInput, NotAllowed, Clash) as wrong:
            return self._again(review_id, {**fields, "ruling": "ask"}, wrong)
        return to_page(f"/desk/{review_id}?done=ask")

    def _data(self, uow: UnitOfWork, review_id: str, fields: Mapping[str, str]) -> dict[str, Any]:
        case = case_named(uow, review_id)
        record = stored_of(uow, case.frame).about

        def allowing(value: Mapping[str, Any]) -> list[str]:
            said = value_of_subject(record, case.subject, value, "/value")
            return desk.allowing(uow, record.id, case.subject, said)

        return rulings.ruling_data(fields, record, case.subject, allowing)

    def _again(self, review_id: str, fields: Mapping[str, str], wrong: Exception) -> Response:
        """Show the case with what was typed and what stands in the way of it."""
        form = Filled(fields)
        if isinstance(wrong, InvalidInput):
            names = {"/claim": "claim", "/question": "question"}
            started = fields.get("ruling", "")
            form.tell(
                wrong,
                lambda p: f"{started}-{name}" if (name := names.get(p) or rulings.field_of(p)) is not None else None,
            )
            return self._case(review_id, form, 422)
        form.whole.append(f"{str(wrong)[:1].upper()}{str(wrong)[1:].rstrip('.')}.")
        if isinstance(wrong, Stale):
            return self._case(review_id, form, 412, wrong.changed)
        return self._case(review_id, form, 403 if isinstance(wrong, NotAllowed) else 409)


def to_page(place: str) -> Response:
    """Return a redirect to a page of ours that shows what became of a form."""
    response = redirect(place, 303)
    assert isinstance(response, Response)
    response.headers["Cache-Control"] = "no-store"
    return response
