"""Frames are weighed again with every change, in the same transaction, and alike on both databases."""

from __future__ import annotations

import itertools
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from boltspan.domain.claims import Claim
from boltspan.domain.findings import Finding
from boltspan.domain.values import EndValue
from boltspan.domain.weighed import BOLT_TOLERANCE_MM, MODELLED_BOLTS_MM, WIDTH_TOLERANCE_MM
from boltspan.evidence import load_parameters
from boltspan.services import edit, lookup, review, submit
from boltspan.services.evidence_rows import catalogue_rows, claim_rows
from boltspan.services.permissions import ANYBODY
from boltspan.services.protocols import Storage
from boltspan.services.publishing import findings_of, republish_all
from boltspan.services.snapshots import CURRENT, prepared
from boltspan.services.weighing import LEAST_P, LEAST_UNNAMED_P, candidate_from, resolve
from tests.domain.builders import BEN, CAM, SIZE, frame, measured, page, ruling
from tests.services.conftest import Shop, page_claim, plant, submitted

F1 = "f-0000000001"
CALIPER = {"bolt": ("sleeve_bore", "8.06"), "width": ("hardware_width", "22.18 22.19")}


def upper(shop: Shop) -> dict[str, Any]:
    with shop.storage.reading() as uow:
        found: dict[str, Any] = lookup.frame(uow, ANYBODY, F1)["ends"]["upper"]
        assert uow.published.get(f"/v1/frames/{F1}") is not None
        return found


def finding(storage: Storage, of: str = F1) -> Finding:
    with storage.reading() as uow:
        stored = uow.catalogue.frame(of)
        assert stored is not None
        return findings_of(uow, [stored.frame])[of][1]


def test_the_evidences_own_tolerances_are_those_of_findings() -> None:
    numbers = load_parameters()
    assert tuple(float(b) for b in MODELLED_BOLTS_MM) == numbers.bolt.nominal_mm
    assert float(WIDTH_TOLERANCE_MM) == numbers.sizes.width_tolerance_mm
    assert float(BOLT_TOLERANCE_MM) == numbers.sizes.bolt_tolerance_mm


def test_a_new_claim_a_withdrawal_a_decision_and_an_edit_are_weighed_at_once(shop: Shop) -> None:
    receipt = submitted(shop)
    one = upper(shop)
    assert (one["standing"], one["candidates"][0]["p"] > Decimal("0.9")) == ("unknown", True)  # one waiting voice
    submitted(shop, "ben", document="example.org/b", source={"kind": "manual", "document": "example.org/b",
                                                            "seen_on": "2026-05-01"})  # fmt: skip
    two = upper(shop)
    assert two["candidates"][0]["p"] > one["candidates"][0]["p"]
    assert two["candidates"][0]["independent"] == 2
    with shop.storage.writing() as uow:
        claim_id = receipt.body["claim"]["id"]
        submit.withdraw_claim(shop.people["ann"], uow, shop.clock, claim_id, "a slip", shop.key())
    assert upper(shop)["candidates"][0]["p"] < two["candidates"][0]["p"]


def test_a_settled_value_bears_the_evidences_confidence(shop: Shop) -> None:
    body = submitted(shop).body
    with shop.storage.writing() as uow:
        case = uow.cases.case(body["review"]["id"])
        assert case is not None
        told = {"ruling": "settle", "value": page_claim()["value"], "rests_on": [body["claim"]["id"]], "why": "a test"}
        review.decide(shop.people["mia"], uow, shop.clock, case.id, told, "*", shop.key())
    settled = upper(shop)
    assert (settled["standing"], settled["value"]["label"]) == ("settled", "M8 x 22.2")
    assert Decimal("0.9") < settled["confidence"] < 1


def test_an_edit_of_the_years_weighs_the_claims_that_still_speak(shop: Shop) -> None:
    shop.plant(frame(2, start=2010, end=2014), claims=(
        page(1, SIZE, of=frame(2, start=2010, end=2014), years={"from": 2010, "to": 2011}),
        page(2, SIZE | {"width_mm": 30}, of=frame(2, start=2010, end=2014), years={"from": 2013, "to": 2014}),
    ))  # fmt: skip
    assert finding(shop.storage, "f-0000000002").standing == "disputed"
    with shop.storage.writing() as uow:
        stored = uow.catalogue.frame("f-0000000002")
        assert stored is not None
        data = {"edit": "years", "years": {"from": 2010, "to": 2012}, "why": "for a test"}
        edit.edit_frame(shop.people["mia"], uow, shop.clock, "f-0000000002", data, edit.frame_tag(stored), shop.key())
    assert finding(shop.storage, "f-0000000002").standing == "provisional"


