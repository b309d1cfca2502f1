"""Somebody with a browser that keeps cookies and fills in forms, without a browser."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from boltspan.http.app import Boltspan


@dataclass
class Form:
    """A form of a page: where it goes, how, and what it holds before anybody types."""

    action: str
    method: str
    fields: dict[str, str] = field(default_factory=dict)
    names: set[str] = field(default_factory=set)


class Reader(HTMLParser):
    """Reads the forms of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.forms: list[Form] = []
        self._select = self._area = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Take up a form or what stands in it."""
        given = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.forms.append(Form(given["action"], given["method"]))
        elif tag == "option":
            chosen = "selected" in given or self._select not in self.forms[-1].fields
            if self._select and chosen:
                self.forms[-1].fields[self._select] = given.get("value", "\0")
        elif "name" in given and tag in ("input", "select", "textarea"):
            form, name = self.forms[-1], given["name"]
            form.names.add(name)
            self._select = name if tag == "select" else ""
            self._area = name if tag == "textarea" else ""
            if tag == "input" and (given.get("type") not in ("radio", "checkbox") or "checked" in given):
                form.fields[name] = given.get("value", "")

    def handle_data(self, data: str) -> None:
        """Take up the text of an option without a value, or of a text area."""
        if self._select and self.forms[-1].fields.get(self._select) == "\0":
            self.forms[-1].fields[self._select] = data
        if self._area:
            self.forms[-1].fields[self._area] = data

    def handle_endtag(self, tag: str) -> None:
        """Leave a text area or a list."""
        self._area = "" if tag == "textarea" else self._area
        self._select = "" if tag == "select" else self._select


def forms_of(page: str) -> list[Form]:
    """Return the forms of a page in order."""
    reader = Reader()
    reader.feed(page)
    return reader.forms


class Visit:
    """A browser at one application. ``shown`` is the last answer."""

    def __init__(self, app: Boltspan, base: str = "http://localhost") -> None:
        self.client: FlaskClient = app.test_client()
        self.base = base
        self.shown: TestResponse

    def open(self, path: str) -> TestResponse:
        """Open a page, following where it leads."""
        self.shown = self.client.get(path, base_url=self.base, follow_redirects=True)
        return self.shown

    def form(self, action: str) -> Form:
        """Return the form of the page at hand that goes to ``action``."""
        return next(f for f in forms_of(self.shown.text) if f.action == action)

    def send(
        self, action: str, typed: Mapping[str, Any] | None = None, *, to: str | None = None, follow: bool = True,
        headers: Mapping[str, str] | None = None, without: str | None = None,
    ) -> TestResponse:  # fmt: skip
        """Fill in and send the form that goes to ``action`` (or by another button, ``to``)."""
        form = self.form(action)
        unknown = set(typed or {}) - form.names
        assert not unknown, f"the form has no {unknown}"
        fields = {name: value for name, value in (form.fields | dict(typed or {})).items() if name != without}
        sent = {"Origin": self.base, "Sec-Fetch-Site": "same-origin", **(headers or {})}
        options: dict[str, Any] = {"base_url": self.base, "headers": sent, "follow_redirects": follow}
        if form.method == "get":
            self.shown = self.client.get(to or action, query_string=fields, **options)
        else:
            self.shown = self.client.post(to or action, data=fields, **options)
        return self.shown
