"""The pages of one's own claims: what became of each, its photos, taking it back."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from typing import Final

from flask import Response, redirect, request

from boltspan.domain.errors import Clash, InvalidInput, WrongType
from boltspan.services import own_claims, photos
from boltspan.services.asking import answer_question
from boltspan.services.once import once_key
from boltspan.services.photo_answers import LICENCE
from boltspan.services.pictures import MOST_BYTES, cleaned
from boltspan.services.submit import withdraw_claim
from boltspan.web.fields import Filled, in_words
from boltspan.web.given import Given
from boltspan.web.routes import Route
from boltspan.web.signing_up import once_field
from boltspan.web.visitors import Visitors

MOST_WHY: Final = 500


class ClaimPages:
    """The pages of claims."""

    def __init__(self, given: Given, visitors: Visitors) -> None:
        self._given, self._visitors = given, visitors

    def routes(self) -> Sequence[Route]:
        """Return the routes."""
        return (
            Route("/claims", self.claims, "see_own"),
            Route("/claims/<claim_id>", self.claim, "see_own"),
            Route("/claims/<claim_id>/photos", self.add_photo, "add_photo", ("POST",)),
            Route("/claims/<claim_id>/photos/withdrawal", self.withdraw_photo, "add_photo", ("POST",)),
            Route("/claims/<claim_id>/answer", self.answer, "answer_question", ("POST",)),
            Route("/claims/<claim_id>/withdrawal", self.withdraw, "withdraw_claim", ("POST",)),
            Route("/photos/<photo_hash>", self.photo),
        )

    def claims(self) -> Response:
        """Show one's own claims with their state."""
        visitor = self._visitors.person()
        with self._given.storage.reading() as uow:
            shown = own_claims.own_claims(visitor.actor, uow, self._given.clock)
            proposals = own_claims.own_proposals(visitor.actor, uow)
        return self._visitors.page("claims.html", claims=shown, proposals=proposals, most=own_claims.MOST_SHOWN)

    def claim(self, claim_id: str) -> Response:
        """Show one claim: state, reason, how long it has waited, what is published now."""
        self._visitors.person()
        return self._shown(claim_id, Filled())

    def _shown(self, claim_id: str, form: Filled, status: int = 200) -> Response:
        visitor = self._visitors.person()
        with self._given.storage.reading() as uow:
            shown = own_claims.own_claim(visitor.actor, uow, self._given.clock, claim_id)
            readings = own_claims.readings_of(uow, claim_id)
            now = own_claims.published_now(uow, visitor.actor, shown)
        return self._visitors.page(
            "claim.html",
            status,
            shown=shown,
            readings=readings,
            now=now,
            form=form,
            sent="sent" in request.args,
            once=str(uuid.uuid4()),
            own=shown["claim"]["source"]["by"] == visitor.actor.person,
            photo_choices=[
                (photo["hash"], f"Photo {n}") for n, photo in enumerate(shown["claim"].get("photos", ()), start=1)
            ],
        )

    def add_photo(self, claim_id: str) -> Response:
        """Add a photo to a claim."""
        visitor = self._visitors.person()
        fields = self._visitors.form(MOST_BYTES + 64 * 1024)
        if fields.get("licence") != LICENCE:
            return self._shown(claim_id, Filled(fields, {"licence": "A photo is taken only under CC BY 4.0."}), 422)
        self._given.count()
        sent = request.files.get("photo")
        try:
            with self._given.storage.reading() as uow:
                photos.may_add(visitor.actor, uow, claim_id)
            picture = cleaned(b"" if sent is None else sent.read(), "/photo")
            photos.keep(self._given.data, picture)
            key = once_key(visitor.actor.must("add_photo"), request.path, once_field(fields), picture.hash.encode())
            with self._visitors.writing(visitor.actor) as uow:
                photos.add_photo(visitor.actor, uow, self._given.clock, self._given.data, claim_id, picture, key)
        except InvalidInput as wrong:
            return self._shown(claim_id, Filled(fields, {"photo": " ".join(in_words(p) for p in wrong.problems)}), 422)
        except (WrongType, Clash) as wrong:
            return self._shown(claim_id, Filled(fields, {"photo": f"{str(wrong).capitalize()}."}), 422)
        return _back(claim_id)

    def withdraw_photo(self, claim_id: str) -> Response:
        """Take one of a claim's photos back."""
        visitor = self._visitors.person()
        fields = self._visitors.form()
        which, why = fields.get("which", ""), fields.get("photo_why", "").strip()
        wrong = {}
        if not which:
            wrong["which"] = "Choose the photo."
        if not 1 <= len(why) <= MOST_WHY:
            wrong["photo_why"] = f"Say in a few words why you take it back, at most {MOST_WHY} characters."
        if wrong:
            return self._shown(claim_id, Filled(fields, wrong), 422)
        said = f"{which} {why}".encode()
        key = once_key(visitor.actor.must("add_photo"), request.path, once_field(fields), said)
        with self._visitors.writing(visitor.actor) as uow:
            photos.withdraw_photo(visitor.actor, uow, self._given.clock, claim_id, which, why, key)
        with self._visitors.writing(visitor.actor) as uow:
            photos.remove_unused(uow, self._given.data, which)
        return _back(claim_id)

    def answer(self, claim_id: str) -> Response:
        """Answer what a maintainer asked about a claim."""
        visitor = self._visitors.person()
        fields = self._visitors.form()
        said = fields.get("answer", "").strip()
        if not 1 <= len(said) <= MOST_WHY:
            wrong = f"Write an answer of at most {MOST_WHY} characters."
            return self._shown(claim_id, Filled(fields, {"answer": wrong}), 422)
        key = once_key(visitor.actor.must("answer_question"), request.path, once_field(fields), said.encode())
        with self._visitors.writing(visitor.actor) as uow:
            answer_question(visitor.actor, uow, self._given.clock, claim_id, {"answer": said}, key)
        return _back(claim_id)

    def withdraw(self, claim_id: str) -> Response:
        """Take a claim back."""
        visitor = self._visitors.person()
        fields = self._visitors.form()
        why = fields.get("why", "").strip()
        if not 1 <= len(why) <= MOST_WHY:
            wrong = f"Say in a few words why you take it back, at most {MOST_WHY} characters."
            return self._shown(claim_id, Filled(fields, {"why": wrong}), 422)
        key = once_key(visitor.actor.must("withdraw_claim"), request.path, once_field(fields), why.encode())
        with self._visitors.writing(visitor.actor) as uow:
            withdraw_claim(visitor.actor, uow, self._given.clock, claim_id, why, key)
        return _back(claim_id)

    def photo(self, photo_hash: str) -> Response:
        """Show a photo to whom may see it."""
        visitor = self._visitors.here()
        with self._given.storage.reading() as uow:
            found = photos.photo(visitor.actor, uow, self._given.data, photo_hash)
        response = Response(found.path.read_bytes(), content_type="image/webp")
        response.headers["Cache-Control"] = "private, max-age=600" if not found.public else "public, max-age=86400"
        return response


def _back(claim_id: str) -> Response:
    response = redirect(f"/claims/{claim_id}", 303)
    assert isinstance(response, Response)
    response.headers["Cache-Control"] = "no-store"
    return response
