"""Building, reading and withdrawing releases, on both databases."""

from __future__ import annotations

import stat
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from boltspan.dataset.layout import documents_of, frames_path
from boltspan.dataset.releasing.verifying import verify_files
from boltspan.domain.errors import (
    Clash,
    InvalidInput,
    NotAllowed,
    NotAuthenticated,
    NotFound,
)
from boltspan.domain.jsontext import dumps, loads
from boltspan.domain.records import frame_from
from boltspan.services import publish, review, submit
from boltspan.services.datasets import export_dataset
from boltspan.services.permissions import ANYBODY, COMMAND_LINE
from boltspan.services.publishing import frame_path
from boltspan.storage import SqlStorage, make_engine, migrate
from tests.domain.builders import SIZE, page
from tests.postgres import Server
from tests.services import release_world as world
from tests.services.conftest import Shop, StandingClock, page_claim
from tests.services.release_world import built, change, files, path_in, shown

F1, F2 = "f-0000000001", "f-0000000002"
STRANGE_NAMES = (
    "extra.txt",
    "../../secret.txt",
    "..",
    ".",
    "",
    "/etc/passwd",
    "..\\..\\secret.txt",
    "ends.csv\0",
    "2026.06.1\0",
    "\ud800",
    "%2e%2e/ends.csv",
    "ENDS.CSV",
    "./ends.csv",
    "ends.csv/",
)
"""Names of no release and of no file of one, made to reach beyond."""


@pytest.fixture
def storage(migrated_url: str, clock: StandingClock) -> Iterator[SqlStorage]:
    """An empty storage of either kind whose events are dated by the standing clock."""
    engine = make_engine(migrated_url)
    yield SqlStorage(engine, clock)
    engine.dispose()


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """The data folder."""
    return tmp_path / "data"


@pytest.fixture
def filled(storage: SqlStorage) -> SqlStorage:
    """A storage with the sample in it."""
    world.fill(storage)
    return storage


def test_a_release_is_of_the_last_event_and_dated_by_it(filled: SqlStorage, data: Path, clock: StandingClock) -> None:
    with filled.reading() as uow:
        last = uow.events.last()
    clock.instant = "2027-01-01T00:00:00.000000Z"
    release = built(filled, data)
    assert (release.version, release.event, release.built_on) == ("2026.06.1", last, "2026-06-01")
    assert verify_files(data / "releases" / "2026.06.1") == []
    with filled.reading() as uow:
        assert uow.releases.release("2026.06.1") == release
        (event,) = uow.events.page(last, 10)
    assert (event.sequence, event.kind, event.payload) == (
        last + 1, "release_built", {"release": "2026.06.1", "event": last}
    )  # fmt: skip
    manifest = loads((data / "releases" / "2026.06.1" / "release.json").read_bytes())
    assert manifest == release.manifest
    assert (manifest["title"], manifest["demo"], manifest["built_on"]) == ("Demo: invented frames", True, "2026-06-01")


def test_the_answers_are_the_published_bytes(filled: SqlStorage, data: Path) -> None:
    release = built(filled, data)
    with filled.reading() as uow:
        live = [s.frame.id for s in uow.catalogue.every_frame() if s.frame.live]
        published = {}
        for frame_id in live:
            encoded = uow.published.get(frame_path(frame_id))
            assert encoded is not None
            assert encoded.body is not None
            published[frame_id] = encoded.body
            assert publish.release_answer(data, uow, release.version, frame_id) == encoded.body
        for absent in ("f-0000000004", "f-0000000006", "f-zzzzzzzzzz", "../ends.csv", ""):
            with pytest.raises(NotFound):
                publish.release_answer(data, uow, release.version, absent)
        with pytest.raises(NotFound):
            publish.release_answer(data, uow, "2026.06.9", F1)
    raw = path_in(data, release, "answers.jsonl").read_bytes()
    assert raw == b"".join(published[i] for i in sorted(published))
    assert len(live) == 3


