"""From a claim to a decision: what changes, what is refused, and that nobody rules on an own claim."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from boltspan.domain.errors import (
    Clash,
    Gone,
    InvalidInput,
    KeyReused,
    NotAllowed,
    NotAuthenticated,
    NotFound,
    PreconditionMissing,
    Stale,
)
from boltspan.services import case_view, claim_receipts, edit, lookup, review, submit
from boltspan.services.datasets import export_dataset
from boltspan.services.permissions import ANYBODY
from boltspan.services.protocols import Case
from tests.domain.builders import frame
from tests.services.conftest import Shop, page_claim, submitted

F1 = "f-0000000001"


def answer(shop: Shop, frame_id: str = F1) -> dict[str, Any]:
    with shop.storage.reading() as uow:
        return lookup.frame(uow, ANYBODY, frame_id)


def case_of(shop: Shop, subject: str = "upper", frame_id: str = F1) -> Case:
    with shop.storage.reading() as uow:
        found = uow.cases.of_subject(frame_id, subject)
    assert found is not None
    return found


def decide(shop: Shop, who: str, data: dict[str, Any], *, tag: str | None = "", key: Any = None) -> Any:
    case = case_of(shop)
    with shop.storage.writing() as uow:
        return review.decide(
            shop.people[who],
            uow,
            shop.clock,
            case.id,
            data,
            review.case_tag(case) if tag == "" else tag,
            key or shop.key(data),
        )


def settle(claims: list[str], width: str = "22.2") -> dict[str, Any]:
    return {
        "ruling": "settle",
        "value": {"mount": "hardware", "bolt_mm": 8, "width_mm": Decimal(width)},
        "rests_on": claims,
        "why": "the maker's page",
    }


def last(shop: Shop) -> int:
    with shop.storage.reading() as uow:
        return uow.events.last()


def test_a_claim_opens_a_review_and_a_decision_changes_the_answer(shop: Shop) -> None:
    assert answer(shop)["ends"]["upper"]["standing"] == "unknown"
    receipt = submitted(shop)
    claim_id = receipt.body["claim"]["id"]
    assert receipt.body["claim"]["state"] == "submitted"
    assert answer(shop)["ends"]["upper"]["standing"] == "unknown"  # one unreviewed voice
    assert case_of(shop).state == "open"
    decided = decide(shop, "mia", settle([claim_id]))
    found = answer(shop)["ends"]["upper"]
    assert (found["standing"], found["advice"], found["value"]["label"]) == ("settled", "sell", "M8 x 22.2")
    assert found["basis"]["decision"] == decided.body["decision"]["id"]
    assert case_of(shop).state == "closed"
    with shop.storage.reading() as uow:
        kinds = [e["kind"] for e in lookup.changes(uow, 0, 100)["changes"]]
        assert kinds[-2:] == ["claim_submitted", "decision_made"]
        history = lookup.history(uow, ANYBODY, F1)["history"]
        assert [h["kind"] for h in history] == ["frame_added", "claim_submitted", "decision_made"]
        published = uow.published.get(f"/v1/frames/{F1}")
        assert published is not None
        assert published.body is not None
        assert b'"settled"' in published.body


def test_a_reversal_takes_the_ruling_back_and_opens_the_case(shop: Shop) -> None:
    claim_id = submitted(shop).body["claim"]["id"]
    decision = decide(shop, "mia", settle([claim_id])).body["decision"]["id"]
    case = case_of(shop)
    with shop.storage.writing() as uow:
        review.reverse(shop.people["max"], uow, shop.clock, decision, "wrong year", review.case_tag(case), shop.key())
    found = answer(shop)["ends"]["upper"]
    assert found["standing"] == "unknown"  # the claim waits again, as before the ruling
    assert case_of(shop).state == "open"


def test_a_claim_against_a_settled_value_contests_it_and_the_value_stays(shop: Shop) -> None:
    decide_on = submitted(shop).body["claim"]["id"]
    decide(shop, "mia", settle([decide_on]))
    submitted(shop, "ben", width="25.4", document="example.org/b")
    found = answer(shop)["ends"]["upper"]
    assert (found["standing"], found["contested"], found["advice"]) == ("settled", True, "ask_first")
    assert found["value"]["width_mm"] == Decimal("22.2")
    assert case_of(shop).state == "open"


def test_settling_writes_down_what_it_overrules(shop: Shop) -> None:
    right = submitted(shop).body["claim"]["id"]
    wrong = submitted(shop, "ben", width="25.4", document="example.org/b").body["claim"]["id"]
    decision = decide(shop, "mia", settle([right])).body["decision"]
    assert decision["overrules"] == [wrong]
    assert "contested" not in answer(shop)["ends"]["upper"]


def test_nobody_decides_on_an_own_claim(shop: Shop) -> None:
    own = submitted(shop, "mia").body["claim"]["id"]
    before = last(shop)
    for data in (
        settle([own]),
        {"ruling": "leave_open", "why": "x"},
        {"ruling": "refuse_claims", "refuses": [own], "why": "x"},
    ):
        with pytest.raises(NotAllowed, match="own claim"):
            decide(shop, "mia", data)
    assert last(shop) == before
    decide(shop, "mia", {"ruling": "withhold", "why": "two bikes came back"})  # holding is the safe side
    assert answer(shop)["ends"]["upper"]["standing"] == "withheld"
    decide(shop, "max", settle([own]))
    assert answer(shop)["ends"]["upper"]["standing"] == "settled"


def test_nobody_refuses_what_speaks_against_an_own_claim_or_undoes_a_ruling_on_it(shop: Shop) -> None:
    own = submitted(shop, "mia").body["claim"]["id"]
    rival = submitted(shop, "ben", width="24", document="example.org/b").body["claim"]["id"]
    with pytest.raises(NotAllowed, match="own claim"):
        decide(shop, "mia", {"ruling": "refuse_claims", "refuses": [rival], "why": "x"})
    ruled = decide(shop, "max", {"ruling": "refuse_claims", "refuses": [own], "why": "wrong page"}).body["decision"][
        "id"
    ]
    with pytest.raises(NotAllowed, match="own claim"):
        decide(shop, "mia", {"ruling": "reverse", "reverses": ruled, "why": "mine was right"})


@pytest.mark.parametrize("after", ["reverse", "withhold", "leave_open"])
def test_nobody_brings_a_ruling_on_an_own_claim_back_by_undoing_what_came_after_it(shop: Shop, after: str) -> None:
    own = submitted(shop, "mia").body["claim"]["id"]
    first = decide(shop, "max", settle([own])).body["decision"]["id"]
    more = {"reverses": first} if after == "reverse" else {}
    second = decide(shop, "max", {"ruling": after, "why": "two bikes came back", **more}).body["decision"]["id"]
    before = last(shop)
    undo = {"ruling": "reverse", "reverses": second, "why": "mine was right"}
    with pytest.raises(NotAllowed, match=own):
        decide(shop, "mia", undo)
    assert last(shop) == before
    decide(shop, "max", undo)
    assert answer(shop)["ends"]["upper"]["standing"] == "settled"


def test_one_person_is_one_voice_whatever_the_documents_are_called(shop: Shop) -> None:
    for name in ("name 1", "name 2", "name 3"):
        source = {"kind": "retailer_chart", "document": name, "seen_on": "2026-05-01"}
        submitted(shop, "ann", source=source)
    assert answer(shop)["ends"]["upper"]["standing"] == "unknown"
    assert answer(shop)["ends"]["upper"]["basis"] == {"claims": 3, "independent": 1}


def test_a_double_is_of_the_same_make_and_ends(shop: Shop) -> None:
    other = replace(frame(2), make="quillhope", ends=("front", "rear"))
    shop.plant(other)
    with pytest.raises(InvalidInput) as caught:
        edited(shop, F1, {"edit": "merge", "into": other.id, "why": "x"})
    assert {p.code for p in caught.value.problems} == {"another_make", "other_ends"}


def test_two_maintainers_at_once_the_second_is_told(shop: Shop) -> None:
    claim_id = submitted(shop).body["claim"]["id"]
    tag = review.case_tag(case_of(shop))
    decide(shop, "mia", settle([claim_id]), tag=tag)
    with pytest.raises(Stale):
        decide(shop, "max", {"ruling": "leave_open", "why": "not sure"}, tag=tag)
    with pytest.raises(PreconditionMissing):
        decide(shop, "max", {"ruling": "leave_open", "why": "not sure"}, tag=None)


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"rests_on": ["c-zzzzzzzzzz"]}, "unknown_claim"),
        ({"rests_on": []}, "field_missing"),
        ({"value": {"mount": "hardware", "bolt_mm": 8}}, "value_incomplete"),
        ({"value": {"mount": "trunnion"}}, "rests_on_contradiction"),
        ({"why": ""}, "bad_length"),
        ({"ruling": "guess"}, "unknown_ruling"),
    ],
)
def test_a_ruling_without_grounds_is_refused(shop: Shop, change: dict[str, Any], code: str) -> None:
    claim_id = submitted(shop).body["claim"]["id"]
    before = last(shop)
    with pytest.raises(InvalidInput) as caught:
        decide(shop, "mia", settle([claim_id]) | change)
    assert code in {p.code for p in caught.value.problems}
    assert last(shop) == before


def test_a_key_is_good_for_one_request(shop: Shop) -> None:
    body = page_claim()
    with shop.storage.writing() as uow:
        first = submit.submit_claim(shop.people["ann"], uow, shop.clock, body, shop.key(body, "k"))
    with shop.storage.writing() as uow:
        again = submit.submit_claim(shop.people["ann"], uow, shop.clock, body, shop.key(body, "k"))
    assert again.replayed
    assert again.body == first.body
    with pytest.raises(KeyReused), shop.storage.writing() as uow:
        submit.submit_claim(shop.people["ann"], uow, shop.clock, body, shop.key({"other": 1}, "k"))
    with shop.storage.reading() as uow:
        assert len(uow.statements.claims(F1)) == 1


def test_a_refused_request_leaves_its_key_free(shop: Shop) -> None:
    with pytest.raises(InvalidInput), shop.storage.writing() as uow:
        submit.submit_claim(shop.people["ann"], uow, shop.clock, page_claim(width="99"), shop.key({}, "k"))
    body = page_claim()
    with shop.storage.writing() as uow:
        assert not submit.submit_claim(shop.people["ann"], uow, shop.clock, body, shop.key(body, "k")).replayed


def test_a_saved_answer_is_kept_a_day(shop: Shop) -> None:
    body = page_claim()
    with shop.storage.writing() as uow:
        submit.submit_claim(shop.people["ann"], uow, shop.clock, body, shop.key(body, "k"))
    shop.clock.instant = "2026-06-02T09:00:00.000000Z"
    with pytest.raises(Clash, match="already said"), shop.storage.writing() as uow:
        submit.submit_claim(shop.people["ann"], uow, shop.clock, body, shop.key(body, "k"))


@pytest.mark.parametrize(
    ("change", "pointer", "code"),
    [
        ({"frame": "f-zzzzzzzzzz"}, "/frame", "unknown_frame"),
        ({"subject": "front"}, "/subject", "end_of_another_pair"),
        ({"subject": "middle"}, "/subject", "unknown_subject"),
        ({"years": {"from": 2011, "to": 2012}}, "/years", "years_outside"),
        (
            {"source": {"kind": "spec_page", "document": "x", "seen_on": "2026-06-02"}},
            "/source/seen_on",
            "in_the_future",
        ),
        ({"source": {"kind": "spec_page", "url": "ftp://x", "seen_on": "2026-06-01"}}, "/source/url", "bad_url"),
        ({"value": {"mount": "hardware", "bolt_mm": 8, "width_mm": 300}}, "/value/width_mm", "impossible_size"),
    ],
)
def test_a_claim_that_does_not_go_changes_nothing(shop: Shop, change: dict[str, Any], pointer: str, code: str) -> None:
    before = last(shop)
    body = page_claim() | change
    with pytest.raises(InvalidInput) as caught, shop.storage.writing() as uow:
        submit.submit_claim(shop.people["ann"], uow, shop.clock, body, shop.key(body))
    assert (pointer, code) in {(p.pointer, p.code) for p in caught.value.problems}
    assert last(shop) == before


def test_readings_are_read_back_to_the_contributor(shop: Shop) -> None:
    source = {
        "kind": "measured",
        "seen_on": "2026-05-01",
        "instrument": {"kind": "digital_caliper", "resolution_mm": Decimal("0.01")},
        "features": {"bolt": "sleeve_bore", "width": "hardware_width"},
        "readings_mm": {"bolt": [Decimal("8.06")], "width": [Decimal("22.18"), Decimal("22.17")]},
    }
    body = {"frame": F1, "subject": "upper", "source": source}
    with shop.storage.writing() as uow:
        receipt = submit.submit_claim(shop.people["ann"], uow, shop.clock, body, shop.key(body))
    assert receipt.body["reads_as"]["label"] == "M8 x 22.2"
    source["readings_mm"] = {"bolt": [Decimal("12.71")], "width": [Decimal("22.18")]}
    with shop.storage.writing() as uow:
        wrong = submit.submit_claim(shop.people["ben"], uow, shop.clock, body, shop.key(body))
    assert wrong.body["mistake"]["code"] == "measured_bushing_or_eyelet_bore"
    assert wrong.body["mistake"]["advice"]


def test_only_the_contributor_takes_a_claim_back(shop: Shop) -> None:
    claim_id = submitted(shop).body["claim"]["id"]
    with pytest.raises(NotFound), shop.storage.writing() as uow:
        submit.withdraw_claim(shop.people["ben"], uow, shop.clock, claim_id, "x", shop.key())
    with shop.storage.writing() as uow:
        receipt = submit.withdraw_claim(shop.people["ann"], uow, shop.clock, claim_id, "wrong page", shop.key())
    assert receipt.body["claim"]["state"] == "withdrawn"
    assert answer(shop)["ends"]["upper"]["basis"]["claims"] == 0
    with pytest.raises(Clash), shop.storage.writing() as uow:
        submit.withdraw_claim(shop.people["ann"], uow, shop.clock, claim_id, "again", shop.key())


def test_anothers_claim_by_id_answers_like_a_missing_one(shop: Shop) -> None:
    claim_id = submitted(shop).body["claim"]["id"]
    for name in (claim_id, "c-zzzzzzzzzz", "nonsense"):
        with shop.storage.reading() as uow, pytest.raises(NotFound):
            claim_receipts.claim(shop.people["ben"], uow, shop.clock, name)
    with shop.storage.reading() as uow:
        assert claim_receipts.claim(shop.people["ann"], uow, shop.clock, claim_id)["claim"]["id"] == claim_id
        assert claim_receipts.claim(shop.people["mia"], uow, shop.clock, claim_id)["review"]["state"] == "open"


def test_an_unreviewed_quote_is_not_public(shop: Shop) -> None:
    body = page_claim()
    body["source"]["quote"] = "call me at home"
    with shop.storage.writing() as uow:
        submit.submit_claim(shop.people["ann"], uow, shop.clock, body, shop.key(body))
    with shop.storage.reading() as uow:
        public = lookup.claims(uow, ANYBODY, F1)["subjects"]["upper"]["claims"][0]
        own = lookup.claims(uow, shop.people["ann"], F1)["subjects"]["upper"]["claims"][0]
    assert "quote" not in public["source"]
    assert own["source"]["quote"] == "call me at home"


def test_words_that_nobody_has_looked_at_do_not_come_out_by_taking_the_claim_back(shop: Shop) -> None:
    """A quote and a reason are strangers' words: public once somebody has ruled on the claim, not before."""
    body = page_claim()
    body["source"]["quote"] = "call me at home"
    with shop.storage.writing() as uow:
        claim = submit.submit_claim(shop.people["ann"], uow, shop.clock, body, shop.key(body)).body["claim"]["id"]
        submit.withdraw_claim(shop.people["ann"], uow, shop.clock, claim, "or write to me", shop.key())
    with shop.storage.reading() as uow:
        told = [lookup.claims(uow, ANYBODY, F1), lookup.history(uow, ANYBODY, F1), lookup.changes(uow, 0, 100),
                repr(export_dataset(uow))]  # fmt: skip
        own = lookup.claims(uow, shop.people["ann"], F1)["subjects"]["upper"]["claims"][0]
    for public in map(str, told):
        assert "call me" not in public and "write to me" not in public
    assert claim in str(told[0]) and claim not in str(told[3])
    assert own["withdrawn"]["why"] == "or write to me"
    ruled = submitted(shop, "ben", document="example.org/b").body["claim"]["id"]
    decide(shop, "mia", settle([ruled]))
    with shop.storage.writing() as uow:
        submit.withdraw_claim(shop.people["ben"], uow, shop.clock, ruled, "the wrong bike", shop.key())
    with shop.storage.reading() as uow:
        assert "the wrong bike" in str(lookup.history(uow, ANYBODY, F1))
        assert "the wrong bike" in repr(export_dataset(uow))


