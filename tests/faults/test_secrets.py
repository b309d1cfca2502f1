"""Fault 32: secrets in the database, in logs, in errors."""

from __future__ import annotations

import hashlib
import json
import pathlib
from typing import Any

import pytest
from sqlalchemy import text
from werkzeug.test import TestResponse

from boltspan.http.app import create_app
from boltspan.http.settings import HttpSettings
from boltspan.services import submit
from boltspan.services.clock import SystemClock
from boltspan.storage import SqlStorage
from tests.faults.conftest import Running
from tests.faults.service import Reply, eventually
from tests.faults.world import FRAMES, Person, claim


def secret_of(token: str) -> str:
    """Return the part of a token that nobody may see."""
    return token.split("_", 2)[2].rsplit("_", 1)[0]


def stored(storage: SqlStorage) -> str:
    """Return every value of every table as text."""
    with storage.engine.connect() as connection:
        if connection.dialect.name == "sqlite":
            names = "SELECT name FROM sqlite_master WHERE type = 'table'"
        else:
            names = "SELECT tablename FROM pg_tables WHERE schemaname = 'public'"
        tables = list(connection.execute(text(names)).scalars())
        assert "tokens" in tables
        return "\n".join(
            repr(tuple(bytes(v) if isinstance(v, memoryview) else v for v in row))
            for table in tables
            for row in connection.execute(text(f"SELECT * FROM {table}"))
        )


def files_of(storage: SqlStorage) -> bytes:
    """Return the bytes of SQLite's files, free pages and log included; nothing of another database."""
    if storage.engine.dialect.name != "sqlite":
        return b""
    path = pathlib.Path(storage.engine.url.database or "")
    return b"".join(p.read_bytes() for p in path.parent.glob(f"{path.name}*"))


def everywhere(running: Running, token: str) -> list[Reply]:
    """Send a token to every place where people put it, right and wrong."""
    service, header = running.service, {"Authorization": f"Bearer {token}"}
    once = {"Idempotency-Key": f"once-{token[3:11]}"}
    body = claim(f"example.org/{token[3:11]}")
    return [
        service.ask("POST", "/v1/claims", body, header | once),
        service.ask("POST", "/v1/claims", {"frame": "f-nonsense"}, header | {"Idempotency-Key": "other"}),
        service.ask("GET", "/v1/reviews", headers=header),
        service.ask("GET", f"/v1/frames?token={token}"),
        service.ask("GET", f"/v1/frames?access_token={token}", headers=header),
        service.ask("GET", f"/v1/frames/{token}"),
        service.ask("GET", f"/v1/frames/{FRAMES[0]}", headers={"Authorization": token}),
        service.ask("GET", f"/v1/frames/{FRAMES[0]}", headers={"Authorization": f"Basic {token}"}),
        service.ask("GET", f"/v1/frames/{FRAMES[0]}", headers={"X-Request-Id": token}),
        service.ask("GET", f"/v1/frames/{FRAMES[0]}", headers={"If-None-Match": token}),
        service.ask("GET", f"/{token}"),
    ]


def test_a_token_is_nowhere_but_with_its_owner(shared: Running) -> None:
    """Fault 32: tokens, right and wrong, in headers, queries and paths: only a hash is stored, logs are clean."""
    good = shared.people["ann"].token
    wrong = good[:-1] + ("0" if good[-1] != "0" else "1")
    replies = [*everywhere(shared, good), *everywhere(shared, wrong)]
    assert 201 in {r.status for r in replies}
    assert 401 in {r.status for r in replies}
    secret = secret_of(good)
    kept = stored(shared.storage)
    assert hashlib.sha256(good.encode()).hexdigest() in kept
    assert secret not in kept
    assert secret.encode() not in files_of(shared.storage)
    # the last line of each is written, and with it all before
    eventually(lambda: shared.service.log.read_bytes().count(b'"path": "/bs_..."') == 2, 10)
    assert secret.encode() not in shared.service.log.read_bytes()


def test_errors_tell_no_token_and_nothing_of_the_inside(
    storage: SqlStorage, people: dict[str, Person], tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Fault 32: something breaks with a token in its message: the answer has neither, the log only the breakage."""
    lines: list[bytes] = []
    settings = HttpSettings(data=tmp_path, rate_limits=False, log=lines.append)
    browser = create_app(storage, SystemClock(), settings).test_client()
    token = people["ann"].token

    def broken(*_: Any) -> None:
        raise ZeroDivisionError(f"{token} at /srv/boltspan/secret/path, password=hush")

    monkeypatch.setattr(submit, "submit_claim", broken)
    headers = {"Authorization": f"Bearer {token}", "Idempotency-Key": "k"}
    reply: TestResponse = browser.post("/v1/claims", json=claim("example.org/1"), headers=headers)
    assert reply.status_code == 500
    problem = json.loads(reply.data)
    assert set(problem) == {"type", "title", "status", "detail", "code", "request_id"}
    for told in (secret_of(token), "ZeroDivision", "Traceback", "/srv", "hush", ".py"):
        assert told not in reply.text
    log = b"".join(lines).decode()
    assert secret_of(token) not in log
    assert "ZeroDivisionError" in log
    assert problem["request_id"] in log