def test_the_same_state_gives_the_same_bytes_in_any_folder_and_on_any_day(
    filled: SqlStorage, data: Path, tmp_path: Path, clock: StandingClock
) -> None:
    class Lost(Exception):
        pass

    first = built(filled, data)
    with pytest.raises(Lost), filled.writing() as uow:  # what stood before the release was recorded
        raise Lost
    with filled.writing() as uow:
        uow.releases.put(replace(first, withdrawn_on="2026-06-01", withdrawn_why="to build it again"))
    clock.instant = "2028-02-29T12:00:00.000000Z"
    other = tmp_path / "other"
    again = built(filled, other)
    assert again.version == "2026.06.2"  # the release_built event moved the head, not the date of it
    before, after = files(data / "releases" / first.version), files(other / "releases" / again.version)
    numbered = {"README.txt", "CHANGES.json", "datapackage.json", "release.json", "SHA256SUMS"}
    assert {n: raw for n, raw in before.items() if n not in numbered} == {
        n: raw for n, raw in after.items() if n not in numbered
    }


def test_both_databases_give_the_same_bytes(tmp_path: Path, postgres: Server) -> None:
    found = []
    with ExitStack() as stack:
        name = "release_golden"
        urls = [f"sqlite:///{tmp_path / 'golden.db'}", postgres.create(name)]
        stack.callback(postgres.drop, name)
        for place, url in enumerate(urls):
            engine = make_engine(url)
            stack.callback(engine.dispose)
            migrate(engine)
            clock = StandingClock()
            storage = SqlStorage(engine, clock)
            world.fill(storage)
            data = tmp_path / str(place)
            one = built(storage, data)
            change(storage)
            two = built(storage, data)
            found.append([files(data / "releases" / r.version) for r in (one, two)])
    assert found[0] == found[1]
    assert found[0][0] != found[0][1]


def test_nothing_changed_is_refused_and_releases_themselves_are_no_change(filled: SqlStorage, data: Path) -> None:
    built(filled, data)
    with pytest.raises(Clash, match=r"nothing changed since release 2026\.06\.1"):
        built(filled, data)
    assert shown(data) == {"2026.06.1"}
    change(filled)
    assert built(filled, data).version == "2026.06.2"
    with filled.writing() as uow:
        publish.withdraw_release(COMMAND_LINE, uow, StandingClock(), "2026.06.2", "a column was wrong")
    assert built(filled, data).version == "2026.06.3"  # against the first, which stands, much changed
    with pytest.raises(Clash, match="nothing changed"):
        built(filled, data)
    changes = loads((data / "releases" / "2026.06.3" / "CHANGES.json").read_bytes())
    assert (changes["previous"], changes["counts"]) == ("2026.06.1", {"added": 1})


def test_an_empty_database_has_nothing_to_release(storage: SqlStorage, data: Path) -> None:
    with pytest.raises(Clash, match="nothing to release"):
        built(storage, data)
    assert shown(data) == set()


def test_a_month_counts_anew(filled: SqlStorage, data: Path, clock: StandingClock) -> None:
    built(filled, data)
    clock.instant = "2026-07-31T23:59:59.000000Z"
    change(filled)
    assert built(filled, data).version == "2026.07.1"


# a decision, and what it changes


def test_a_decision_stands_in_the_changes_and_the_old_release_answers_as_before(
    shop: Shop, data: Path, clock: StandingClock
) -> None:
    first = built(shop.storage, data)
    body = page_claim()
    with shop.storage.writing() as uow:
        claim = submit.submit_claim(shop.people["ann"], uow, clock, body, shop.key(body)).body["claim"]["id"]
        case = uow.cases.of_subject(F1, "upper")
    assert case is not None
    ruling = {
        "ruling": "settle",
        "value": {"mount": "hardware", "bolt_mm": 8, "width_mm": Decimal("22.2")},
        "rests_on": [claim],
        "why": "the maker's page",
    }
    with shop.storage.writing() as uow:
        review.decide(shop.people["mia"], uow, clock, case.id, ruling, review.case_tag(case), shop.key(ruling))
    second = built(shop.storage, data)
    (told,) = loads(path_in(data, second, "CHANGES.json").read_bytes())["frames"]
    assert [a["text"] for a in told["answers"]] == ["upper: no value -> M8 x 22.2, unknown -> settled"]
    with shop.storage.reading() as uow:
        before = loads(publish.release_answer(data, uow, first.version, F1))
        after = loads(publish.release_answer(data, uow, second.version, F1))
    assert before["ends"]["upper"]["standing"] == "unknown"
    assert after["ends"]["upper"]["value"]["label"] == "M8 x 22.2"


