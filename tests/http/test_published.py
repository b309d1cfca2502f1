"""Ready answers and routed ones are one answer; a change shows everywhere in time; a withdrawn record leaves."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest

from boltspan.domain.errors import Unavailable
from boltspan.http.published import Published
from boltspan.services.protocols import Encoded, Storage, UnitOfWork
from boltspan.services.publishing import frame_path
from tests.http.world import F1, F2, Site

YEAR = "/v1/makes/tarnvale/skerry/2021"
PATHS = (frame_path(F1), frame_path(F2), YEAR, "/v1/makes/tarnvale/skerry/2016", "/v1/makes/quillhope/brant/2020")


def sent(site: Site, app: Any, path: str, method: str, **headers: str) -> tuple[int, bytes, dict[str, str]]:
    answer = site.send(method, path, app=app, headers=headers)
    kept = {k: v for k, v in answer.headers if k != "X-Request-Id"}
    assert len(kept) == len(answer.headers) - 1  # no header twice
    return answer.status_code, answer.data, kept


@pytest.mark.parametrize("limits", [True, False])
@pytest.mark.parametrize("path", PATHS)
def test_both_ways_give_the_same_answer(site: Site, path: str, limits: bool) -> None:
    fast, slow = site.build(rate_limits=limits), site.build(rate_limits=limits, published_cap=0)
    tag = site.get(path, app=fast).headers["ETag"]
    for method in ("GET", "HEAD"):
        for headers in (
            {},
            {"If-None-Match": tag},
            {"If-None-Match": f'W/{tag}, "x"'},
            {"If-None-Match": '"x"'},
            {"If-None-Match": "*"},
            {"Accept": "application/json"},
            {"Origin": "https://shop.example"},
        ):
            hits = fast.parts.metrics.ready_hits
            assert sent(site, fast, path, method, **headers) == sent(site, slow, path, method, **headers)
            assert fast.parts.metrics.ready_hits == hits + 1
    assert slow.parts.metrics.ready_hits == 0
    assert len(slow.parts.published) == 0


def test_both_ways_are_counted_and_logged_alike(site: Site) -> None:
    site.get(frame_path(F1))
    fast, slow = site.build(), site.build(published_cap=0)
    told = []
    for app in (fast, slow):
        site.get(frame_path(F1), app=app)
        site.lines.clear()
        site.get(frame_path(F1), app=app, headers={"X-Request-Id": "request-0001"})
        site.get(YEAR, app=app)
        told.append([{k: v for k, v in line.items() if k not in ("at", "ms")} for line in site.lines])
    for lines in told:
        assert lines[1].pop("request_id")
    assert told[0] == told[1]
    assert told[0][0] == {
        "method": "GET", "route": "/v1/frames/{frame_id}", "path": frame_path(F1), "status": 200,
        "bytes": len(site.get(frame_path(F1)).data), "request_id": "request-0001",
    }  # fmt: skip
    counted = [
        [line for line in app.parts.metrics.text().splitlines() if line.startswith("boltspan_requests_total{")]
        for app in (fast, slow)
    ]
    assert counted[0] == counted[1]


@pytest.mark.parametrize("headers", [{"Authorization": "x"}, {"Accept": "text/html"}])
def test_whatever_asks_for_more_is_routed(site: Site, headers: dict[str, str]) -> None:
    site.get(frame_path(F1))
    hits = site.app.parts.metrics.ready_hits
    site.get(frame_path(F1), headers=headers)
    site.get(frame_path(F1) + "?x=1")
    site.send("POST", frame_path(F1))
    assert site.app.parts.metrics.ready_hits == hits


def test_a_change_shows_at_once_where_it_was_made_and_soon_everywhere(site: Site) -> None:
    other = site.build(follow_s=0.0)
    before = site.get(frame_path(F1), app=other).data
    site.get(frame_path(F1))
    site.claim()
    here = site.get(frame_path(F1)).data
    assert here != before
    hits = site.app.parts.metrics.ready_hits
    assert site.get(frame_path(F1)).data == here
    assert site.app.parts.metrics.ready_hits == hits + 1
    assert site.get(frame_path(F1), app=other).data == here
    assert site.get(YEAR, app=other).data == site.get(YEAR).data


@pytest.mark.parametrize(("edit", "status"), [("withdraw", 410), ("merge", 308), ("divide", 410)])
def test_a_record_that_answers_no_more_leaves_everywhere(site: Site, edit: str, status: int) -> None:
    other = site.build(follow_s=0.0)
    tag = site.get(frame_path(F1), app=other).headers["ETag"]
    told = {"kind": "frame_size", "ask": "Which size is it?"}
    parts = [{"qualifier": {**told, "is": size}} for size in ("S", "M")]
    more: dict[str, Any] = {"divide": {"parts": parts}}.get(edit, {})
    if edit == "merge":
        more = {"into": site.double()}
    body = {"edit": edit, "why": "x", **more}
    assert site.post(f"{frame_path(F1)}/edits", body, who="mia", match=tag).status_code == 201
    assert site.get(frame_path(F1), app=other).status_code == status
    assert site.get(frame_path(F1)).status_code == status
    assert f'"id": "{F1}"' not in site.get(YEAR, app=other).text


class Clock:
    now = 0.0

    def __call__(self) -> float:
        return self.now


class Flaky:
    """A storage that can be taken away, and counts what is read."""

    def __init__(self, storage: Storage) -> None:
        self._storage, self.away, self.reads = storage, False, 0

    @contextmanager
    def reading(self) -> Iterator[UnitOfWork]:
        """Read, when that works."""
        self.reads += 1
        if self.away:
            raise Unavailable("away")
        with self._storage.reading() as uow:
            yield uow

    def writing(self) -> Any:
        """Write."""
        return self._storage.writing()

    def ready(self) -> list[str]:
        """Say what is wrong."""
        return []


def kept(storage: Any, clock: Clock, cap: int = 100, fill: int = 100) -> Published:
    return Published(storage, cap=cap, fill=fill, follow_s=0.5, now_s=clock)


def test_the_database_is_looked_at_every_half_second_at_most(site: Site) -> None:
    storage, clock = Flaky(site.storage), Clock()
    published = kept(storage, clock)
    published.answer(frame_path(F1))
    reads = storage.reads
    for now in (0.1, 0.2, 0.4, 0.499):
        clock.now = now
        assert published.ready(frame_path(F1)) is not None
    assert storage.reads == reads
    clock.now = 0.5
    assert published.ready(frame_path(F1)) is not None
    assert storage.reads == reads + 1


def test_nothing_is_answered_from_memory_while_the_database_is_away(site: Site) -> None:
    storage, clock = Flaky(site.storage), Clock()
    published = kept(storage, clock)
    published.answer(frame_path(F1))
    storage.away, clock.now = True, 0.4
    assert published.ready(frame_path(F1)) is not None
    clock.now = 0.6
    assert published.ready(frame_path(F1)) is None
    clock.now = 0.7
    assert published.ready(frame_path(F1)) is None
    with pytest.raises(Unavailable):
        published.answer(frame_path(F1))
    storage.away = False
    assert published.ready(frame_path(F1)) is not None


def test_the_number_kept_is_bounded_and_the_rest_comes_from_the_database(site: Site) -> None:
    clock = Clock()
    published = kept(site.storage, clock, cap=2)
    for path in PATHS:
        assert published.answer(path) is not None
        assert len(published) == 2
        assert published.ready(path) is not None


class Overtaken(Flaky):
    """A storage whose first reader is overtaken: ``change`` happens between its reading and what follows."""

    change: Callable[[], None] | None = None

    @contextmanager
    def reading(self) -> Iterator[UnitOfWork]:
        """Read, then let the change happen once."""
        with super().reading() as uow:
            yield uow
        change, self.change = self.change, None
        if change is not None:
            change()


def test_an_answer_read_before_a_change_is_not_kept_after_it(site: Site) -> None:
    storage, clock = Overtaken(site.storage), Clock()
    published = kept(storage, clock, fill=0)
    published.follow()

    def change() -> None:
        site.claim()
        published.follow(at_once=True)

    storage.change = change
    old = published.answer(frame_path(F1))
    new = published.ready(frame_path(F1))
    assert old is not None
    assert new is not None
    assert new.body == site.get(frame_path(F1)).data != old.body


def test_a_database_put_back_to_an_older_state_is_read_anew(site: Site) -> None:
    clock = Clock()
    published = kept(site.storage, clock)
    published.answer(frame_path(F1))
    published._sequence += 1000
    before = site.get(frame_path(F1)).data
    site.claim()
    clock.now = 1.0
    ready = published.ready(frame_path(F1))
    assert ready is not None
    assert ready.body != before


def test_a_very_large_answer_is_not_kept(site: Site, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("boltspan.http.published.LARGEST", 100)
    published = kept(site.storage, Clock())
    assert published.answer(frame_path(F1)) is not None
    assert len(published) == 0


def test_answers_encoded_anew_without_a_change_are_seen_by_running_workers(site: Site) -> None:
    """As when a newer version of the service starts beside this one on the same database."""
    app = site.build(follow_s=0)
    path = frame_path(F1)
    before = site.get(path, app=app).headers["ETag"]
    with site.storage.writing() as uow:
        kept = uow.published.get(path)
        assert kept is not None
        uow.published.put([Encoded(path, b'{"written": "otherwise"}', '"other"', kept.sequence)])
        uow.settings.put("answers_version", "another")
    assert site.get(path, app=app).headers["ETag"] == '"other"' != before
