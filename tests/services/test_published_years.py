"""Published years never say what is no longer so, and nothing of what is only proposed."""

from __future__ import annotations

from typing import Any

from boltspan.domain.errors import NotFound
from boltspan.domain.jsontext import loads
from boltspan.services import edit, lookup, submit
from boltspan.services.answers import encode
from tests.domain.builders import SIZE, frame, page
from tests.services.conftest import Shop, page_claim, submitted

MODEL = "/v1/makes/tarnvale/skerry/"
OPEN_ENDED = frame(2, start=2024, end=None)


def published(shop: Shop, path: str = MODEL) -> dict[int, dict[str, Any]]:
    """Return the model's published years and their answers, after a look that each is what is worked out now."""
    found = {}
    with shop.storage.reading() as uow:
        _, _, _, make, model, _ = path.split("/")
        for year_path in uow.published.paths(path):
            encoded = uow.published.get(year_path)
            assert encoded is not None
            year = int(year_path.rpartition("/")[2])
            try:
                assert encoded.body == encode(lookup.year(uow, make, model, year))
            except NotFound:
                assert encoded.body is None
            else:
                found[year] = loads(encoded.body or b"")
    return found


def open_ended(shop: Shop) -> str:
    """Plant a frame that is still made, with evidence up to 2030, and return the claim's id."""
    claim = page(9, SIZE, of=OPEN_ENDED, years={"from": 2024, "to": 2030}, by=str(shop.people["ann"].person))
    shop.plant(OPEN_ENDED, claims=(claim,))
    assert published(shop)[2031]["outcome"] == "one"  # one year beyond the evidence
    return claim.id


def edited(shop: Shop, data: dict[str, Any]) -> None:
    with shop.storage.writing() as uow:
        stored = uow.catalogue.frame(OPEN_ENDED.id)
        assert stored is not None
        tag = edit.frame_tag(stored)
        edit.edit_frame(shop.people["mia"], uow, shop.clock, OPEN_ENDED.id, data, tag, shop.key(data))


def test_a_withdrawn_frame_leaves_every_year_that_its_evidence_reached(shop: Shop) -> None:
    open_ended(shop)
    edited(shop, {"edit": "withdraw", "why": "never made"})
    assert {year: answer["outcome"] for year, answer in published(shop).items() if year >= 2024} == dict.fromkeys(
        range(2024, 2032), "unknown"
    )


def test_years_that_a_record_holds_no_more_are_unknown(shop: Shop) -> None:
    open_ended(shop)
    edited(shop, {"edit": "years", "years": {"from": 2024, "to": 2025}, "why": "the maker's archive"})
    outcomes = {year: answer["outcome"] for year, answer in published(shop).items()}
    assert (outcomes[2025], outcomes[2026], outcomes[2031]) == ("one", "unknown", "unknown")


def test_years_that_the_evidence_reaches_no_more_say_so(shop: Shop) -> None:
    claim_id = open_ended(shop)
    with shop.storage.writing() as uow:
        submit.withdraw_claim(shop.people["ann"], uow, shop.clock, claim_id, "the wrong page", shop.key())
    assert published(shop)[2030]["frames"][0]["ends"]["upper"]["standing"] == "unknown"


def test_a_claim_about_a_proposal_publishes_nothing(shop: Shop) -> None:
    body = {
        "make": {"name": "Fellrook"},
        "model": {"name": "Corrie"},
        "years": {"from": 2024},
        "ends": ["front", "rear"],
    }
    with shop.storage.writing() as uow:
        proposed = submit.propose_frame(shop.people["ann"], uow, shop.clock, body, shop.key(body)).body["frame"]["id"]
    submitted(shop, of=proposed, subject="front")
    with shop.storage.reading() as uow:
        assert uow.published.paths("/v1/makes/fellrook/") == []
    assert published(shop, "/v1/makes/fellrook/corrie/") == {}


def test_a_claim_changes_nothing_of_other_models(shop: Shop) -> None:
    with shop.storage.reading() as uow:
        assert uow.published.paths("/v1/makes/tarnvale/skerr/") == []
        assert uow.published.paths("/v1/makes/tarnvale/skerry")[:1] == [f"{MODEL}2021"]
    body = page_claim()
    with shop.storage.writing() as uow:
        submit.submit_claim(shop.people["ann"], uow, shop.clock, body, shop.key(body))
    assert set(published(shop)) == {2021, 2022, 2023}
