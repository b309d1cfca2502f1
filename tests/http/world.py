"""A small invented catalogue behind the HTTP layer, people with tokens, and a short way to send requests."""

from __future__ import annotations

import itertools
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from werkzeug.test import TestResponse

from boltspan.domain.frames import Frame
from boltspan.domain.records import frame_from
from boltspan.http.app import Boltspan, create_app
from boltspan.http.settings import HttpSettings
from boltspan.services.accounts import issue_token
from boltspan.services.protocols import Storage
from boltspan.web import pages
from tests.domain.builders import SIZE, frame, measured, page
from tests.services.conftest import StandingClock, plant

F1, F2, MERGED, DIVIDED, EARLY, LATE, WITHDRAWN, OTHER = (f"f-{n:010d}" for n in range(1, 9))
ROLES = {
    "ann": "contributor",
    "ben": "contributor",
    "mia": "maintainer",
    "max": "maintainer",
    "rob": "retailer",
    "ops": "operator",
}


def qualifier(start: str) -> dict[str, str]:
    """Return a qualifier by serial number."""
    return {"kind": "serial", "from": start, "ask": f"Does the serial number start with {start}?"}


def catalogue() -> list[Frame]:
    """Return one frame of every kind of record."""
    other = {"id": OTHER, "record": "frame", "years": {"from": 2020}, "ends": ["front", "rear"]}
    return [
        frame(1),
        frame(2, start=2024, end=None),
        frame(3, record="merged", into=F1),
        frame(4, start=2016, end=2017, record="divided", into=[EARLY, LATE]),
        frame(5, start=2016, end=2017, qualifier=qualifier("TV16")),
        frame(6, start=2016, end=2017, qualifier=qualifier("TV17")),
        frame(7, start=2012, end=2013, record="withdrawn", withdrawn_on="2026-01-02", why="there was no such frame"),
        frame_from("quillhope", "brant", other),
    ]


def fill(storage: Storage, clock: StandingClock) -> dict[str, str]:
    """Store catalogue and people; return each person's token."""
    tokens = {}
    with storage.writing() as uow:
        uow.settings.put("demo", "true")
        frames = catalogue()
        claims = (page(1, SIZE), page(2, SIZE), measured(3, bolt=("sleeve_bore", "8.06"), width=("tab_gap", "22.3")))
        plant(uow, *frames, claims=claims)
        for handle, role in ROLES.items():
            tokens[handle] = issue_token(uow, clock, role=role, handle=handle).text
    return tokens


@dataclass
class Site:
    """The application over a filled storage."""

    storage: Storage
    clock: StandingClock
    tokens: dict[str, str]
    data: Path
    lines: list[dict[str, Any]] = field(default_factory=list)
    numbers: Any = field(default_factory=lambda: itertools.count(1))
    app: Boltspan = field(init=False)

    def __post_init__(self) -> None:
        self.app = self.build(rate_limits=False)

    def build(self, **settings: Any) -> Boltspan:
        """Return another application over the same storage, with these settings."""
        log: Callable[[bytes], object] = lambda line: self.lines.append(json.loads(line))  # noqa: E731
        return create_app(self.storage, self.clock, HttpSettings(data=self.data, log=log, **settings), pages)

    def send(
        self,
        method: str,
        path: str,
        body: Any = None,
        *,
        who: str | None = None,
        key: str | None = "",
        match: str | None = None,
        app: Boltspan | None = None,
        headers: Mapping[str, str] | None = None,
        raw: bytes | None = None,
    ) -> TestResponse:
        """Send a request; POSTs get a fresh Idempotency-Key unless ``key`` says otherwise."""
        sent = dict(headers or {})
        if who is not None:
            sent["Authorization"] = f"Bearer {self.tokens.get(who, who)}"
        if method == "POST" and key is not None:
            sent["Idempotency-Key"] = key or f"key-{next(self.numbers)}"
        if match is not None:
            sent["If-Match"] = match
        data = raw if raw is not None else None if body is None else json.dumps(body).encode()
        if data is not None:
            sent.setdefault("Content-Type", "application/json")
        return (app or self.app).test_client().open(path, method=method, data=data, headers=sent, buffered=True)

    def get(self, path: str, **options: Any) -> TestResponse:
        """Send a GET."""
        return self.send("GET", path, **options)

    def post(self, path: str, body: Any, **options: Any) -> TestResponse:
        """Send a POST."""
        return self.send("POST", path, body, **options)

    def last(self) -> int:
        """Return the number of the last event."""
        with self.storage.reading() as uow:
            return uow.events.last()

    def claim(self, who: str = "ann", **more: Any) -> TestResponse:
        """Submit a claim from a page."""
        return self.post("/v1/claims", page_claim(**more), who=who)

    def case(self, subject: str = "upper") -> tuple[str, str]:
        """Return the id and the ETag of the case on a subject of the first frame."""
        found = self.get("/v1/reviews?limit=200", who="mia").json
        assert found is not None
        case = next(c for c in found["reviews"] if c["frame"] == F1 and c["subject"] == subject)
        return case["id"], self.get(f"/v1/reviews/{case['id']}", who="mia").headers["ETag"]

    def double(self) -> str:
        """Add a frame that is a double of the first one under another model's name; return its id."""
        proposal = {
            "make": {"name": "Tarnvale"},
            "model": {"name": "Skerry One"},
            "years": {"from": 2021, "to": 2023},
            "ends": ["upper", "lower"],
        }
        path = self.post("/v1/frames", proposal, who="ann").headers["Location"]
        tag = self.get(path, who="mia").headers["ETag"]
        accepted = self.post(f"{path}/edits", {"edit": "accept", "why": "x"}, who="mia", match=tag)
        assert accepted.status_code == 201, accepted.text
        return path.rpartition("/")[2]


def page_claim(*, width: float = 22.2, document: str = "example.org/a", **more: Any) -> dict[str, Any]:
    """Return the body of a claim read from a page."""
    return {
        "frame": F1,
        "subject": "upper",
        "value": {"mount": "hardware", "bolt_mm": 8, "width_mm": width},
        "source": {"kind": "spec_page", "document": document, "seen_on": "2026-05-01"},
    } | more


def settle(claims: list[str], width: float = 22.2) -> dict[str, Any]:
    """Return the body of a decision that settles the size."""
    return {
        "ruling": "settle",
        "value": {"mount": "hardware", "bolt_mm": 8, "width_mm": width},
        "rests_on": claims,
        "why": "the maker's page",
    }
