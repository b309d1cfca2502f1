"""Submitting by page, in steps that are plain forms: which frame, which end and how known, the size, a look at it.

What was typed is carried from step to step in the address or in the form itself, so nothing is lost when something is
wrong, and nothing is stored before the last step.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final, Protocol

from flask import Response, make_response, redirect, render_template, request

from boltspan.domain.claims import Claim
from boltspan.domain.errors import Clash, Gone, InvalidInput, Moved, NotFound
from boltspan.domain.features import BOLT_FEATURES, EYELET_PARTS, WIDTH_FEATURES
from boltspan.domain.frames import END_PAIRS
from boltspan.domain.read_back import read_back
from boltspan.domain.shock_values import BEARINGS, SHOCK_MOUNTS, SIZES
from boltspan.domain.statement_readings import statement_of
from boltspan.domain.subjects import kind_of, named, shock_value_from
from boltspan.domain.terms import TERMS, VERSION
from boltspan.domain.values import MOUNTS, SHOCK_SIZE, value_from, value_json
from boltspan.services import shocks
from boltspan.services.lookup import frame
from boltspan.services.name_cache import NameCache
from boltspan.services.once import once_key
from boltspan.services.propose_shock import propose_shock
from boltspan.services.protocols import ShockQuery, UnitOfWork
from boltspan.services.submit import mistake_of, preview_claim, propose_frame, submit_claim
from boltspan.services.superseding import earlier, given_up
from boltspan.web import as_typed, proposal, shock_submission, submission
from boltspan.web.fields import Filled
from boltspan.web.given import Given
from boltspan.web.routes import Route
from boltspan.web.signing_up import FIELDS as JOINING
from boltspan.web.signing_up import Known, known, once_field
from boltspan.web.visitors import Visitors


class Finds(Protocol):
    """What a search comes to."""

    frames: list[dict[str, Any]]
    near: list[str]


Search = Callable[[UnitOfWork, NameCache, str], Finds]
ANSWERS: Final = {"frame": frame, "shock": shocks.shock}
PROPOSED: Final = {"frame": (proposal.frame_data, propose_frame), "shock": (proposal.shock_data, propose_shock)}
"""How a form's texts become a proposal of each kind, and who stores it."""
MOST_SHOCKS: Final = 10