PROPOSAL = {
    "make": {"name": "Fellrook"},
    "model": {"name": "Corrie 140"},
    "years": {"from": 2024},
    "ends": ["front", "rear"],
}


def propose(shop: Shop, who: str = "ann", **more: Any) -> str:
    body = PROPOSAL | more
    with shop.storage.writing() as uow:
        return str(submit.propose_frame(shop.people[who], uow, shop.clock, body, shop.key(body)).body["frame"]["id"])


def edited(shop: Shop, frame_id: str, data: dict[str, Any], who: str = "mia") -> Any:
    with shop.storage.writing() as uow:
        stored = uow.catalogue.frame(frame_id)
        assert stored is not None
        return edit.edit_frame(
            shop.people[who], uow, shop.clock, frame_id, data, edit.frame_tag(stored), shop.key(data)
        )


def test_a_proposal_is_unlisted_until_somebody_else_accepts_it(shop: Shop) -> None:
    frame_id = propose(shop, "mia")
    with shop.storage.reading() as uow:
        assert "fellrook" not in [m["slug"] for m in lookup.makes(uow)["makes"]]
    with pytest.raises(NotFound):
        answer(shop, frame_id)
    submitted(shop, "mia", of=frame_id, subject="front")  # a claim may name it at once
    with pytest.raises(NotAllowed, match="own proposal"):
        edited(shop, frame_id, {"edit": "accept", "why": "mine"}, "mia")
    edited(shop, frame_id, {"edit": "accept", "why": "seen on the maker's page"}, "max")
    assert answer(shop, frame_id)["make"]["name"] == "Fellrook"
    with shop.storage.reading() as uow:
        assert "fellrook" in [m["slug"] for m in lookup.makes(uow)["makes"]]


