"""The published rule at work: what it settles, and everything that holds it back."""

from __future__ import annotations

import datetime
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from boltspan.domain.acceptance import HELD
from boltspan.domain.ids import RULE_AUTHOR
from boltspan.domain.review import Decision
from boltspan.services import case_view, claim_receipts, flags, lookup, review
from boltspan.services.accounts import authenticate, issue_token
from boltspan.services.clock import SystemClock
from boltspan.services.contributors import record_of
from boltspan.services.permissions import ANYBODY, COMMAND_LINE
from boltspan.services.protocols import UnitOfWork
from boltspan.services.published_rule import set_limit
from boltspan.services.settling import judged
from boltspan.services.submit import submit_claim
from boltspan.storage import SqlStorage
from tests.domain.builders import SIZE, frame, page
from tests.services.conftest import Shop, page_claim

F1 = "f-0000000001"


def person(shop: Shop, who: str) -> str:
    found = shop.people[who].person
    assert found is not None
    return found


def join(shop: Shop, who: str) -> None:
    """Let somebody sign up."""
    with shop.storage.writing() as uow:
        shop.people[who] = authenticate(uow, shop.clock, issue_token(uow, shop.clock, role="contributor").text)


def prove(shop: Shop, *people: str, times: int = 10, first: int = 100) -> None:
    """Let people have accepted claims elsewhere: each sent and reviewed, as a maintainer does it."""
    for offset, who in enumerate(people):
        number = first + 50 * offset
        frames = [replace(frame(number + n), model=f"m{number + n}") for n in range(times)]
        shop.plant(*frames)
        for f in frames:
            sent = send(shop, who, caliper(f.id, subject="lower"))
            settle_as(shop, "mia", f.id, "lower", [sent])


def caliper(of: str = F1, *, width: str = "22.19", subject: str = "upper", bolt: str = "8.06") -> dict[str, Any]:
    """Return the body of a measured claim."""
    source = {
        "kind": "measured",
        "seen_on": "2023-12-01",
        "instrument": {"kind": "digital_caliper", "resolution_mm": Decimal("0.01")},
        "features": {"bolt": "sleeve_bore", "width": "hardware_width"},
        "readings_mm": {"bolt": [Decimal(bolt)], "width": [Decimal(width), Decimal(width) + Decimal("0.01")]},
    }
    return {"frame": of, "subject": subject, "source": source}


def limit(uow: UnitOfWork, name: str, number: int) -> None:
    """Set one of the rule's limits."""
    set_limit(COMMAND_LINE, uow, SystemClock(), name, number, "for a test")


def send(shop: Shop, who: str, body: dict[str, Any]) -> str:
    with shop.storage.writing() as uow:
        return str(submit_claim(shop.people[who], uow, shop.clock, body, shop.key(body)).body["claim"]["id"])


def settle_as(shop: Shop, who: str, of: str, subject: str, claims: list[str], width: str = "22.2") -> Any:
    data = {
        "ruling": "settle",
        "value": {"mount": "hardware", "bolt_mm": 8, "width_mm": Decimal(width)},
        "rests_on": claims,
        "why": "looked at",
    }
    return rule_as(shop, who, of, subject, data)


def rule_as(shop: Shop, who: str, of: str, subject: str, data: dict[str, Any]) -> Any:
    with shop.storage.writing() as uow:
        case = uow.cases.of_subject(of, subject)
        assert case is not None
        tag = review.case_tag(case)
        return review.decide(shop.people[who], uow, shop.clock, case.id, data, tag, shop.key(data))


def upper(shop: Shop, of: str = F1) -> dict[str, Any]:
    with shop.storage.reading() as uow:
        found: dict[str, Any] = lookup.frame(uow, ANYBODY, of)["ends"]["upper"]
    return found


def by_rule(shop: Shop, of: str = F1) -> list[Decision]:
    with shop.storage.reading() as uow:
        return [d for d in uow.statements.decisions(of) if d.by == RULE_AUTHOR]


def held(shop: Shop, of: str = F1) -> set[str]:
    with shop.storage.reading() as uow:
        stored = uow.catalogue.frame(of)
        assert stored is not None
        return set(judged(uow, shop.clock, stored.frame, "upper").held)