class SubmitPages:
    """The pages of submitting."""

    def __init__(self, given: Given, visitors: Visitors, search: Search) -> None:
        self._given, self._visitors = given, visitors
        self._search = search

    def routes(self) -> Sequence[Route]:
        """Return the routes."""
        return (
            Route("/submit", self.submit, "submit_claim"),
            Route("/submit", self.send, "submit_claim", ("POST",)),
            Route("/submit/check", self.check, "submit_claim", ("POST",)),
            Route("/submit/as-typed", self.as_typed, "submit_claim", ("POST",)),
            Route("/submit/change", self.change, "submit_claim", ("POST",)),
            Route("/submit/frame", self.frame_form, "propose_frame"),
            Route("/submit/frame", self.propose_frame, "propose_frame", ("POST",)),
            Route("/submit/shock", self.shock_form, "propose_shock"),
            Route("/submit/shock", self.propose_shock, "propose_shock", ("POST",)),
        )

    def submit(self) -> Response:
        """Show the step that what is known so far leads to."""
        asked = {name: request.args.get(name, "") for name in ("q", *submission.FIELDS)}
        if not asked["frame"] and not asked["shock"]:
            return self._find(asked["q"].strip()[:200])
        found = self._record(asked)
        if isinstance(found, Response):
            return found
        whole = SIZES if "shock" in _named(found) else SHOCK_SIZE
        if asked["subject"] not in (*found["ends"], whole) or asked["kind"] not in _kinds(found):
            return self._what(found, asked)
        if asked["subject"] == whole and asked["kind"] == "measured":
            return self._what(found, asked, "A shock’s size is read off the shock or a page; choose another source.")
        return self._details(found, Filled({k: v for k, v in asked.items() if v}))

    def _find(self, text: str) -> Response:
        found, shocks_found = None, []
        if text:
            self._given.count()
            with self._given.storage.reading() as uow:
                found = self._search(uow, self._given.names, text)
                index = self._given.shock_names.index(uow)
                shocks_found = shocks.shocks(uow, ShockQuery(limit=MOST_SHOCKS), index, text).shocks
        return self._visitors.page("submit_find.html", text=text, found=found, shocks=shocks_found)

    def _record(self, asked: Mapping[str, str]) -> dict[str, Any] | Response:
        """Return the answer of the frame or shock that is asked for, or the page that leads on."""
        kind = "shock" if asked.get("shock") else "frame"
        with self._given.storage.reading() as uow:
            try:
                return ANSWERS[kind](uow, self._visitors.here().actor, asked.get(kind, ""))
            except Moved as moved:
                return _to(f"/submit?{kind}={moved.into}")
            except (Gone, NotFound) as gone:
                return self._visitors.page("submit_find.html", 404, text="", found=None, shocks=[], gone=str(gone))

    def _what(self, found: Mapping[str, Any], asked: Mapping[str, str], wrong: str | None = None) -> Response:
        missing = wrong or ("Choose an end and how you know." if asked["subject"] or asked["kind"] else None)
        return self._visitors.page("submit_what.html", frame=found, asked=asked, kinds=_kinds(found), wrong=missing)

    def _details(self, found: Mapping[str, Any], form: Filled, status: int = 200) -> Response:
        page = self._visitors.page(
            "submit_details.html",
            status,
            frame=found,
            form=form,
            kinds=submission.KINDS,
            today=self._given.clock.today(),
            bolt_features=BOLT_FEATURES,
            width_features=WIDTH_FEATURES,
            readings=submission.READINGS,
            mounts=SHOCK_MOUNTS if "shock" in _named(found) else MOUNTS,
            eyelet_parts=EYELET_PARTS,
            bearings=BEARINGS,
            steps=submission.STEPS_MM,
        )
        return self._given.with_script(page)

    def as_typed(self) -> Response:
        """Return a piece of a page: what a form that is still being filled in reads as so far, place by place."""
        fields = self._visitors.form()
        self._given.count_bench()
        typed = submission.closed_up(fields)
        with self._given.storage.reading() as uow:
            said = as_typed.said_of(typed, self._given.clock.today(), lambda texts: self._read(uow, texts))
        response = make_response(render_template("submit_as_typed.html", said=said))
        response.headers["Cache-Control"] = "no-store"
        return response

    def _read(self, uow: UnitOfWork, typed: Mapping[str, str]) -> tuple[Claim, str | None]:
        """Return the claim that a form's texts come to, and the usual mistake it looks like. Raises InvalidInput."""
        data = submission.claim_data(typed)
        claim = preview_claim(self._visitors.here().actor, uow, self._given.clock, data)
        return claim, mistake_of(uow, claim)

    def check(self) -> Response:
        """Show what a filled-in form comes to, before anything is sent."""
        fields = self._visitors.form()
        self._given.count()
        return self._looked_at(fields)

    def _looked_at(self, fields: Mapping[str, str], form: Filled | None = None, status: int = 200) -> Response:
        """Show what a form's claim comes to before it is sent; with what is wrong in it, its own step again."""
        typed = submission.closed_up(fields)
        found = self._record(typed)
        if isinstance(found, Response):
            return found
        try:
            with self._given.storage.reading() as uow:
                claim, mistake = self._read(uow, typed)
                before = [_earlier(old, given_up(uow, claim, ())) for old in earlier(uow, claim)]
        except InvalidInput as wrong:
            again = Filled(typed)
            again.tell(wrong, submission.field_of)
            return self._details(found, again, 422)
        return self._visitors.page(
            "submit_summary.html",
            status,
            frame=found,
            typed=typed,
            form=form or Filled(),
            claim=_told(claim),
            readings=read_back(claim, mistake),
            now=_now(found, claim),
            before=before,
            terms=TERMS,
            terms_version=VERSION,
            once=fields.get("once") or str(uuid.uuid4()),
        )

    def change(self) -> Response:
        """Show a filled-in form again, to be changed."""
        typed = submission.closed_up(self._visitors.form())
        found = self._record(typed)
        return found if isinstance(found, Response) else self._details(found, Filled(typed))

    def send(self) -> Response:
        """Store the claim; sign up or in whoever is not known yet."""
        fields = self._visitors.form()
        visitor = self._visitors.here()
        if visitor.account is None:
            self._given.count_sign_up()
        try:
            with self._visitors.writing(visitor.actor) as uow:
                person = known(self._given, uow, visitor, fields)
                data = submission.claim_data(submission.closed_up(fields))
                if instead := submission.instead_of(fields):
                    data["supersedes"] = instead
                key = once_key(str(person.actor.person), "/submit", once_field(fields), repr(data).encode())
                receipt = submit_claim(person.actor, uow, self._given.clock, data, key)
        except InvalidInput as wrong:
            form = Filled(fields)
            form.tell(wrong, lambda pointer: pointer[1:] if pointer[1:] in JOINING else None)
            return self._looked_at(fields, form if not _of_the_claim(wrong) else None, 422)
        except Clash as clash:
            return self._looked_at(fields, Filled(fields, whole=[f"{str(clash).capitalize()}."]), 409)
        return self._arrived(person, f"/claims/{receipt.body['claim']['id']}?sent=yes")

    def _arrived(self, person: Known, place: str) -> Response:
        if person.token is not None:
            response = self._visitors.page("token.html", token=person.token.text, new=True, onward=place)
        else:
            response = _to(place)
        return response if person.secret is None else self._visitors.sign_in(response, person.secret)

    def frame_form(self) -> Response:
        """Show the form to propose a frame."""
        return self._blank("frame")

    def shock_form(self) -> Response:
        """Show the form to propose a shock."""
        return self._blank("shock")

    def propose_frame(self) -> Response:
        """Store a proposed frame and go on with it."""
        return self._propose("frame")

    def propose_shock(self) -> Response:
        """Store a proposed shock and go on with it."""
        return self._propose("shock")

    def _blank(self, kind: str) -> Response:
        return self._proposing(kind, Filled({"model": request.args.get("q", "")[:80]}))

    def _proposing(self, kind: str, form: Filled, status: int = 200) -> Response:
        return self._visitors.page(
            "propose.html",
            status,
            kind=kind,
            form=form,
            pairs=END_PAIRS,
            terms=TERMS,
            terms_version=VERSION,
            once=form.text("once") or str(uuid.uuid4()),
        )

    def _propose(self, kind: str) -> Response:
        data_of, propose = PROPOSED[kind]
        fields = self._visitors.form()
        visitor = self._visitors.here()
        if visitor.account is None:
            self._given.count_sign_up()
        try:
            with self._visitors.writing(visitor.actor) as uow:
                data = data_of(fields)
                person = known(self._given, uow, visitor, fields)
                key = once_key(str(person.actor.person), f"/submit/{kind}", once_field(fields), repr(data).encode())
                receipt = propose(person.actor, uow, self._given.clock, data, key)
        except InvalidInput as wrong:
            form = Filled(fields)
            form.tell(wrong, proposal.field_of)
            return self._proposing(kind, form, 422)
        return self._arrived(person, f"/submit?{kind}={receipt.body[kind]['id']}")