def test_a_proposal_that_is_withdrawn_waits_no_more_and_waits_again_when_restored(shop: Shop) -> None:
    frame_id = propose(shop)
    assert record_case(shop, frame_id).state == "open"
    edited(shop, frame_id, {"edit": "years", "years": {"from": 2022}, "why": "not made before"})
    assert record_case(shop, frame_id).state == "open"
    edited(shop, frame_id, {"edit": "withdraw", "why": "there is no such frame"})
    assert record_case(shop, frame_id).state == "closed"
    edited(shop, frame_id, {"edit": "restore", "why": "there is one"})
    case = record_case(shop, frame_id)
    assert (case.state, case.reasons) == ("open", ("proposal",))
    edited(shop, frame_id, {"edit": "accept", "why": "seen"})
    assert record_case(shop, frame_id).state == "closed"


def record_case(shop: Shop, frame_id: str) -> Case:
    with shop.storage.reading() as uow:
        case = uow.cases.of_subject(frame_id, "record")
    assert case is not None
    return case


def test_a_proposal_that_overlaps_is_refused(shop: Shop) -> None:
    with pytest.raises(InvalidInput) as caught:
        propose(shop, make={"name": "Tarnvale"}, model={"name": "Skerry"}, years={"from": 2023})
    assert caught.value.problems[0].code == "years_overlap"