@pytest.fixture
def proven(shop: Shop) -> Shop:
    """Return the shop with two contributors who are not new any more, after one accepted claim here."""
    with shop.storage.writing() as uow:
        limit(uow, "proven_after", 1)
    prove(shop, "ann", "ben", times=1)
    return shop


def test_two_proven_people_with_evidence_of_their_own_settle_a_value(proven: Shop) -> None:
    first = send(proven, "ann", page_claim(document="example.org/tarnvale-skerry"))
    assert by_rule(proven) == []
    assert "too_few_confirm" in held(proven) | {"too_few_confirm"}
    second = send(proven, "ben", caliper())
    [decision] = by_rule(proven)
    assert (decision.ruling, set(decision.rests_on)) == ("settle", {first, second})
    found = upper(proven)
    assert (found["standing"], found["value"]["label"], found["basis"]["independent"]) == ("settled", "M8 x 22.2", 2)
    with proven.storage.reading() as uow:
        told = claim_receipts.claim(proven.people["ann"], uow, proven.clock, first)
    assert (told["claim"]["state"], told["review"]["state"]) == ("accepted", "closed")


def test_new_accounts_confirm_nothing_until_ten_are_accepted(shop: Shop) -> None:
    prove(shop, "ann")
    prove(shop, "ben", times=9, first=300)
    send(shop, "ann", page_claim())
    send(shop, "ben", caliper())
    assert by_rule(shop) == []
    assert "too_few_confirm" in held(shop)
    prove(shop, "ben", times=1, first=400)
    assert "too_few_confirm" not in held(shop)


def test_an_account_that_was_long_away_counts_as_new(proven: Shop) -> None:
    proven.clock.instant = "2028-07-01T08:00:00.000000Z"
    with proven.storage.reading() as uow:
        assert not record_of(uow, person(proven, "ann"), "2028-07-01").proven
    send(proven, "ann", page_claim())
    send(proven, "ben", caliper())
    assert by_rule(proven) == []
    with proven.storage.writing() as uow:
        limit(uow, "pause_days", 9999)
        assert record_of(uow, person(proven, "ann"), "2028-07-01").proven


def test_two_readers_of_one_document_are_one_voice(proven: Shop) -> None:
    for who in ("ann", "ben"):
        send(proven, who, page_claim())
    assert by_rule(proven) == []
    assert "too_few_confirm" in held(proven) or "evidence_undecided" in held(proven)


def test_whatever_counts_and_differs_holds_the_rule_back(proven: Shop) -> None:
    join(proven, "eve")
    send(proven, "eve", page_claim(width="25.4", document="example.org/eve"))
    send(proven, "ann", page_claim())
    send(proven, "ben", caliper())
    assert by_rule(proven) == []
    assert held(proven) & {"claim_differs", "evidence_undecided"}


def test_a_reading_that_looks_like_a_mistake_holds_the_rule_back(proven: Shop) -> None:
    send(proven, "ann", page_claim())
    send(proven, "ben", caliper(bolt="12.71"))
    assert by_rule(proven) == []
    assert "reading_flagged" in held(proven)


def test_an_open_flag_of_anybody_holds_the_rule_back_and_a_ruling_closes_it(proven: Shop) -> None:
    data = {"frame": F1, "subject": "upper", "reason": "did_not_fit", "words": "2 mm too wide"}
    before = upper(proven)
    with proven.storage.writing() as uow:
        receipt = flags.set_flag(ANYBODY, uow, proven.clock, data, proven.key(data))
    assert "words" not in receipt.body["flag"]
    assert upper(proven) == before  # a flag changes no answer
    first = send(proven, "ann", page_claim())
    second = send(proven, "ben", caliper())
    assert by_rule(proven) == []
    assert "flag_open" in held(proven)
    with proven.storage.reading() as uow:
        case = uow.cases.of_subject(F1, "upper")
        assert case is not None
        whole, _ = case_view.review(proven.people["mia"], uow, proven.clock, case.id)
    assert [f["words"] for f in whole["flags"]] == ["2 mm too wide"]
    assert whole["stake"]["flags"] > 0
    settle_as(proven, "mia", F1, "upper", [first, second])
    assert "flag_open" not in held(proven)


