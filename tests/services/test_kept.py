"""What a process keeps between requests is what the database holds at each of them, whoever wrote it."""

from __future__ import annotations

from decimal import Decimal

from boltspan.domain.hardware_sizes import HardwareSizes, hardware_sizes_json
from boltspan.services.kept import MOST_LOOKED_AT, Kept
from boltspan.services.protocols import UnitOfWork
from boltspan.services.shocks import hardware_sizes
from tests.domain.builders import SIZE, frame, page
from tests.domain.fitsheet.builders import made
from tests.services.conftest import Shop

TOLD_BY = ("hardware",)


def bring(shop: Shop, number: int, *widths: str) -> HardwareSizes:
    """Store what another worker is told is produced, as an import does."""
    (row,) = made("8", *widths)
    row = HardwareSizes(f"h-{number:010}", row.bolt_mm, row.widths_mm, row.source)
    with shop.storage.writing() as uow:
        uow.events.record(None, "hardware_added", payload={"hardware": hardware_sizes_json(row)})
        uow.hardware.put(row)
    return row


def widths(kept: Kept[tuple[HardwareSizes, ...]], shop: Shop) -> list[Decimal]:
    """Return all widths as one request sees them."""
    with shop.storage.reading() as uow:
        return [width for row in kept.at(uow) for width in row.widths_mm]


def test_what_another_worker_committed_is_there_at_the_next_request(shop: Shop) -> None:
    one, two = (Kept(hardware_sizes, TOLD_BY) for _ in range(2))
    assert widths(one, shop) == widths(two, shop) == []
    bring(shop, 1, "22.2", "24")
    assert widths(one, shop) == widths(two, shop) == [Decimal("22.2"), 24]
    bring(shop, 2, "30")
    assert widths(two, shop) == [Decimal("22.2"), 24, 30]
    assert widths(one, shop) == [Decimal("22.2"), 24, 30]


def test_it_is_made_anew_only_when_an_event_tells_of_it(shop: Shop) -> None:
    made_at: list[int] = []

    def count(uow: UnitOfWork) -> int:
        made_at.append(uow.events.last())
        return len(made_at)

    kept = Kept(count, TOLD_BY)
    shop.plant(frame(1), claims=(page(1, SIZE),))
    with shop.storage.reading() as uow:
        assert (kept.at(uow), kept.at(uow)) == (1, 1)
    shop.plant(frame(2, start=2024, end=None))
    with shop.storage.reading() as uow:
        assert kept.at(uow) == 1
    bring(shop, 1, "22.2")
    with shop.storage.reading() as uow:
        assert kept.at(uow) == 2
        assert made_at[-1] == uow.events.last()


def test_after_very_many_events_it_is_made_anew_unasked(shop: Shop) -> None:
    kept = Kept(lambda uow: uow.events.last(), TOLD_BY)
    with shop.storage.reading() as uow:
        before = kept.at(uow)
    with shop.storage.writing() as uow:
        for _ in range(MOST_LOOKED_AT + 1):
            uow.events.record(None, "make_added", payload={})
    with shop.storage.reading() as uow:
        assert kept.at(uow) == before + MOST_LOOKED_AT + 1