def test_a_withdrawn_frame_is_gone_and_takes_no_claim(shop: Shop) -> None:
    edited(shop, F1, {"edit": "withdraw", "why": "never made"})
    with pytest.raises(Gone, match="never made"):
        answer(shop)
    with pytest.raises(InvalidInput) as caught:
        submitted(shop)
    assert caught.value.problems[0].code == "frame_withdrawn"
    with shop.storage.reading() as uow:
        tombstone = uow.published.get(f"/v1/frames/{F1}")
        assert tombstone is not None
        assert tombstone.body is None
        assert lookup.year(uow, "tarnvale", "skerry", 2022)["outcome"] == "unknown"
    with pytest.raises(Clash):
        edited(shop, F1, {"edit": "years", "years": {"from": 2020}, "why": "x"})


def test_a_divided_frame_names_the_parts_and_the_question(shop: Shop) -> None:
    ask = "Which letter does the serial number start with?"
    parts = [
        {"qualifier": {"kind": "serial", "to": "K4", "ask": ask}},
        {"qualifier": {"kind": "serial", "from": "K5", "ask": ask}},
    ]
    edited(shop, F1, {"edit": "divide", "parts": parts, "why": "running change"})
    with pytest.raises(Gone) as caught:
        answer(shop)
    with shop.storage.reading() as uow:
        year = lookup.year(uow, "tarnvale", "skerry", 2022)
    assert year["outcome"] == "several"
    assert year["ask"] == ask
    assert {f["id"] for f in year["frames"]} == set(caught.value.ask_instead)