def test_an_edit_that_makes_claims_contradict_each_other_opens_a_review(shop: Shop) -> None:
    of = frame(2, start=2010, end=2012)
    shop.plant(of, claims=(
        page(1, SIZE, of=of, years={"from": 2010, "to": 2011}),
        page(2, SIZE | {"width_mm": 30}, of=of, years={"from": 2014, "to": 2014}),
    ))  # fmt: skip
    with shop.storage.writing() as uow:
        stored = uow.catalogue.frame(of.id)
        assert stored is not None
        data = {"edit": "years", "years": {"from": 2010, "to": 2014}, "why": "for a test"}
        edit.edit_frame(shop.people["mia"], uow, shop.clock, of.id, data, edit.frame_tag(stored), shop.key())
        case = uow.cases.of_subject(of.id, "upper")
        assert case is not None
        assert (case.state, case.reasons) == ("open", ("disputed",))


CLAIMS = (page(1, SIZE), measured(2, **CALIPER, by=BEN), page(3, SIZE | {"width_mm": "25.4"}, by=CAM))  # type: ignore[arg-type]


def test_the_order_of_claims_does_not_matter(shop: Shop) -> None:
    found = []
    for number, order in enumerate(itertools.permutations(CLAIMS), 2):
        of = frame(number, start=1980 + number, end=1980 + number)
        claims = tuple(replace(c, id=f"c-{10 * number + i:010d}", frame=of.id) for i, c in _by_id(order))
        shop.plant(of, claims=claims)
        said = finding(shop.storage, of.id)
        found.append((said.standing, [(c.value, c.p) for c in said.candidates]))
    assert len(found) == 6
    assert all(one == found[0] for one in found)


def _by_id(order: tuple[Claim, ...]) -> list[tuple[int, Claim]]:
    return [(CLAIMS.index(c), c) for c in order]


def test_a_document_brought_by_many_weighs_as_one(shop: Shop) -> None:
    def planted(number: int, claims: int) -> Finding:
        of = frame(number, start=1990 + number, end=1990 + number)
        shop.plant(of, claims=tuple(
            page(100 * number + n, SIZE, of=of, document="example.org/one", by=f"p-{n:010d}") for n in range(claims)
        ))  # fmt: skip
        return finding(shop.storage, of.id)

    one, many = planted(2, 1), planted(3, 12)
    assert one.confidence == pytest.approx(many.confidence, abs=1e-9)
    assert (one.independent, many.independent) == (1, 1)


def test_one_source_is_never_accepted(shop: Shop) -> None:
    """However often one page is brought and one person measures: accepting needs a second witness."""
    of = frame(2, start=1990, end=1990)
    shop.plant(of, claims=tuple(page(10 + n, SIZE, of=of, document="d", by=f"p-{n:010d}") for n in range(9)))
    other = frame(3, start=1991, end=1991)
    shop.plant(other, claims=tuple(replace(measured(30 + n, **CALIPER), frame=other.id) for n in range(9)))  # type: ignore[arg-type]
    with shop.storage.reading() as uow:
        current = uow.settings.get(CURRENT)
        assert current is not None
        for frame_id in (of.id, other.id):
            rows = {row.subject: row.weighed for row in uow.weighed.of_frames(current, [frame_id])[frame_id]}
            said = rows["upper"]
            assert said is not None
            assert (said.witnesses, said.outcome) == (1, "insufficient")
            assert rows["lower"] is None  # nobody spoke of it


def test_what_is_published_is_what_all_of_it_weighed_anew_gives(shop: Shop) -> None:
    shop.plant(frame(2, start=2000, end=2001), claims=tuple(replace(c, frame="f-0000000002") for c in CLAIMS))
    path = "/v1/frames/f-0000000002"
    with shop.storage.writing() as uow:
        before = uow.published.get(path)
        republish_all(uow)
        after = uow.published.get(path)
        assert before is not None
        assert after is not None
        assert before.body == after.body


def test_an_empty_dataset_knows_the_trades_sizes(shop: Shop) -> None:
    """Nobody has settled anything yet; a page and a caliper are enough for a sure value all the same."""
    shop.plant(frame(2, start=2000, end=2001), claims=tuple(replace(c, frame="f-0000000002") for c in CLAIMS[:2]))
    found = finding(shop.storage, "f-0000000002")
    assert found.confidence is not None
    assert found.confidence > 0.99


