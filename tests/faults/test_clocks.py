"""Faults 12 and 13: the machine's clock is wrong by a year, or is set back while the service runs."""

from __future__ import annotations

import datetime
import itertools
import json
import pathlib
import types
from typing import Any

import pytest

from boltspan.http import call as http_call
from boltspan.http.app import create_app
from boltspan.http.settings import HttpSettings
from boltspan.services.accounts import revoke_token
from boltspan.storage import SqlStorage
from tests.faults.soundness import unsound
from tests.faults.world import FRAMES, Person, claim, settle_in
from tests.services.conftest import StandingClock

QUOTA = 5
NOW, NEXT_YEAR, LAST_YEAR = (f"{year}-06-01T08:00:00.000000Z" for year in (2026, 2027, 2025))
HOUR_BACK, TWO_DAYS_ON = "2026-06-01T07:00:00.000000Z", "2026-06-03T08:00:00.000000Z"


class Workshop:
    """Two workers' applications under a clock that can be set, and a short way to send to them."""

    def __init__(self, storage: SqlStorage, folder: pathlib.Path) -> None:
        self.clock = StandingClock()
        self.storage = SqlStorage(storage.engine, self.clock)
        self.people: dict[str, Person] = settle_in(self.storage, self.clock)
        settings = HttpSettings(data=folder, write_quota=QUOTA, log=lambda _: None)
        self.workers = [create_app(self.storage, self.clock, settings).test_client() for _ in range(2)]
        self._numbers = itertools.count(1)

    def seconds(self) -> float:
        """Return what the clock shows, in seconds since 1970."""
        return datetime.datetime.fromisoformat(self.clock.instant).timestamp()

    def ask(
        self, method: str, path: str, body: Any = None, who: str | None = None, worker: int = 0, **more: str
    ) -> Any:
        """Send a request, with a fresh key unless ``more`` has one."""
        headers = {"Idempotency-Key": f"fresh-{next(self._numbers)}"} | (self.people[who].authorization if who else {})
        headers |= {name.replace("_", "-"): value for name, value in more.items()}
        content = None if body is None else json.dumps(body)
        return self.workers[worker].open(
            path, method=method, data=content, headers=headers, content_type="application/json"
        )

    def events(self) -> list[dict[str, Any]]:
        """Return the feed of changes."""
        found: list[dict[str, Any]] = self.ask("GET", "/v1/changes?since=0&limit=500").json["changes"]
        return found