def test_a_merged_frame_points_to_the_other(shop: Shop) -> None:
    shop.plant(frame(2, start=2024, end=2025))
    edited(shop, "f-0000000002", {"edit": "merge", "into": F1, "why": "a double"})
    with shop.storage.reading() as uow:
        found = lookup.lookups(uow, lookup.name_index(uow), [{"ref": "a", "frame": "f-0000000002"}])["answers"][0]
    assert (found["outcome"], found["frames"][0]["id"], found["asked"]) == ("one", F1, "f-0000000002")
    edited(shop, F1, {"edit": "withdraw", "why": "never made"})
    with shop.storage.reading() as uow:
        questions = [{"ref": "bad", "frame": "f-0000000002"}, {"ref": "ok", "q": "skerry"}]
        answers = lookup.lookups(uow, lookup.name_index(uow), questions)["answers"]
    assert [a["outcome"] for a in answers] == ["gone", "unknown"]


def test_edits_want_the_newest_state(shop: Shop) -> None:
    with shop.storage.reading() as uow:
        stored = uow.catalogue.frame(F1)
        assert stored is not None
    tag = edit.frame_tag(stored)
    submitted(shop)
    data = {"edit": "years", "years": {"from": 2020, "to": 2022}, "why": "the maker's archive"}
    with pytest.raises(Stale), shop.storage.writing() as uow:
        edit.edit_frame(shop.people["mia"], uow, shop.clock, F1, data, tag, shop.key(data))
    edited(shop, F1, data)
    with shop.storage.reading() as uow:
        assert lookup.year(uow, "tarnvale", "skerry", 2020)["outcome"] == "one"
        published = uow.published.get("/v1/makes/tarnvale/skerry/2023")
        assert published is not None
        assert published.body is not None
        assert b'"unknown"' in published.body


def test_without_a_token_nothing_is_written(shop: Shop) -> None:
    with pytest.raises(NotAuthenticated), shop.storage.writing() as uow:
        submit.submit_claim(ANYBODY, uow, shop.clock, page_claim(), shop.key())
    with pytest.raises(NotAllowed), shop.storage.reading() as uow:
        case_view.reviews(shop.people["ann"], uow, None, None, 10)


def test_the_queue_shows_the_longest_waiting_first(shop: Shop) -> None:
    shop.plant(frame(2, start=2024, end=2025))
    submitted(shop)
    submitted(shop, of="f-0000000002")
    with shop.storage.reading() as uow:
        first = case_view.reviews(shop.people["mia"], uow, "open", None, 1)
        assert [r["frame"] for r in first.reviews] == [F1]
        rest = case_view.reviews(shop.people["mia"], uow, "open", first.after, 5)
        assert [r["frame"] for r in rest.reviews] == ["f-0000000002"]
        whole, _ = case_view.review(shop.people["mia"], uow, shop.clock, first.reviews[0]["id"])
    assert whole["published"]["standing"] == "unknown"
    assert whole["claims"][0]["value"]["width_mm"] == Decimal("22.2")