def test_what_is_not_reviewed_and_not_listed_is_not_released(shop: Shop, data: Path, clock: StandingClock) -> None:
    body = page_claim() | {"source": {"kind": "spec_page", "document": "example.org/secret", "seen_on": "2026-05-01",
                                      "quote": "not reviewed yet"}}  # fmt: skip
    proposal = {"make": {"name": "Fellmoor"}, "model": {"name": "Corrie"}, "years": {"from": 2026},
                "ends": ["upper", "lower"]}  # fmt: skip
    with shop.storage.writing() as uow:
        claim = submit.submit_claim(shop.people["ann"], uow, clock, body, shop.key(body)).body["claim"]["id"]
        frame_id = submit.propose_frame(shop.people["ann"], uow, clock, proposal, shop.key(proposal)).body["frame"][
            "id"
        ]
    release = built(shop.storage, data)
    assert verify_files(data / "releases" / release.version) == []
    for name in ("makes.csv", "models.csv", "frames.csv", "ends.csv", "claims.csv", "frames.jsonl", "answers.jsonl"):
        text = path_in(data, release, name).read_text("utf-8")
        for hidden in ("not reviewed yet", "example.org/secret", "fellmoor", "corrie", frame_id):
            assert hidden not in text.lower(), name
    assert claim not in path_in(data, release, "claims.csv").read_text("utf-8")
    assert claim not in path_in(data, release, "frames.jsonl").read_text("utf-8")


def test_the_lines_of_frames_are_what_an_export_holds(shop: Shop, data: Path, clock: StandingClock) -> None:
    other = frame_from("fellmoor", "corrie", {"id": "f-0000000077", "years": {"from": 2020}, "ends": ["front", "rear"]})
    shop.plant(other, claims=(page(77, SIZE, of=other, subject="rear"),))
    body = page_claim()
    with shop.storage.writing() as uow:
        submit.submit_claim(shop.people["ann"], uow, clock, body, shop.key(body))
    release = built(shop.storage, data)
    with shop.storage.reading() as uow:
        exported = documents_of(export_dataset(uow))
    found: dict[str, Any] = {}
    for line in path_in(data, release, "frames.jsonl").read_bytes().splitlines():
        whole = loads(line)
        path = frames_path(whole["make"], whole["model"]["slug"])
        found.setdefault(path, whole | {"frames": []})["frames"] += whole["frames"]
    assert found == {path: loads(dumps(told).encode()) for path, told in exported.items() if path.startswith("frames/")}
    assert len(found) == 2
    assert "2026-05-01" not in path_in(data, release, "frames.jsonl").read_text("utf-8")  # the claim that waits


def test_refused_claims_leave_every_table_as_it_was(shop: Shop, data: Path, clock: StandingClock) -> None:
    first = built(shop.storage, data)
    refused = []
    for width in ("30", "40", "50"):
        body = page_claim(width=width, document=f"example.org/{width}")
        with shop.storage.writing() as uow:
            claim = submit.submit_claim(shop.people["ann"], uow, clock, body, shop.key(body)).body["claim"]
        refused.append(claim["id"])
    change(shop.storage)
    between = built(shop.storage, data)
    assert path_in(data, between, "ends.csv").read_bytes() != path_in(data, first, "ends.csv").read_bytes()
    with shop.storage.reading() as uow:
        case = uow.cases.of_subject(F1, "upper")
    assert case is not None
    ruling = {"ruling": "refuse_claims", "refuses": refused, "why": "made up"}
    with shop.storage.writing() as uow:
        review.decide(shop.people["mia"], uow, clock, case.id, ruling, review.case_tag(case), shop.key(ruling))
    second = built(shop.storage, data)
    lines = {r.version: path_in(data, r, "ends.csv").read_text("utf-8").splitlines() for r in (first, second)}
    assert [line for line in lines[second.version] if F1 in line] == [
        line for line in lines[first.version] if F1 in line
    ]
    claims = path_in(data, second, "claims.csv").read_text("utf-8")
    told = path_in(data, second, "frames.jsonl").read_text("utf-8")
    assert all(claim not in claims and claim in told for claim in refused)


# who may, and what is shown


def test_only_those_who_may_build_and_withdraw(shop: Shop, data: Path, clock: StandingClock) -> None:
    for actor, error in ((ANYBODY, NotAuthenticated), (shop.people["ann"], NotAllowed)):
        with pytest.raises(error):
            publish.build_release(actor, shop.storage, data)
    assert not data.exists()
    release = publish.build_release(shop.people["mia"], shop.storage, data)
    for actor, error in ((ANYBODY, NotAuthenticated), (shop.people["ann"], NotAllowed)):
        with shop.storage.writing() as uow, pytest.raises(error):
            publish.withdraw_release(actor, uow, clock, release.version, "broken")
    with shop.storage.writing() as uow:
        publish.withdraw_release(shop.people["max"], uow, clock, release.version, "broken")
        events = uow.events.page(0, 100)
    actors = {e.kind: e.actor for e in events}
    assert actors["release_built"] == shop.people["mia"].person
    assert actors["release_withdrawn"] == shop.people["max"].person


