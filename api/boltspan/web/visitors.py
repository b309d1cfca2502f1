"""Who looks at a page: the cookie of those who signed in, and the guard of every form that changes something.

A form is taken only when the browser says that our own page sent it (Sec-Fetch-Site, or Origin where that is missing)
and when it carries a token that belongs to a cookie which came with it. The cookies are HttpOnly and SameSite, and
Secure wherever the page came by https.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import urlsplit

from flask import Response, g, make_response, render_template, request

from boltspan.domain import jsontext
from boltspan.domain.errors import NotAllowed, NotAuthenticated
from boltspan.services import sessions
from boltspan.services.accounts import note_active
from boltspan.services.permissions import ANYBODY, Actor
from boltspan.services.protocols import Account, UnitOfWork
from boltspan.services.publishing import is_demo
from boltspan.services.signing import COOKIE_KEY_SETTING, signing_key
from boltspan.web.given import Given

SESSION: Final = "boltspan_session"
FORM: Final = "boltspan_form"
_SECURE: Final = "__Host-"
"""Browsers take a cookie of such a name only by https, for the whole host and no other (RFC 6265bis, 4.1.3.2)."""
_DAY_S: Final = 24 * 3600


@dataclass(frozen=True, slots=True)
class Visitor:
    """Who looks: nobody in particular (account None), or a person with what their session may do.

    ``secret`` is that of the session's cookie, ``holder`` that of the cookie which forms are tied to.
    """

    account: Account | None
    actor: Actor
    secret: str | None
    holder: str


class Visitors:
    """The visitors of one application."""

    def __init__(self, given: Given) -> None:
        self._given = given
        self._kept: bytes | None = None

    @property
    def key(self) -> bytes:
        """What cookies and forms are signed with; read once."""
        if self._kept is None:
            self._kept = signing_key(self._given.storage, COOKIE_KEY_SETTING)
        return self._kept

    def here(self) -> Visitor:
        """Return who sent this request."""
        known: Visitor | None = g.get("visitor")
        if known is None:
            secret = sessions.secret_in(self.key, request.cookies.get(_name(SESSION)))
            found = None
            if secret is not None:
                with self._given.storage.reading() as uow:
                    found = sessions.signed_in(uow, self._given.clock, secret)
            if found is not None and secret is not None:
                known = Visitor(*found, secret, secret)
            else:
                holder = sessions.secret_in(self.key, request.cookies.get(_name(FORM))) or sessions.new_secret()
                known = Visitor(None, ANYBODY, None, holder)
            g.visitor = known
        return known

    def person(self) -> Visitor:
        """Return who sent this request. Raises NotAuthenticated for nobody in particular."""
        visitor = self.here()
        if visitor.account is None:
            raise NotAuthenticated("sign in to see this page")
        return visitor

    def form(self, most_bytes: int | None = None) -> Mapping[str, str]:
        """Return the fields of a form that our own page sent. Raises NotAllowed for any other, InvalidInput for NUL."""
        _check_origin()
        self._given.read_body(most_bytes)
        fields = request.form.to_dict()
        for text in fields.values():
            jsontext.check_text(text)
        held = [sessions.secret_in(self.key, request.cookies.get(_name(name))) for name in (SESSION, FORM)]
        sessions.check_form(self.key, fields.get("form", ""), held)
        return fields

    @contextmanager
    def writing(self, actor: Actor, *, counted: bool = True) -> Iterator[UnitOfWork]:
        """Open a unit of work that writes for ``actor``, note the day in it, and show its changes here after it.

        It counts as a write of the person, unless it is not to be ``counted`` since it was in another way.
        """
        if counted and actor.person is not None:
            self._given.count_write(actor.person)
        with self._given.storage.writing() as uow:
            if actor.person is not None:
                note_active(uow, self._given.clock, actor.person)
            yield uow
        self._given.written()

    def page(self, template: str, status: int = 200, **shown: Any) -> Response:
        """Return a page for this visitor alone: nobody keeps it, and its forms carry this visitor's token."""
        visitor = self.here()
        with self._given.storage.reading() as uow:
            shown["demo"] = is_demo(uow)
        token = sessions.form_token(self.key, visitor.holder)
        response = make_response(render_template(template, visitor=visitor, form_token=token, **shown), status)
        response.headers["Cache-Control"] = "no-store"
        if visitor.account is None:
            self._set(response, FORM, visitor.holder, _DAY_S)
        return response

    def sign_in(self, response: Response, secret: str) -> Response:
        """Give a response the cookie of a session."""
        self._set(response, SESSION, secret, sessions.DAYS * _DAY_S)
        return response

    def sign_out(self, response: Response) -> Response:
        """Take all cookies back: a form that was shown before is good for nothing after it."""
        for name in (SESSION, FORM):
            response.delete_cookie(_name(name), path="/", secure=request.is_secure, httponly=True, samesite="Lax")
        return response

    def _set(self, response: Response, name: str, secret: str, seconds: int) -> None:
        response.set_cookie(_name(name), sessions.signed(self.key, secret), max_age=seconds, path="/",
                            secure=request.is_secure, httponly=True, samesite="Lax")  # fmt: skip


def _name(name: str) -> str:
    return f"{_SECURE}{name}" if request.is_secure else name


def _check_origin() -> None:
    sent_from = request.headers.get("Sec-Fetch-Site")
    origin = request.headers.get("Origin")
    if sent_from is not None:
        ours = sent_from == "same-origin"
    else:
        ours = origin is None or urlsplit(origin).netloc == request.host
    if not ours:
        raise NotAllowed("this form was not sent from our own page")
