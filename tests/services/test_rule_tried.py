"""The published rule is tried after whatever may let it settle, once and without end; and what tries to trick it."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from boltspan.domain.acceptance import confirming, names_all
from boltspan.domain.errors import NotAllowed
from boltspan.domain.statement_readings import statement_of
from boltspan.domain.values import EndValue
from boltspan.services import document_reviews, edit, flags, relearning, review, submit
from boltspan.services.contributors import limits_of, record_of
from boltspan.services.keeping_accounts import block_account
from boltspan.services.own_account import leave
from boltspan.services.permissions import ANYBODY, COMMAND_LINE
from boltspan.services.protocols import Case
from boltspan.services.undoing import undo_account
from tests.domain.builders import SIZE, frame, page
from tests.services.conftest import Shop, page_claim
from tests.services.test_history import release_files
from tests.services.test_rules import (
    by_rule,
    caliper,
    held,
    join,
    limit,
    person,
    prove,
    rule_as,
    send,
    settle_as,
    upper,
)

F1 = "f-0000000001"


@pytest.fixture
def proven(shop: Shop) -> Shop:
    """Return the shop with two contributors who are not new any more, after one accepted claim each."""
    with shop.storage.writing() as uow:
        limit(uow, "proven_after", 1)
    prove(shop, "ann", "ben", times=1)
    return shop


def both_agree(shop: Shop, of: str = F1) -> list[str]:
    return [send(shop, "ann", page_claim(of=of, document=f"example.org/{of}")), send(shop, "ben", caliper(of))]


def a_third(shop: Shop, who: str = "eve") -> str:
    join(shop, who)
    return send(shop, who, page_claim(width="25.4", document="example.org/third"))


def withdraw(shop: Shop, who: str, claim: str) -> None:
    with shop.storage.writing() as uow:
        submit.withdraw_claim(shop.people[who], uow, shop.clock, claim, "misread", shop.key())


def case_of(shop: Shop, of: str = F1, subject: str = "upper") -> Case:
    with shop.storage.reading() as uow:
        found = uow.cases.of_subject(of, subject)
    assert found is not None
    return found


def flagged(shop: Shop, subject: str | None = "upper", who: str | None = None) -> None:
    data = {"frame": F1, "reason": "did_not_fit"} | ({"subject": subject} if subject else {})
    with shop.storage.writing() as uow:
        flags.set_flag(shop.people[who] if who else ANYBODY, uow, shop.clock, data, shop.key(data))


def refuse(shop: Shop, claim: str) -> None:
    data = {"ruling": "refuse_claims", "refuses": [claim], "reason": "wrong_frame_or_year", "why": "another year's"}
    rule_as(shop, "mia", F1, "upper", data)


def settled_once(shop: Shop, of: str = F1) -> bool:
    return len(by_rule(shop, of)) == 1 and upper(shop, of)["standing"] == "settled"


def test_after_what_differed_is_refused(proven: Shop) -> None:
    wrong = a_third(proven)
    both_agree(proven)
    assert by_rule(proven) == []
    refuse(proven, wrong)
    assert settled_once(proven)
    assert case_of(proven).state == "closed"


def test_after_what_differed_is_taken_back(proven: Shop) -> None:
    wrong = a_third(proven)
    both_agree(proven)
    withdraw(proven, "eve", wrong)
    assert settled_once(proven)


def test_after_flags_are_closed(proven: Shop) -> None:
    flagged(proven)
    wrong = a_third(proven)
    both_agree(proven)
    withdraw(proven, "eve", wrong)
    assert held(proven) == {"flag_open"}
    refuse(proven, send(proven, "eve", page_claim(width="26", document="example.org/fourth")))
    assert settled_once(proven)


def test_a_flag_on_the_whole_frame_holds_every_end_until_its_record_is_looked_at(proven: Shop) -> None:
    flagged(proven, None)
    both_agree(proven)
    assert (by_rule(proven), held(proven)) == ([], {"flag_open"})
    before = upper(proven)
    body = {"edit": "keep", "why": "compared with the maker's list"}
    with proven.storage.writing() as uow:
        stored = uow.catalogue.frame(F1)
        assert stored is not None
        edit.edit_frame(proven.people["mia"], uow, proven.clock, F1, body, edit.frame_tag(stored), proven.key(body))
    assert settled_once(proven)
    assert before["standing"] != "settled"
    assert case_of(proven, subject="record").state == "closed"


def test_after_an_account_and_its_flags_and_claims_are_undone(proven: Shop) -> None:
    a_third(proven)
    flagged(proven, who="eve")
    both_agree(proven)
    with proven.storage.writing() as uow:
        undo_account(proven.people["mia"], uow, proven.clock, person(proven, "eve"), "invented pages")
    assert settled_once(proven)
    with proven.storage.reading() as uow:
        refusal = next(d for d in uow.statements.decisions(F1) if d.ruling == "refuse_claims")
    assert refusal.by == person(proven, "mia")


def test_after_a_hold_is_taken_back(proven: Shop) -> None:
    flagged(proven)
    hold = rule_as(proven, "mia", F1, "upper", {"ruling": "withhold", "why": "asking the maker"}).body["decision"]["id"]
    both_agree(proven)
    assert by_rule(proven) == []
    rule_as(proven, "max", F1, "upper", {"ruling": "reverse", "reverses": hold, "why": "the maker says it is right"})
    assert settled_once(proven)


def test_a_settle_that_a_person_took_back_is_not_repeated_by_the_rule(proven: Shop, tmp_path: Any) -> None:
    """Otherwise taking a ruling back would bring it back at once, signed by the machine."""
    claims = [send(proven, "ann", page_claim())]
    before, files = upper(proven), release_files(proven, tmp_path)
    decision = settle_as(proven, "mia", F1, "upper", claims).body["decision"]["id"]
    rule_as(proven, "max", F1, "upper", {"ruling": "reverse", "reverses": decision, "why": "the wrong line"})
    assert (upper(proven), release_files(proven, tmp_path)) == (before, files)
    send(proven, "ben", caliper())
    assert (by_rule(proven), held(proven)) == ([], {"reversed"})


def test_after_somebody_becomes_proven_by_a_claim_elsewhere(shop: Shop) -> None:
    with shop.storage.writing() as uow:
        limit(uow, "proven_after", 2)
    prove(shop, "ann", times=2)
    prove(shop, "ben", times=1, first=300)
    both_agree(shop)
    assert held(shop) == {"too_few_confirm"}
    prove(shop, "ben", times=1, first=400)
    assert settled_once(shop)


def unblock(shop: Shop) -> None:
    with shop.storage.writing() as uow:
        block_account(COMMAND_LINE, uow, shop.clock, person(shop, "ben"), "a mix-up", blocked=False)


def publish(shop: Shop) -> None:
    with shop.storage.writing() as uow:
        uow.settings.put("rule_proven_after", "1")  # as set by an earlier version, which tried nothing
    draft = relearning.work_out(COMMAND_LINE, shop.storage, shop.clock, lambda _done, _of: None)
    with shop.storage.writing() as uow:
        relearning.publish(COMMAND_LINE, uow, shop.clock, draft)


def lower_limit(shop: Shop) -> None:
    with shop.storage.writing() as uow:
        limit(uow, "proven_after", 1)


@pytest.mark.parametrize("then", [unblock, publish, lower_limit])
def test_after_unblocking_after_learning_anew_and_after_a_limit_was_set(
    proven: Shop, then: Callable[[Shop], None]
) -> None:
    with proven.storage.writing() as uow:
        if then is unblock:
            block_account(COMMAND_LINE, uow, proven.clock, person(proven, "ben"), "invented?", blocked=True)
        else:
            limit(uow, "proven_after", 2)
    ids = [F1, "f-0000000011"]
    proven.plant(replace(frame(11), model="m11"))
    for of in ids:
        both_agree(proven, of)
        assert held(proven, of) == {"too_few_confirm"}
    then(proven)
    assert all(settled_once(proven, of) for of in ids)


def test_after_a_proposed_frame_is_listed(proven: Shop) -> None:
    body = {"make": {"name": "Tarnvale"}, "model": {"name": "Holm"}, "years": {"from": 2024},
            "ends": ["upper", "lower"]}  # fmt: skip
    join(proven, "eve")
    with proven.storage.writing() as uow:
        of = submit.propose_frame(proven.people["eve"], uow, proven.clock, body, proven.key(body)).body["frame"]["id"]
    send(proven, "eve", page_claim(of=of, document="example.org/holm"))
    with proven.storage.writing() as uow:
        stored = uow.catalogue.frame(of)
        assert stored is not None
        uow.catalogue.put_frame(replace(stored, proposed_by=person(proven, "ann")))
    send(proven, "ann", caliper(of))
    with proven.storage.writing() as uow:
        stored = uow.catalogue.frame(of)
        assert stored is not None
        uow.catalogue.put_frame(replace(stored, proposed_by=person(proven, "ben")))
    send(proven, "ben", caliper(of, width="22.2"))
    assert by_rule(proven, of) == []
    with proven.storage.writing() as uow:
        stored = uow.catalogue.frame(of)
        assert stored is not None
        listed = {"edit": "accept", "why": "there is such a frame"}
        edit.edit_frame(proven.people["mia"], uow, proven.clock, of, listed, edit.frame_tag(stored),
                        proven.key(listed))  # fmt: skip
    assert settled_once(proven, of)


def test_what_the_rule_settles_makes_nobody_proven(proven: Shop) -> None:
    """Accounts that repeat what proven people say would otherwise trust each other in the end."""
    join(proven, "eve")
    proven.plant(*(replace(frame(n), model=f"m{n}") for n in range(11, 14)))
    for n in range(11, 14):
        of = f"f-{n:010d}"
        send(proven, "eve", page_claim(of=of, document=f"example.org/eve/{n}"))
        both_agree(proven, of)
        assert settled_once(proven, of)
    with proven.storage.reading() as uow:
        own = uow.statements.claims_by(person(proven, "eve"))
        assert {c.state for c in own} == {"accepted"}
        assert not record_of(uow, person(proven, "eve"), proven.clock.today()).proven


def test_claims_that_a_ruling_let_in_and_overruled_make_nobody_proven(proven: Shop) -> None:
    join(proven, "eve")
    for who, width in (("ann", "22.2"), ("eve", "25.4")):
        send(proven, who, page_claim(width=width, document=f"example.org/{who}"))
    with proven.storage.reading() as uow:
        claims = {c.source.by: c.id for c in uow.statements.claims(F1)}
    settle_as(proven, "mia", F1, "upper", [claims[person(proven, "ann")]])
    with proven.storage.reading() as uow:
        assert uow.statements.claims_by(person(proven, "eve"))[0].state == "accepted"
        assert not record_of(uow, person(proven, "eve"), proven.clock.today()).proven


def test_ten_pages_named_for_one_end_are_one_accepted_claim(shop: Shop) -> None:
    claims = [send(shop, "ann", page_claim(document=f"example.org/made-up/{n}")) for n in range(12)]
    settle_as(shop, "mia", F1, "upper", claims)
    with shop.storage.reading() as uow:
        record = record_of(uow, person(shop, "ann"), shop.clock.today(), limits_of(uow))
    assert (record.states["accepted"], record.proven) == (12, False)


def test_own_rulings_and_a_left_account_count_for_nothing(proven: Shop) -> None:
    claim = replace(page(900, SIZE, document="a chart"), frame="f-0000000002")
    own = replace(claim, source=replace(claim.source, kind="retailer_chart", by=person(proven, "mia")))
    proven.plant(frame(2, start=2024, end=2025), claims=(own,))
    today = proven.clock.today()
    with proven.storage.writing() as uow:
        account = uow.accounts.account(person(proven, "max"))
        assert account is not None
        uow.accounts.put_account(replace(account, blocked=True))
        body = {"frame": "f-0000000002", "subject": "upper", "why": "x"}
        review.open_review(proven.people["mia"], uow, proven.clock, body, proven.key(body))
    settle_as(proven, "mia", "f-0000000002", "upper", [own.id])
    with proven.storage.writing() as uow:
        assert not record_of(uow, person(proven, "mia"), today).proven
        assert record_of(uow, person(proven, "ann"), today).proven
        leave(proven.people["ann"], uow, proven.clock, person(proven, "ann"))
        assert not record_of(uow, person(proven, "ann"), today).proven


def test_a_whole_table_accepted_in_one_act_is_one_accepted_claim(shop: Shop) -> None:
    with shop.storage.writing() as uow:
        limit(uow, "proven_after", 2)
        limit(uow, "batch", 3)
    frames = [replace(frame(n), model=f"m{n}") for n in range(11, 15)]
    shop.plant(*frames)
    for f in frames:
        send(shop, "ann", page_claim(of=f.id, document="a whole table"))
    data = {"document": "a whole table", "ruling": "settle", "why": "the maker's own table"}
    with shop.storage.writing() as uow:
        _, tag = document_reviews.document_review(shop.people["mia"], uow, "a whole table")
        done = document_reviews.rule_on_document(shop.people["mia"], uow, shop.clock, data, tag, shop.key(data)).body
        assert len(done["decided"]) == 4
        assert not record_of(uow, person(shop, "ann"), shop.clock.today()).proven
    prove(shop, "ann", times=1)
    with shop.storage.reading() as uow:
        assert record_of(uow, person(shop, "ann"), shop.clock.today(), limits_of(uow)).proven


@pytest.mark.parametrize("other", [
    "https://www.example.org/skerry?from=mail", "HTTP://EXAMPLE.org/Skerry/", "example.org/skerry#sizes",
    "example.org//skerry/index.html", "example.org:443/%73kerry",
])  # fmt: skip
def test_one_page_under_two_addresses_is_one_voice(proven: Shop, other: str) -> None:
    send(proven, "ann", page_claim(document="example.org/skerry"))
    send(proven, "ben", page_claim(document=other))
    assert by_rule(proven) == []
    assert "too_few_confirm" in held(proven)
    send(proven, "ben", page_claim(document="example.org/skerry-manual"))
    assert "too_few_confirm" in held(proven)  # ann has still nothing that ben has not named
    send(proven, "ann", caliper())
    assert settled_once(proven)


def test_one_person_with_two_documents_is_not_two(proven: Shop) -> None:
    send(proven, "ann", page_claim(document="example.org/one"))
    send(proven, "ann", page_claim(document="example.org/two"))
    send(proven, "ann", caliper())
    assert by_rule(proven) == []
    assert "too_few_confirm" in held(proven)


def test_who_names_the_bolt_alone_confirms_no_width(proven: Shop) -> None:
    bolt_alone = page_claim(document="example.org/bolts") | {"value": {"mount": "hardware", "bolt_mm": 8}}
    send(proven, "ann", bolt_alone)
    send(proven, "ben", caliper())
    join(proven, "eve")
    for n in range(3):  # new accounts may make it as likely as they like
        send(proven, "eve", page_claim(document=f"example.org/eve/{n}"))
    assert by_rule(proven) == []
    assert "too_few_confirm" in held(proven)


def test_an_accepted_claim_that_differs_holds_the_rule_back(proven: Shop) -> None:
    of = "f-0000000002"
    known = page(900, {"mount": "hardware", "bolt_mm": 8, "width_mm": Decimal("25.4")}, document="example.org/maker")
    proven.plant(frame(2, start=2024, end=2025), claims=(replace(known, frame=of),))
    both_agree(proven, of)
    assert by_rule(proven, of) == []
    assert held(proven, of) & {"claim_differs", "evidence_undecided"}


@pytest.mark.parametrize(("reading", "agrees"), [("22.19", True), ("22.23", True), ("22.02", False), ("22.6", False)])
def test_they_agree_within_the_uncertainty_of_the_reading_or_not(proven: Shop, reading: str, agrees: bool) -> None:
    """A digital caliper's limits on an outside size are 0.03 mm or so; 22.02 is another size of the trade."""
    send(proven, "ann", page_claim())
    send(proven, "ben", caliper(width=reading))
    assert settled_once(proven) == agrees