def test_widths_that_one_page_could_name_alike_are_one() -> None:
    """1 1/4 in is 31.75 and is often written 31.8: with both known, each would take half of the word of a page."""
    values = [EndValue("hardware", Decimal(8), Decimal(w)) for w in ("31.8", "31.8", "31.75", "22.2", "22.225", "44.5")]
    rows = [r for r in catalogue_rows([*values, EndValue("trunnion")]) if r["count"]]
    assert rows == [
        {"mount": "trunnion", "count": 1},
        {"mount": "hardware", "bolt_mm": 8.0, "width_mm": 22.2, "count": 2},
        {"mount": "hardware", "bolt_mm": 8.0, "width_mm": 31.8, "count": 3},
        {"mount": "hardware", "bolt_mm": 8.0, "width_mm": 44.5, "count": 1},
    ]


def test_claims_as_the_evidence_reads_them() -> None:
    """Refused ones and a mount without sizes are left out or say no size; a size without a mount is hardware's."""
    claims = [
        page(1, {"width_mm": "22.2"}, kind="retailer_chart"),
        page(2, {"bearing_compatible": True}),
        page(3, SIZE),
        measured(4, **CALIPER, value={"mount": "bearing"}),  # type: ignore[arg-type]
        measured(5, width=("tab_gap", "22.3"), tool="tape", step="1"),
        page(6, SIZE, kind="fitted"),
    ]
    rows = claim_rows(frame(), claims, [ruling(1, "refuse_claims", refuses=[3])])
    assert [(r["claim_id"][-1], r["source"], r["mount"], r.get("width_mm")) for r in rows] == [
        ("1", "retailer_chart", "hardware", 22.2),
        ("4", "caliper", "bearing", None),
        ("5", "ruler", "hardware", [22.3]),
        ("6", "fitted", "hardware", 22.2),
    ]
    assert ["document_id" in r for r in rows] == [True, False, False, False]
    assert [r["claim_id"][-1] for r in rows if not r.get("mount_stated", True)] == ["5"]  # a reading, and no word of it


@pytest.mark.parametrize("ruled", [False, True])
def test_what_is_stored_of_many_frames_is_what_each_gives_by_itself(filled: Storage, ruled: bool) -> None:
    """Frames are weighed together and by short lists; `resolve_frame` for one frame, its list whole, is the measure."""
    with filled.reading() as uow:
        ready = prepared(uow, uow.settings.get(CURRENT))
        assert ready is not None
        compared = 0
        for stored in itertools.islice((s for s in uow.catalogue.every_frame() if s.frame.live), 60):
            of = stored.frame.id
            claims, decisions = uow.statements.claims_of_frames([of]), uow.statements.decisions_of_frames([of])
            rows = uow.weighed.of_frames(ready.id, [of])
            _, results = resolve([stored.frame], claims, decisions, ready, rows)
            for row in rows[of]:
                settled = any(d.subject == row.subject and d.ruling == "settle" for d in decisions[of])
                if row.weighed is None or settled != ruled:
                    continue
                whole = results[f"{of} {row.subject}"]
                assert (row.weighed.outcome, row.weighed.witnesses) == (whole["outcome"], whole["witnesses"])
                known = {c.value: c for c in row.weighed.candidates}
                for written in whole["candidates"]:
                    alone = candidate_from(written)
                    kept = known.pop(alone.value, None)
                    if kept is None:
                        assert alone.p < (LEAST_P if alone.claims else LEAST_UNNAMED_P)
                    else:
                        assert kept.claims == alone.claims
                        assert kept.p == pytest.approx(alone.p, abs=1e-9)
                assert not known
                compared += 1
    assert compared >= 10


def test_a_snapshot_is_prepared_once_and_a_young_dataset_rests_on_the_parameters(shop: Shop) -> None:
    with shop.storage.reading() as uow:
        known = uow.settings.get(CURRENT)
        ready = prepared(uow, known)
        assert ready is not None
        assert ready is prepared(uow, known)
    assert (ready.rates.contributors, ready.rates.offsets_mm) == ({}, {})
    assert ready.rates.model_version == load_parameters().model_version


def test_a_first_fill_learns_and_weighs(filled: Storage) -> None:
    """The caliper that reads 0.2 too much everywhere is found out, and 20.2 is read as 20."""
    with filled.reading() as uow:
        ready = prepared(uow, uow.settings.get(CURRENT))
        assert ready is not None
        assert ready.rates.offsets_mm["p-sdph4cahgv"] > 0.1
        assert uow.weighed.count_waiting(ready.id) == 0
        stored = uow.catalogue.frame("f-x6uj8s4w4e")
        assert stored is not None
        found = findings_of(uow, [stored.frame])["f-x6uj8s4w4e"][1]
    assert (found.standing, found.value) == ("provisional", EndValue("hardware", Decimal(8), Decimal(20)))


def test_plant_is_what_a_filled_dataset_is(shop: Shop) -> None:
    with shop.storage.writing() as uow:
        plant(uow, frame(2, start=2000, end=2001))
    assert finding(shop.storage, "f-0000000002").standing == "unknown"
