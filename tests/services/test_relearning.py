"""Learning anew: worked out beside what stands, gone on with after a kill, published whole, settling nothing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from boltspan.domain.errors import NotAllowed
from boltspan.domain.frames import Frame
from boltspan.evidence import parameters as shipped
from boltspan.services import relearning, snapshots
from boltspan.services.permissions import COMMAND_LINE
from boltspan.services.protocols import StoredSnapshot, UnitOfWork
from boltspan.services.publishing import republish
from boltspan.services.snapshots import CURRENT, DRAFT
from tests.domain.builders import SIZE, frame, measured, page, ruling
from tests.services.conftest import Shop, submitted

Published = dict[str, bytes | None]
OFF = {"bolt": ("sleeve_bore", "8.06"), "width": ("hardware_width", "22.40")}


@pytest.fixture(autouse=True)
def _small_batches(monkeypatch: pytest.MonkeyPatch) -> None:
    """Work in batches of two frames, so that there are several."""
    monkeypatch.setattr("boltspan.services.relearning.BATCH", 2)


def planted(shop: Shop, frames: int = 6) -> list[Frame]:
    """Plant frames whose page says 22.2 and whose one caliper reads 0.2 too much: a zero error to be learnt."""
    found = [frame(number, start=1990 + number, end=1990 + number) for number in range(2, 2 + frames)]
    for n, of in enumerate(found, 2):
        shop.plant(of, claims=(page(10 * n, SIZE, of=of), replace(measured(10 * n + 1, **OFF), frame=of.id)))  # type: ignore[arg-type]
    return found


def published(shop: Shop) -> Published:
    with shop.storage.reading() as uow:
        return {answer.path: answer.body for answer in uow.published.since(0)}


def work_out(shop: Shop) -> StoredSnapshot:
    return relearning.work_out(COMMAND_LINE, shop.storage, shop.clock, lambda done, of: None)


def test_nothing_shows_before_it_is_published_and_all_of_it_after(shop: Shop) -> None:
    planted(shop)
    before = published(shop)
    seen: list[tuple[int, int]] = []
    draft = relearning.work_out(COMMAND_LINE, shop.storage, shop.clock, lambda done, of: seen.append((done, of)))
    assert seen[0] == (0, 7)
    assert seen[-1] == (7, 7)
    assert sorted(seen) == seen
    assert published(shop) == before
    with shop.storage.reading() as uow:
        changes = list(relearning.changes(uow, draft))
    assert changes
    with shop.storage.writing() as uow:
        relearning.publish(COMMAND_LINE, uow, shop.clock, draft)
    after = published(shop)
    assert {path for path in after if after[path] != before[path]} >= {
        f"/v1/frames/{c.stored.frame.id}" for c in changes
    }
    with shop.storage.reading() as uow:
        assert (uow.settings.get(CURRENT), uow.settings.get(DRAFT)) == (draft.id, "")
        ready = snapshots.current(uow)
    assert ready is not None
    assert ready.rates.offsets_mm["p-000000000b"] > 0.1  # 0.2, drawn toward 0


class Killed(BaseException):
    """The process ends here."""


def test_a_killed_run_goes_on_where_it_was(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    planted(shop)
    before, calls = published(shop), iter(range(100))
    whole = relearning.reweigh

    def killed_at_the_third(*arguments: object) -> None:
        if next(calls) == 2:
            raise Killed
        whole(*arguments)  # type: ignore[arg-type]

    monkeypatch.setattr(relearning, "reweigh", killed_at_the_third)
    with pytest.raises(Killed):
        work_out(shop)
    monkeypatch.undo()
    monkeypatch.setattr("boltspan.services.relearning.BATCH", 2)
    assert published(shop) == before
    with shop.storage.reading() as uow:
        left = uow.settings.get(DRAFT)
        assert left is not None
        assert uow.weighed.count_waiting(left) == 3
    learnt: list[object] = []
    monkeypatch.setattr(snapshots, "learn", lambda *a: learnt.append(a))
    seen: list[int] = []
    draft = relearning.work_out(COMMAND_LINE, shop.storage, shop.clock, lambda done, of: seen.append(done))
    assert (draft.id, learnt, seen[0]) == (left, [], 4)
    monkeypatch.undo()
    with shop.storage.writing() as uow:
        relearning.publish(COMMAND_LINE, uow, shop.clock, draft)
    once = published(shop)
    assert once != before
    again = work_out(shop)
    assert again.id == draft.id  # nothing was said since, so there is nothing new to learn


def test_a_publication_that_is_killed_leaves_everything_as_it_was(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    planted(shop)
    before, draft = published(shop), work_out(shop)

    def killed(uow: UnitOfWork) -> None:
        raise Killed

    monkeypatch.setattr(relearning, "encode_all", killed)
    with pytest.raises(Killed), shop.storage.writing() as uow:
        relearning.publish(COMMAND_LINE, uow, shop.clock, draft)
    assert published(shop) == before
    with shop.storage.reading() as uow:
        assert uow.settings.get(DRAFT) == draft.id
        assert uow.settings.get(CURRENT) != draft.id


def test_what_was_said_meanwhile_is_weighed_with_the_new_rates(shop: Shop) -> None:
    of = planted(shop)[0]
    draft = work_out(shop)
    submitted(shop, of=of.id, width="30")
    with shop.storage.writing() as uow:
        relearning.publish(COMMAND_LINE, uow, shop.clock, draft)
        stored = uow.catalogue.frame(of.id)
        assert stored is not None
        rows = uow.weighed.of_frames(draft.id, [of.id])[of.id]
        said = next(r.weighed for r in rows if r.subject == "upper")
        body = uow.published.get(f"/v1/frames/{of.id}")
    assert said is not None
    assert any(c.value.width_mm == 30 and c.claims for c in said.candidates)
    assert body is not None
    assert b"M8 x 30" in (body.body or b"")


def use_other_numbers(monkeypatch: pytest.MonkeyPatch) -> None:
    """Put other parameters in place: documents of makers are hardly believed, charts without a doubt."""
    known = shipped.load_parameters()
    worse = {name: replace(s, unsound=0.5 if name != "retailer_chart" else 0.01) for name, s in known.sources.items()}
    other = replace(known, sources=worse, model_version="9.9.9+other")
    monkeypatch.setattr("boltspan.evidence.resolution.load_parameters", lambda: other)
    monkeypatch.setattr("boltspan.services.snapshots.load_parameters", lambda: other)
    snapshots._prepare.cache_clear()


@pytest.fixture(autouse=True)
def _prepared_anew() -> Iterator[None]:
    yield
    snapshots._prepare.cache_clear()


def test_a_settled_value_is_never_changed_but_looked_at(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """Under other parameters a chart outweighs the two documents of the maker that a ruling rests on."""
    of = frame(2, start=1992, end=1992)
    ruled = replace(ruling(1, "settle", value=SIZE, rests_on=[1], overrules=[3]), frame=of.id)
    chart = page(3, SIZE | {"width_mm": 30}, kind="retailer_chart", of=of, document="chart", by="p-000000000c")
    shop.plant(of, claims=(page(1, SIZE, of=of, kind="manual"), page(2, SIZE, of=of), chart))
    with shop.storage.writing() as uow:
        uow.statements.add_decisions([ruled])
        republish(uow, [of.id])
    use_other_numbers(monkeypatch)
    draft = work_out(shop)
    with shop.storage.reading() as uow:
        (change,) = [c for c in relearning.changes(uow, draft) if c.stored.frame.id == of.id]
    assert (change.after.standing, change.after.value) == (change.before.standing, change.before.value)
    assert change.review == "evidence_moved", (change.before.confidence, change.after.confidence)
    with shop.storage.writing() as uow:
        relearning.publish(COMMAND_LINE, uow, shop.clock, draft)
        case = uow.cases.of_subject(of.id, "upper")
        body = uow.published.get(f"/v1/frames/{of.id}")
    assert case is not None
    assert (case.state, case.reasons) == ("open", ("evidence_moved",))
    assert body is not None
    assert b'"standing": "settled", "advice": "sell"' in (body.body or b"")
    assert b"9.9.9+other" in (body.body or b"")


def test_only_operators_learn_anew(shop: Shop) -> None:
    with pytest.raises(NotAllowed):
        relearning.work_out(shop.people["mia"], shop.storage, shop.clock, lambda done, of: None)