@pytest.fixture
def workshop(storage: SqlStorage, tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> Workshop:
    """The service under a clock that can be set."""
    made = Workshop(storage, tmp_path)
    made.clock.instant = NOW
    monkeypatch.setattr(http_call, "time", types.SimpleNamespace(time=made.seconds))
    return made


def test_order_is_that_of_arrival_whatever_the_clock_shows(workshop: Workshop) -> None:
    """Fault 12: the clock is wrong by a year, now ahead, now behind: events and rulings stand in order of arrival."""
    upper = {"mount": "hardware", "bolt_mm": 8, "width_mm": 22}
    first = workshop.ask("POST", "/v1/claims", claim("example.org/1"), "ann").json
    review = f"/v1/reviews/{first['review']['id']}"

    def rule(instant: str, who: str, ruling: dict[str, Any]) -> Any:
        workshop.clock.instant = instant
        tag = workshop.ask("GET", review, who=who).headers["ETag"]
        reply = workshop.ask("POST", f"{review}/decisions", ruling, who, If_Match=tag)
        assert reply.status_code == 201, reply.text
        return reply.json["decision"]["id"]

    rule(NEXT_YEAR, "mia", {"ruling": "settle", "value": upper, "rests_on": [first["claim"]["id"]], "why": "the page"})
    last = rule(LAST_YEAR, "max", {"ruling": "withhold", "why": "a recall"})
    shown = workshop.ask("GET", f"/v1/frames/{FRAMES[0]}").json["ends"]["upper"]
    assert (shown["standing"], shown["basis"]["decision"]) == ("withheld", last)
    changes = workshop.events()
    assert [c["event"] for c in changes] == list(range(1, len(changes) + 1))
    assert [c["on"][:4] for c in changes[-3:]] == ["2026", "2027", "2025"]
    history = workshop.ask("GET", f"/v1/frames/{FRAMES[0]}/history").json["history"]
    assert [h["kind"] for h in history] == ["frame_added", "claim_submitted", "decision_made", "decision_made"]
    assert unsound(workshop.storage) == []


def test_what_was_seen_tomorrow_is_refused(workshop: Workshop) -> None:
    """Fault 12: a contributor's clock is ahead: a source seen after today is refused and told the date."""
    for seen_on, wanted in (("2026-06-01", 201), ("2026-06-02", 422), ("2027-06-01", 422)):
        body = claim(f"example.org/{seen_on}")
        body["source"]["seen_on"] = seen_on
        reply = workshop.ask("POST", "/v1/claims", body, "ann")
        assert reply.status_code == wanted
        if wanted == 422:
            [told] = json.loads(reply.text)["errors"]
            assert (told["pointer"], told["code"]) == ("/source/seen_on", "in_the_future")
            assert "2026-06-01" in told["accepted"]


def test_what_was_stored_under_a_fast_clock_stays_readable(workshop: Workshop) -> None:
    """Fault 12: the machine was a year ahead for a while: nothing that it stored then breaks anything afterwards."""
    workshop.clock.instant = NEXT_YEAR
    body = claim("example.org/ahead")
    body["source"]["seen_on"] = NEXT_YEAR[:10]
    made = workshop.ask("POST", "/v1/claims", body, "ann")
    assert made.status_code == 201
    workshop.clock.instant = NOW
    mine = workshop.ask("GET", f"/v1/claims/{made.json['claim']['id']}", who="ann")
    assert (mine.status_code, mine.json["claim"]["source"]["seen_on"]) == (200, NEXT_YEAR[:10])
    for path in (f"/v1/frames/{FRAMES[0]}", f"/v1/frames/{FRAMES[0]}/claims", f"/v1/frames/{FRAMES[0]}/history"):
        assert workshop.ask("GET", path).status_code == 200
    assert workshop.ask("POST", "/v1/claims", claim("example.org/after"), "ann").status_code == 201
    assert unsound(workshop.storage) == []


@pytest.mark.parametrize("instant", [HOUR_BACK, LAST_YEAR])
def test_tokens_keys_and_cursors_outlive_a_clock_that_is_set_back(workshop: Workshop, instant: str) -> None:
    """Fault 13: set back by an hour, and by a year: tokens work, a revoked one does not, keys replay, lists go on."""
    body = claim("example.org/1")
    first = workshop.ask("POST", "/v1/claims", body, "ann", Idempotency_Key="one")
    page = workshop.ask("GET", "/v1/frames?limit=3")
    with workshop.storage.writing() as uow:
        revoke_token(uow, workshop.clock, workshop.people["ben"].token.split("_")[1])
    workshop.clock.instant = instant
    again = workshop.ask("POST", "/v1/claims", body, "ann", Idempotency_Key="one")
    assert (again.status_code, again.data) == (201, first.data)
    assert workshop.ask("POST", "/v1/claims", claim("example.org/2"), "ann").status_code == 201
    assert workshop.ask("POST", "/v1/claims", claim("example.org/3"), "ben").status_code == 401
    following = page.headers["Link"].partition(">")[0].removeprefix("<")
    rest = workshop.ask("GET", following)
    assert rest.status_code == 200
    seen = [f["id"] for reply in (page, rest) for f in reply.json["frames"]]
    assert len(set(seen)) == len(seen) == 6


def test_a_key_that_a_fast_clock_has_forgotten_makes_no_double(workshop: Workshop) -> None:
    """Fault 13: set forward, saved answers are out of date: the repeated claim is refused as said before."""
    body = claim("example.org/1")
    assert workshop.ask("POST", "/v1/claims", body, "ann", Idempotency_Key="one").status_code == 201
    workshop.clock.instant = TWO_DAYS_ON
    assert workshop.ask("POST", "/v1/claims", body, "ann", Idempotency_Key="one").status_code == 409
    with workshop.storage.reading() as uow:
        assert uow.catalogue.count()["claims"] == 1


@pytest.mark.parametrize("instant", [HOUR_BACK, LAST_YEAR, TWO_DAYS_ON])
def test_limits_stay_sane_when_the_clock_is_set(workshop: Workshop, instant: str) -> None:
    """Fault 13: a used-up quota is never used up for longer than its window, wherever the clock is set to."""
    for number in range(QUOTA):
        assert workshop.ask("POST", "/v1/claims", claim(f"example.org/{number}"), "ann").status_code == 201
    limited = workshop.ask("POST", "/v1/claims", claim("example.org/more"), "ann", worker=1)
    assert limited.status_code == 429
    assert 1 <= int(limited.headers["Retry-After"]) <= 60
    workshop.clock.instant = instant
    served = workshop.ask("POST", "/v1/claims", claim("example.org/more"), "ann", worker=1)
    assert served.status_code == 201
