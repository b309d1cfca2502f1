"""Every error is a problem detail whose type is a page, those of the framework and of the database too."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest

from boltspan.domain import errors as domain_errors
from boltspan.domain.errors import BoltspanError, StorageFull, Unavailable
from boltspan.http import app as app_module
from boltspan.http.errors import BY_CODE, KINDS, problem_response
from boltspan.services.protocols import Storage, UnitOfWork
from tests.http.world import F1, Site, page_claim


class Away:
    """A storage that cannot be reached, or not be written."""

    def __init__(self, storage: Storage, error: BoltspanError, *, reads: bool) -> None:
        self._storage, self._error, self._reads = storage, error, reads

    @contextmanager
    def reading(self) -> Iterator[UnitOfWork]:
        """Read, when that works."""
        if not self._reads:
            raise self._error
        with self._storage.reading() as uow:
            yield uow

    @contextmanager
    def writing(self) -> Iterator[UnitOfWork]:
        """Fail."""
        raise self._error
        yield  # type: ignore[unreachable]

    def ready(self) -> list[str]:
        """Say so."""
        return [str(self._error)]


def away(site: Site, error: BoltspanError, *, reads: bool) -> Any:
    """Return the application over a storage that fails."""
    from boltspan.http.settings import HttpSettings
    from boltspan.web import pages

    storage = Away(site.storage, error, reads=reads)
    return app_module.create_app(storage, site.clock, HttpSettings(log=lambda _: None), pages)


def test_errors_of_the_framework_are_problems_too(site: Site) -> None:
    for method, path, status, code in (
        ("GET", "/nothing", 404, "not_found"),
        ("DELETE", "/v1/frames", 405, "method_not_allowed"),
        ("PUT", "/", 405, "method_not_allowed"),
        ("TRACE", "/v1/makes", 405, "method_not_allowed"),
    ):
        sent = site.send(method, path)
        assert (sent.status_code, sent.json["status"], sent.json["code"]) == (status, status, code)
        assert sent.content_type == "application/problem+json"
        assert sent.json["request_id"] == sent.headers["X-Request-Id"]
    assert "GET" in site.send("DELETE", "/v1/frames").headers["Allow"]


def test_what_breaks_inside_is_told_without_its_inside(site: Site, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: Any) -> None:
        raise RuntimeError("the secret inside")

    monkeypatch.setattr("boltspan.services.lookup.makes", broken)
    sent = site.get("/v1/makes")
    assert (sent.status_code, sent.json["code"]) == (500, "internal_error")
    assert "secret" not in sent.text
    [failure] = [line for line in site.lines if "failure" in line]
    assert failure["request_id"] == sent.json["request_id"]
    assert "the secret inside" in failure["failure"]


def test_a_database_that_is_away_is_told_with_when_to_come_back(site: Site) -> None:
    app = away(site, Unavailable("the database cannot be reached"), reads=False)
    assert site.get("/livez", app=app).status_code == 200
    for path in ("/readyz", "/v1/makes", f"/v1/frames/{F1}", "/v1/makes/tarnvale/skerry/2021", "/v1/frames"):
        sent = site.get(path, app=app)
        assert (sent.status_code, sent.json["code"]) == (503, "unavailable"), path
        assert int(sent.headers["Retry-After"]) >= 1
    page = site.get("/?q=skerry", app=app)
    assert (page.status_code, page.mimetype) == (503, "text/html")


def test_a_full_disk_stops_writing_and_not_reading(site: Site) -> None:
    app = away(site, StorageFull("no room"), reads=True)
    assert site.get(f"/v1/frames/{F1}", app=app).status_code == 200
    sent = site.post("/v1/claims", page_claim(), who="ann", app=app)
    assert (sent.status_code, sent.json["code"]) == (507, "storage_full")


def test_every_kind_of_problem_has_a_page_and_every_error_a_kind(site: Site) -> None:
    for kind in KINDS:
        page = site.get(kind.type)
        assert (page.status_code, page.mimetype) == (200, "text/html")
        assert kind.title in page.text.replace("&#39;", "'")
        assert f'href="{kind.type}"' in site.get("/problems").text
    assert site.get("/problems/nothing").status_code == 404
    errors = [e for e in vars(domain_errors).values() if isinstance(e, type) and issubclass(e, BoltspanError)]
    assert {e.code for e in errors} - {"error"} <= set(BY_CODE)


def test_an_error_without_a_kind_is_an_internal_one(site: Site) -> None:
    with site.app.test_request_context():
        response = problem_response(BoltspanError("x"), "request-1")
    assert response.status_code == 500


def test_a_route_without_a_permission_stops_the_start(site: Site, monkeypatch: pytest.MonkeyPatch) -> None:
    from flask import Blueprint

    def pages(*_: Any) -> Blueprint:
        blueprint = Blueprint("forgotten", __name__)
        blueprint.add_url_rule("/forgotten", view_func=lambda: "")
        return blueprint

    monkeypatch.setattr("tests.http.world.pages", pages)
    with pytest.raises(RuntimeError, match="/forgotten"):
        site.build()
