"""The pages of one's own account: signing up, in and out, tokens, data, leaving."""

from __future__ import annotations

import re
import uuid
from collections.abc import Mapping, Sequence
from typing import Final

from flask import Response, redirect, request

from boltspan.domain import jsontext
from boltspan.domain.errors import InvalidInput
from boltspan.domain.terms import TERMS, VERSION
from boltspan.services import own_account
from boltspan.services.once import once_key
from boltspan.services.sessions import begin_session, end_session
from boltspan.web.fields import Filled
from boltspan.web.given import Given
from boltspan.web.routes import Route
from boltspan.web.signing_up import known, once_field
from boltspan.web.visitors import Visitors

AFTERWARDS: Final = re.compile(
    r"/(?:account|desk(?:/[a-z0-9-]+)?|claims(?:/[a-z0-9-]+)?|submit(?:\?[A-Za-z0-9=&_-]*)?)"
)
"""Where signing in may lead to: our own pages and nothing else."""


class AccountPages:
    """The pages of accounts."""

    def __init__(self, given: Given, visitors: Visitors) -> None:
        self._given, self._visitors = given, visitors

    def routes(self) -> Sequence[Route]:
        """Return the routes."""
        return (
            Route("/account", self.account, "see_own"),
            Route("/sign-up", self.sign_up_form),
            Route("/sign-up", self.sign_up, methods=("POST",)),
            Route("/sign-in", self.sign_in_form),
            Route("/sign-in", self.sign_in, methods=("POST",)),
            Route("/sign-out", self.sign_out, methods=("POST",)),
            Route("/account/tokens", self.new_token, "manage_own_tokens", ("POST",)),
            Route("/account/tokens/revoked", self.revoke_token, "manage_own_tokens", ("POST",)),
            Route("/account/data", self.own_data, "see_own"),
            Route("/account/leave", self.leave_form, "leave"),
            Route("/account/leave", self.leave, "leave", ("POST",)),
        )

    def account(self) -> Response:
        """Show one's own account and tokens."""
        visitor = self._visitors.person()
        with self._given.storage.reading() as uow:
            shown = own_account.own_account(visitor.actor, uow, self._given.clock)
        return self._visitors.page("account.html", account=shown, once=str(uuid.uuid4()), form=Filled())

    def sign_up_form(self) -> Response:
        """Show the form to sign up."""
        return self._joining("sign_up.html", Filled(), request.args.get("next", ""))

    def sign_up(self) -> Response:
        """Sign up, sign in at once, and show the token once."""
        fields = self._visitors.form()
        visitor = self._visitors.here()
        if visitor.account is not None:
            return _to("/account")
        self._given.count_sign_up()
        try:
            with self._visitors.writing(visitor.actor) as uow:
                person = known(self._given, uow, visitor, fields)
        except InvalidInput as wrong:
            return self._joining("sign_up.html", _told(fields, wrong), fields.get("next", ""), 422)
        assert person.secret is not None, "whoever was not signed in is now"
        if person.token is None:
            return self._visitors.sign_in(_to(_next(fields.get("next", ""))), person.secret)
        page = self._visitors.page(
            "token.html", token=person.token.text, new=True, onward=_next(fields.get("next", ""))
        )
        return self._visitors.sign_in(page, person.secret)

    def sign_in_form(self) -> Response:
        """Show the form to sign in with a token."""
        if self._visitors.here().account is not None:
            return _to("/account")
        return self._joining("sign_in.html", Filled(), request.args.get("next", ""))

    def sign_in(self) -> Response:
        """Sign in with a token."""
        fields = self._visitors.form()
        self._given.count()
        try:
            with self._visitors.writing(self._visitors.here().actor) as uow:
                person = known(self._given, uow, self._visitors.here(), {"token": fields.get("token", "") or "-"})
        except InvalidInput as wrong:
            return self._joining("sign_in.html", _told(fields, wrong), fields.get("next", ""), 422)
        there = _to(_next(fields.get("next", "")))
        return there if person.secret is None else self._visitors.sign_in(there, person.secret)

    def sign_out(self) -> Response:
        """End the session of this browser."""
        self._visitors.form()
        visitor = self._visitors.here()
        if visitor.secret is not None:
            with self._given.storage.writing() as uow:
                end_session(uow, visitor.secret)
        return self._visitors.sign_out(_to("/"))

    def new_token(self) -> Response:
        """Make another token and show it once."""
        fields = self._visitors.form()
        visitor = self._visitors.person()
        key = once_key(visitor.actor.must("manage_own_tokens"), "/account/tokens", once_field(fields), b"")
        with self._visitors.writing(visitor.actor) as uow:
            _, token = own_account.issue_own_token(visitor.actor, uow, self._given.clock, {}, key)
        if token is None:
            return _to("/account")
        return self._visitors.page("token.html", token=token.text, new=False, onward="/account")

    def revoke_token(self) -> Response:
        """Revoke a token, which signs out everywhere, and sign this browser in anew."""
        fields = self._visitors.form()
        visitor = self._visitors.person()
        with self._visitors.writing(visitor.actor) as uow:
            own_account.revoke_own_token(visitor.actor, uow, self._given.clock, fields.get("token_id", ""))
            secret = begin_session(uow, self._given.clock, visitor.actor)
        return self._visitors.sign_in(_to("/account"), secret)

    def own_data(self) -> Response:
        """Give all that is kept of the person as a file."""
        visitor = self._visitors.person()
        with self._given.storage.reading() as uow:
            data = own_account.own_data(visitor.actor, uow, self._given.clock)
        response = Response(jsontext.dumps(data, indent=2) + "\n", content_type="application/json")
        response.headers["Content-Disposition"] = 'attachment; filename="boltspan-own-data.json"'
        return response

    def leave_form(self) -> Response:
        """Ask whether somebody really wants to leave."""
        self._visitors.person()
        return self._visitors.page("leave.html", form=Filled())

    def leave(self) -> Response:
        """Close the account."""
        fields = self._visitors.form()
        visitor = self._visitors.person()
        if fields.get("sure") != "yes":
            form = Filled(fields, {"sure": "Leaving cannot be undone. Tick the box when you are sure."})
            return self._visitors.page("leave.html", 422, form=form)
        with self._visitors.writing(visitor.actor) as uow:
            own_account.leave(visitor.actor, uow, self._given.clock, visitor.actor.must("leave"))
        return self._visitors.sign_out(self._visitors.page("left.html"))

    def _joining(self, template: str, form: Filled, onward: str, status: int = 200) -> Response:
        return self._visitors.page(
            template,
            status,
            form=form,
            once=form.text("once") or str(uuid.uuid4()),
            terms=TERMS,
            terms_version=VERSION,
            onward=onward,
        )


def _told(fields: Mapping[str, str], wrong: InvalidInput) -> Filled:
    form = Filled(fields)
    form.tell(wrong, lambda pointer: pointer[1:] if pointer[1:] in ("handle", "terms", "token") else None)
    return form


def _next(wanted: str) -> str:
    return wanted if AFTERWARDS.fullmatch(wanted) else "/account"


def _to(place: str) -> Response:
    response = redirect(place, 303)
    response.headers["Cache-Control"] = "no-store"
    assert isinstance(response, Response)
    return response