def test_one_decision_covers_all_claims_for_it_and_their_sources(proven: Shop) -> None:
    claims = {send(proven, "ann", page_claim(document=f"example.org/{n}")) for n in range(3)}
    claims.add(send(proven, "ben", caliper()))
    [decision] = by_rule(proven)
    assert set(decision.rests_on) == claims
    with proven.storage.reading() as uow:
        assert {c.state for c in uow.statements.claims(F1) if c.subject == "upper"} == {"accepted"}
        assert len([e for e in uow.events.of_frame(F1) if e.kind == "decision_made"]) == 1


def test_the_only_maintainer_rules_on_an_own_chart_and_on_nothing_else_of_theirs(shop: Shop) -> None:
    mia = person(shop, "mia")
    of = "f-0000000002"
    row = page(900, SIZE, document="a chart")
    chart = replace(row, frame=of, source=replace(row.source, kind="retailer_chart", by=mia))
    shop.plant(frame(2, start=2024, end=2025), claims=(chart,))

    def settle(subject: str, claim: str) -> Any:
        with shop.storage.writing() as uow:
            body = {"frame": of, "subject": subject, "why": "x"}
            review.open_review(shop.people["mia"], uow, shop.clock, body, shop.key(body))
        return settle_as(shop, "mia", of, subject, [claim])

    own_page = send(shop, "mia", page_claim(of=of, subject="lower", document="example.org/mia"))
    with pytest.raises(NotAllowed):
        settle("upper", chart.id)  # there is another maintainer
    with shop.storage.writing() as uow:
        leave(shop.people["max"], uow, shop.clock, person(shop, "max"))
    with pytest.raises(NotAllowed):
        settle("lower", own_page)
    assert settle("upper", chart.id).body["decision"]["by"] == mia


def test_pairs_need_two_people_and_two_documents_whatever_the_order() -> None:
    value = EndValue("hardware", Decimal(8), Decimal("22.225"))
    people = {"a": ("one",), "b": ("one", "two"), "c": ("two",)}
    numbers = itertools.count(1)
    said = [
        statement_of(replace(claim, source=replace(claim.source, by=f"p-00000000a{who}")))
        for who, named in people.items()
        for document in named
        for claim in [page(next(numbers), SIZE, document=document)]
    ]
    assert all(names_all(s, value) for s in said)
    for order in itertools.permutations(said):
        assert confirming(order) == [("p-00000000aa", "p-00000000ac")]