def test_a_withdrawn_release_is_marked_and_stays(filled: SqlStorage, data: Path, clock: StandingClock) -> None:
    release = built(filled, data)
    before = files(data / "releases" / release.version)
    clock.instant = "2026-06-09T08:00:00.000000Z"
    with filled.writing() as uow:
        publish.withdraw_release(COMMAND_LINE, uow, clock, release.version, "widths were cut off")
    mark = {"withdrawn": {"on": "2026-06-09", "why": "widths were cut off"}}
    with filled.reading() as uow:
        assert publish.release(uow, release.version) == release.manifest | mark
        (short,) = publish.releases(uow)["releases"]
        assert short["withdrawn"] == mark["withdrawn"]
        assert publish.release_answer(data, uow, release.version, F1)
    assert files(data / "releases" / release.version) == before
    with filled.writing() as uow:
        with pytest.raises(Clash, match="2026-06-09"):
            publish.withdraw_release(COMMAND_LINE, uow, clock, release.version, "again")
        with pytest.raises(NotFound):
            publish.withdraw_release(COMMAND_LINE, uow, clock, "2026.06.2", "no such release")


@pytest.mark.parametrize("why", ["", "  ", "x" * 501, "hidden \u202e mark"])
def test_a_withdrawal_needs_a_reason_in_plain_text(filled: SqlStorage, data: Path, why: str) -> None:
    release = built(filled, data)
    with filled.writing() as uow, pytest.raises(InvalidInput):
        publish.withdraw_release(COMMAND_LINE, uow, StandingClock(), release.version, why)
    with filled.reading() as uow:
        assert "withdrawn" not in publish.release(uow, release.version)


def test_releases_are_listed_newest_first(filled: SqlStorage, data: Path) -> None:
    with filled.reading() as uow:
        assert publish.releases(uow) == {"releases": []}
    for _ in range(11):
        built(filled, data)
        change(filled)
    with filled.reading() as uow:
        listed = publish.releases(uow)["releases"]
    assert [r["version"] for r in listed] == [f"2026.06.{n}" for n in range(11, 0, -1)]
    keys = ["version", "built_on", "event", "demo", "title", "licence"]
    assert all(list(r) == keys for r in listed)


def test_files_are_known_by_the_manifest_alone(filled: SqlStorage, data: Path) -> None:
    release = built(filled, data)
    folder = data / "releases" / release.version
    (data / "secret.txt").write_text("x", "utf-8")
    (folder / "extra.txt").write_text("x", "utf-8")
    with filled.reading() as uow:
        for name in files(folder).keys() - {"extra.txt"}:
            path = publish.release_file(data, uow, release.version, name)
            assert path == folder / name
            assert path.is_file()
        for name in (*STRANGE_NAMES, f"../{release.version}/ends.csv"):
            with pytest.raises(NotFound):
                publish.release_file(data, uow, release.version, name)
        for version in (*STRANGE_NAMES, ".lock", "2026.06.9", "2026.06.01", f"../releases/{release.version}"):
            with pytest.raises(NotFound):
                publish.release_file(data, uow, version, "ends.csv")
            with pytest.raises(NotFound):
                publish.release(uow, version)
        with pytest.raises(NotFound):
            publish.release_file(data / "elsewhere", uow, release.version, "ends.csv")


def test_files_are_read_only(filled: SqlStorage, data: Path) -> None:
    folder = data / "releases" / built(filled, data).version
    for path in folder.iterdir():
        assert stat.S_IMODE(path.stat().st_mode) == 0o444
    assert stat.S_IMODE(folder.stat().st_mode) == 0o755


def test_verify_names_a_tampered_file_of_a_built_release(filled: SqlStorage, data: Path) -> None:
    folder = data / "releases" / built(filled, data).version
    assert publish.verify_release(folder) == []
    path = folder / "ends.csv"
    raw = bytearray(path.read_bytes())
    raw[100] ^= 1
    path.chmod(0o644)
    path.write_bytes(raw)
    assert [told.partition(":")[0] for told in publish.verify_release(folder)] == ["ends.csv", "ends.csv"]