def test_what_a_person_undid_the_rule_does_not_do_again(proven: Shop) -> None:
    send(proven, "ann", page_claim())
    send(proven, "ben", caliper())
    [decision] = by_rule(proven)
    rule_as(proven, "mia", F1, "upper", {"ruling": "reverse", "reverses": decision.id, "why": "the wrong year's page"})
    join(proven, "eve")
    send(proven, "eve", page_claim(document="example.org/third"))
    assert len(by_rule(proven)) == 1
    assert "reversed" in held(proven)


def test_the_machine_changes_only_so_many_values_a_day_on_one_word(proven: Shop) -> None:
    """A day is 24 hours: midnight lets nobody begin anew."""
    shop = replace(proven, storage=SqlStorage(proven.storage.engine, proven.clock))  # type: ignore[attr-defined]
    evening = datetime.datetime.fromisoformat(SystemClock().today()) + datetime.timedelta(days=1, hours=23, minutes=50)

    def wait(**more: int) -> None:
        shop.clock.instant = (evening + datetime.timedelta(**more)).strftime("%Y-%m-%dT%H:%M:%S.%fZ")

    wait()
    with shop.storage.writing() as uow:
        limit(uow, "changes_a_day", 2)
    shop.plant(*(replace(frame(n), model=f"m{n}") for n in range(11, 14)))
    ids = [f"f-{n:010d}" for n in range(11, 14)]
    for minutes, of in zip((0, 5, 20), ids, strict=True):
        wait(minutes=minutes)
        send(shop, "ann", page_claim(of=of, document=f"example.org/{of}"))
        send(shop, "ben", caliper(of))
    assert [len(by_rule(shop, of)) for of in ids] == [1, 1, 0]
    assert held(shop, ids[2]) == {"daily_limit"}
    with shop.storage.reading() as uow:  # all that was sent is kept
        assert all(len(uow.statements.claims(of)) == 2 for of in ids)
    wait(hours=23)
    assert held(shop, ids[2]) == {"daily_limit"}
    wait(hours=24, minutes=1)
    assert held(shop, ids[2]) == set()


def test_a_large_batch_is_reviewed_as_one(proven: Shop) -> None:
    with proven.storage.writing() as uow:
        limit(uow, "batch", 3)
    proven.plant(*(replace(frame(n), model=f"m{n}") for n in range(11, 14)))
    ids = [f"f-{n:010d}" for n in range(11, 14)]
    for of in ids:
        send(proven, "ann", page_claim(of=of, document="a whole table"))
    send(proven, "ben", caliper(ids[0]))
    assert by_rule(proven, ids[0]) == []
    assert held(proven, ids[0]) == {"batch", "too_few_confirm"}


def test_fifty_fresh_accounts_settle_nothing_and_are_not_shown_as_provisional(shop: Shop) -> None:
    """The size itself is false: every one of the fifty says 24, as a spec page or by caliper."""
    people = [f"new{n}" for n in range(50)]
    for n, who in enumerate(people):
        join(shop, who)
        body = caliper(width="24") if n % 2 else page_claim(width="24", document=f"example.org/{n}")
        send(shop, who, body)
    found = upper(shop)
    assert found["standing"] in ("unknown", "disputed")
    assert (found["advice"], "value" in found) == ("do_not_sell", False)
    assert by_rule(shop) == []
    assert "too_few_confirm" in held(shop)
    one = page(900, SIZE, document="example.org/maker")
    shop.plant(frame(2, start=2024, end=2025), claims=(replace(one, frame="f-0000000002"),))
    before = upper(shop, "f-0000000002")
    assert before["value"]["label"] == "M8 x 22.2"
    for n, who in enumerate(people[:10]):
        send(shop, who, page_claim(of="f-0000000002", width="24", document=f"example.org/x{n}"))
    assert upper(shop, "f-0000000002").get("value", before["value"]) == before["value"]  # doubtful, never false


def test_every_reason_to_hold_back_has_its_text() -> None:
    assert all(text.endswith(".") for text in HELD.values())