def _of_the_claim(wrong: InvalidInput) -> bool:
    return any(submission.field_of(p.pointer) is not None for p in wrong.problems)


def _told(claim: Claim) -> dict[str, Any]:
    """Return what the page shows of a claim: its value as stated or read, its years, its source."""
    said = statement_of(claim)
    found: dict[str, Any] = {"source": claim.source, "subject": claim.subject, "stated": claim.value is not None}
    if said.value is not None:
        found["value"] = value_json(said.value, labelled=True)
    if claim.years is not None:
        found["years"] = {"from": claim.years.start} | ({"to": claim.years.end} if claim.years.end else {})
    return found


def _earlier(old: Claim, given_up: Sequence[Claim]) -> dict[str, Any]:
    """Return what the page shows of an earlier claim of the same person; ``goes`` says that the new one replaces it."""
    said = statement_of(old)
    found: dict[str, Any] = {"id": old.id, "source": old.source, "goes": any(c.id == old.id for c in given_up)}
    return found | ({"label": said.value.label} if said.value is not None else {})


def _now(found: Mapping[str, Any], claim: Claim) -> dict[str, Any]:
    """Return what is published now about the claim's subject, and whether the claim agrees with it, if that shows."""
    subject = claim.subject
    answer = found[subject] if subject in (SHOCK_SIZE, SIZES) else found["ends"][subject]
    if "value" not in answer:
        return {"answer": answer}
    value = {k: v for k, v in answer["value"].items() if k != "label"}
    read = value_from(subject, value) if kind_of(claim.frame) == "frame" else shock_value_from(subject, value)
    return {"answer": answer, "agrees": statement_of(claim).allows(read)}


def _named(found: Mapping[str, Any]) -> dict[str, str]:
    """Return the id of a record's answer under the name of its kind."""
    return named(found["id"])


def _kinds(found: Mapping[str, Any]) -> dict[str, str]:
    """Return how somebody can know, for a frame or a shock."""
    if "shock" not in _named(found):
        return submission.KINDS
    return {kind: submission.KINDS[kind] for kind in shock_submission.KINDS}


def _to(place: str) -> Response:
    response = redirect(place, 303)
    assert isinstance(response, Response)
    response.headers["Cache-Control"] = "no-store"
    return response
