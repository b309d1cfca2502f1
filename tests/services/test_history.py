"""Nothing is undone silently, and everything can be undone: reversals, whole accounts, the chain of events."""

from __future__ import annotations

import json
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import delete, update

from boltspan.domain.errors import NotAllowed, NotFound, Stale
from boltspan.domain.eventchain import START, canonical, link
from boltspan.services import (
    answers,
    asking,
    case_view,
    claim_receipts,
    document_reviews,
    edit,
    lookup,
    own_claims,
    review,
    submit,
)
from boltspan.services.accounts import authenticate, issue_token
from boltspan.services.history import verify_events
from boltspan.services.permissions import ANYBODY, COMMAND_LINE, Actor
from boltspan.services.protocols import UnitOfWork
from boltspan.services.publish import build_release
from boltspan.services.undoing import undo_account
from boltspan.storage import SqlStorage
from boltspan.storage.tables import event_counter, events
from tests.domain.builders import SIZE, frame, measured, page
from tests.services.conftest import Shop, page_claim, submitted
from tests.services.test_rules import caliper, person, rule_as, send, settle_as

F1, F2, F3 = (f"f-{n:010d}" for n in (1, 2, 3))


def published(shop: Shop) -> dict[str, bytes]:
    """Return every answer that can be asked for: each frame's that answers, and each model year's."""
    with shop.storage.reading() as uow:
        found = {p.path: p.body for p in uow.published.newest(10_000) if p.body is not None and "/frames/" in p.path}
        for year in range(2015, 2030):
            path = f"/v1/makes/tarnvale/skerry/{year}"
            found[path] = answers.encode(lookup.year(uow, "tarnvale", "skerry", year))
            kept = uow.published.get(path)
            assert kept is None or kept.body == found[path]
    return found


def release_files(shop: Shop, folder: Path) -> dict[str, bytes]:
    """Build a release and return its tables and answers."""
    release = build_release(COMMAND_LINE, shop.storage, folder)
    built = folder / "releases" / release.version
    return {p.name: p.read_bytes() for p in built.iterdir() if p.suffix == ".csv" or p.name == "answers.jsonl"}


@pytest.fixture
def stocked(shop: Shop) -> Shop:
    """Return the shop with three frames and what is said of them."""
    shop.plant(
        frame(2, start=2024, end=2025), frame(3, start=2026, end=2027),
        claims=(page(1, SIZE, of=frame(2, start=2024, end=2025)),
                measured(2, bolt=("sleeve_bore", "8.06"), width=("tab_gap", "30.1"),
                         of=frame(3, start=2026, end=2027))),
    )  # fmt: skip
    return shop


def test_after_a_reversal_every_answer_and_the_releases_tables_are_as_before(stocked: Shop, tmp_path: Path) -> None:
    claim = submitted(stocked).body["claim"]["id"]
    before, files = published(stocked), release_files(stocked, tmp_path)
    decision = settle_as(stocked, "mia", F1, "upper", [claim]).body["decision"]["id"]
    assert published(stocked) != before
    rule_as(stocked, "max", F1, "upper", {"ruling": "reverse", "reverses": decision, "why": "read from the wrong line"})
    assert published(stocked) == before
    assert release_files(stocked, tmp_path) == files
    with stocked.storage.reading() as uow:
        told = claim_receipts.claim(stocked.people["ann"], uow, stocked.clock, claim)
        kinds = [e.payload["ruling"] for e in uow.events.of_frame(F1) if e.kind == "decision_made"]
    assert (told["claim"]["state"], kinds) == ("in_review", ["settle", "reverse"])


def operator(shop: Shop, uow: UnitOfWork) -> Actor:
    """Return a new operator."""
    return authenticate(uow, shop.clock, issue_token(uow, shop.clock, role="operator").text)


def misbehave(shop: Shop, who: str) -> None:
    """Let a maintainer rule wrongly, spoil records and say false things, on every frame."""

    def edited(of: str, **data: Any) -> None:
        with shop.storage.writing() as uow:
            stored = uow.catalogue.frame(of)
            assert stored is not None
            body = data | {"why": "spoilt"}
            edit.edit_frame(shop.people[who], uow, shop.clock, of, body, edit.frame_tag(stored), shop.key(body))

    for width in ("24", "26"):
        send(shop, who, page_claim(width=width, document=f"example.org/{width}"))
    send(shop, who, caliper(F2, width="40"))
    edited(F1, edit="years", years={"from": 2020, "to": 2021})
    edited(F1, edit="years", years={"from": 2019, "to": 2021})
    edited(F1, edit="names", name="Spoilt")
    with shop.storage.writing() as uow:
        body = {"frame": F3, "subject": "upper", "why": "x"}
        review.open_review(shop.people[who], uow, shop.clock, body, shop.key(body))
    rule_as(shop, who, F3, "upper", {"ruling": "withhold", "why": "x"})
    edited(F2, edit="withdraw")


def test_one_act_undoes_everything_of_an_account_and_loses_nothing(stocked: Shop, tmp_path: Path) -> None:
    with stocked.storage.writing() as uow:
        token = issue_token(uow, stocked.clock, role="maintainer")
        stocked.people["bad"] = authenticate(uow, stocked.clock, token.text)
    before, files = published(stocked), release_files(stocked, tmp_path)
    misbehave(stocked, "bad")
    assert published(stocked) != before
    bad = person(stocked, "bad")
    with pytest.raises(NotAllowed), stocked.storage.writing() as uow:
        undo_account(stocked.people["mia"], uow, stocked.clock, bad, "a maintainer undoes no maintainer")
    with stocked.storage.writing() as uow:
        events_before = uow.events.last()
        found = undo_account(operator(stocked, uow), uow, stocked.clock, bad, "spoilt on purpose")
    assert (found["claims"], found["decisions"], found["left"]) == (3, 1, [])
    assert published(stocked) == before
    assert release_files(stocked, tmp_path) == files
    with stocked.storage.reading() as uow:
        kept = uow.statements.claims_by(bad)
        assert {(c.state, c.source.by) for c in kept} == {("refused", bad)}
        assert len(uow.events.by_actor(bad)) > 8
        assert uow.events.last() > events_before
        assert verify_events(COMMAND_LINE, uow).wrong is None


def test_what_others_have_built_on_is_left_and_told(stocked: Shop) -> None:
    with stocked.storage.writing() as uow:
        bad = authenticate(uow, stocked.clock, issue_token(uow, stocked.clock, role="maintainer").text)
    for actor, start in ((bad, 2020), (stocked.people["mia"], 2019)):
        with stocked.storage.writing() as uow:
            stored = uow.catalogue.frame(F1)
            assert stored is not None
            body = {"edit": "years", "years": {"from": start, "to": 2023}, "why": "x"}
            edit.edit_frame(actor, uow, stocked.clock, F1, body, edit.frame_tag(stored), stocked.key(body))
    with stocked.storage.writing() as uow:
        assert bad.person is not None
        found = undo_account(operator(stocked, uow), uow, stocked.clock, bad.person, "x")
        assert [entry["what"] for entry in found["left"]] == [F1]
        stored = uow.catalogue.frame(F1)
        assert stored is not None and stored.frame.years.start == 2019
    with pytest.raises(NotFound), stocked.storage.writing() as uow:
        undo_account(operator(stocked, uow), uow, stocked.clock, "p-zzzzzzzzzz", "x")


@pytest.mark.parametrize("how", ["merge", "divide", "withdraw"])
def test_a_merge_a_division_and_a_withdrawal_are_restored(stocked: Shop, how: str) -> None:
    before = published(stocked)
    asks = [{"kind": "serial", "from": s, "ask": f"Does it start with {s}?"} for s in ("A", "B")]
    more = {"merge": {"into": F2}, "divide": {"parts": [{"qualifier": q} for q in asks]}, "withdraw": {}}[how]
    for body in ({"edit": how, "why": "x", **more}, {"edit": "restore", "why": "it was right as it stood"}):
        with stocked.storage.writing() as uow:
            stored = uow.catalogue.frame(F1)
            assert stored is not None
            tag = edit.frame_tag(stored)
            edit.edit_frame(stocked.people["mia"], uow, stocked.clock, F1, body, tag, stocked.key(body))
        assert (published(stocked) == before) == (body["edit"] == "restore")


def test_of_two_maintainers_the_second_is_told_what_changed(shop: Shop) -> None:
    claim = submitted(shop).body["claim"]["id"]
    with shop.storage.reading() as uow:
        case = uow.cases.of_subject(F1, "upper")
    assert case is not None
    tag = review.case_tag(case)
    settle_as(shop, "mia", F1, "upper", [claim])
    data = {"ruling": "refuse_claims", "refuses": [claim], "reason": "wrong_end", "why": "x"}
    with pytest.raises(Stale) as told, shop.storage.writing() as uow:
        review.decide(shop.people["max"], uow, shop.clock, case.id, data, tag, shop.key(data))
    assert [(e["kind"], e["ruling"]) for e in told.value.changed] == [("decision_made", "settle")]


def test_wrong_and_cannot_tell_are_told_apart_and_unreviewed_is_neither(shop: Shop) -> None:
    claims = {who: submitted(shop, who, document=f"example.org/{who}").body["claim"]["id"] for who in ("ann", "ben")}
    for who, reason in (("ann", "wrong_end"), ("ben", "cannot_tell")):
        data = {"ruling": "refuse_claims", "refuses": [claims[who]], "reason": reason, "why": "looked at"}
        rule_as(shop, "mia", F1, "upper", data)
    waiting = submitted(shop, "max", document="example.org/new").body["claim"]
    with shop.storage.reading() as uow:
        told = {w: claim_receipts.claim(shop.people[w], uow, shop.clock, c)["claim"] for w, c in claims.items()}
    assert [(told[w]["state"], told[w]["refusal"]["wrong"]) for w in ("ann", "ben")] == [
        ("refused", True), ("refused", False),
    ]  # fmt: skip
    assert (waiting["state"], "refusal" in waiting) == ("submitted", False)


def test_a_contributor_is_asked_and_answers_and_nobody_else_reads_it(shop: Shop) -> None:
    claim = submitted(shop).body["claim"]["id"]
    with shop.storage.writing() as uow:
        asking.ask_for_more(shop.people["mia"], uow, shop.clock, claim, "Were the spacers on?", shop.key())
    with shop.storage.reading() as uow:
        [own], _ = claim_receipts.own_claims(shop.people["ann"], uow, shop.clock, None, 10)
        assert (own["claim"]["state"], own["questions"][0]["question"]) == ("more_asked", "Were the spacers on?")
        everything = json.dumps(
            [lookup.claims(uow, ANYBODY, F1), lookup.history(uow, ANYBODY, F1), lookup.changes(uow, 0, 999)],
            default=str,
        )
    assert "spacers" not in everything
    with shop.storage.writing() as uow, pytest.raises(NotFound):
        asking.answer_question(shop.people["ben"], uow, shop.clock, claim, {"answer": "no"}, shop.key())
    with shop.storage.writing() as uow:
        told = asking.answer_question(shop.people["ann"], uow, shop.clock, claim, {"answer": "Yes"}, shop.key()).body
        case = uow.cases.of_subject(F1, "upper")
        assert case is not None
        whole, _ = case_view.review(shop.people["mia"], uow, shop.clock, case.id)
    assert told["claim"]["state"] == "in_review"
    assert whole["claims"][0]["questions"][0]["answer"] == "Yes"


def test_a_newer_reading_of_the_same_person_takes_the_place_of_the_older(shop: Shop) -> None:
    old = send(shop, "ann", caliper(width="24"))
    new = send(shop, "ann", caliper(width="22.19"))
    other = send(shop, "ann", page_claim())  # another source stays beside it
    with shop.storage.reading() as uow:
        states = {c.id: (c.state, c.superseded_by) for c in uow.statements.claims(F1)}
    assert states == {old: ("superseded", new), new: ("submitted", None), other: ("submitted", None)}


def test_a_whole_document_is_settled_in_one_act_and_what_is_contradicted_is_left(shop: Shop) -> None:
    shop.plant(frame(2, start=2024, end=2025))
    for of in (F1, F2):
        submitted(shop, "ann", of=of, document="a maker's table")
    submitted(shop, "ben", of=F2, width="25.4", document="example.org/else")
    data = {"ruling": "settle", "document": "a maker's table", "why": "read line by line"}
    with shop.storage.writing() as uow:
        _, tag = document_reviews.document_review(shop.people["mia"], uow, "a maker's table")
        done = document_reviews.rule_on_document(shop.people["mia"], uow, shop.clock, data, tag, shop.key(data)).body
    assert [d["frame"] for d in done["decided"]] == [F1]
    assert [(d["frame"], d["code"]) for d in done["left"]] == [(F2, "contradicted")]
    with shop.storage.writing() as uow, pytest.raises(Stale):
        document_reviews.rule_on_document(shop.people["max"], uow, shop.clock, data, tag, shop.key(data))


def test_the_canonical_form_is_that_of_rfc_8785_with_lengths_as_texts() -> None:
    """RFC 8785, section 3.2.3: the order of its sorting example; numbers with a point are texts here."""
    names = ["\u20ac", "\r", "\ufb33", "1", "\U0001f600", "\u0080", "\u00f6"]
    written = json.loads(canonical(dict.fromkeys(names, 1)))
    assert list(written) == ["\r", "1", "\u0080", "\u00f6", "\u20ac", "\U0001f600", "\ufb33"]
    assert canonical({"b": [Decimal("22.2"), 8, True], "a": '\u20ac$\x0f\nA\'B"\\\\"/'}) == (
        b'{"a":"\xe2\x82\xac$\\u000f\\nA\'B\\"\\\\\\\\\\"/","b":["22.2",8,true]}'
    )
    assert link(START, 1, "t", None, "k", None, None, {}) != link(START, 2, "t", None, "k", None, None, {})


TAMPERED: dict[str, Callable[[Any], Any]] = {
    "changed": lambda c: c.execute(update(events).where(events.c.sequence == 3).values(payload="{}")),
    "removed": lambda c: c.execute(delete(events).where(events.c.sequence == 3)),
    "cut": lambda c: c.execute(delete(events).where(events.c.sequence > 3)),
    "cut with its counter": lambda c: (
        c.execute(delete(events).where(events.c.sequence > 3)), c.execute(update(event_counter).values(last=3))
    ),
}  # fmt: skip


@pytest.mark.parametrize("how", TAMPERED)
def test_the_first_bad_event_is_named(shop: Shop, storage: SqlStorage, how: str, tmp_path: Path) -> None:
    """Fault 34."""
    submitted(shop)
    build_release(COMMAND_LINE, storage, tmp_path)
    with storage.reading() as uow:
        assert verify_events(COMMAND_LINE, uow).wrong is None
    with storage.engine.execution_options(boltspan_write=True).connect() as connection, connection.begin():
        TAMPERED[how](connection)
    with storage.reading() as uow:
        wrong = verify_events(COMMAND_LINE, uow).wrong
    assert wrong is not None
    assert ("event 3" if how in ("changed", "removed") else "event 4") in wrong


def test_two_events_that_changed_places_are_found(shop: Shop, storage: SqlStorage) -> None:
    submitted(shop)
    with storage.engine.execution_options(boltspan_write=True).connect() as connection, connection.begin():
        for old, new in ((2, 9999), (3, 2), (9999, 3)):
            connection.execute(update(events).where(events.c.sequence == old).values(sequence=new))
    with storage.reading() as uow:
        wrong = verify_events(COMMAND_LINE, uow).wrong
    assert wrong is not None and "event 2" in wrong


@pytest.mark.parametrize("how", ["merge", "divide", "withdraw"])
def test_who_waits_is_told_what_became_of_the_record_and_waits_again_when_it_is_restored(
    stocked: Shop, how: str
) -> None:
    """Nobody can rule on claims of a record that has ended, so its cases leave the queue, and come back with it."""
    claim = submitted(stocked).body["claim"]["id"]

    def told() -> tuple[dict[str, Any], Any]:
        with stocked.storage.reading() as uow:
            shown = claim_receipts.claim(stocked.people["ann"], uow, stocked.clock, claim)
            return shown, {c.id: c for c in uow.cases.page("open", None, 50)}.get(shown["review"]["id"])

    before, case = told()
    assert case is not None and before["waits_days"] == 0
    asks = [{"kind": "serial", "from": s, "ask": f"Does it start with {s}?"} for s in ("A", "B")]
    more = {"merge": {"into": F2}, "divide": {"parts": [{"qualifier": q} for q in asks]}, "withdraw": {}}[how]
    for body in ({"edit": how, "why": "never sold so", **more}, {"edit": "restore", "why": "it was right"}):
        with stocked.storage.writing() as uow:
            stored = uow.catalogue.frame(F1)
            assert stored is not None
            tag = edit.frame_tag(stored)
            edit.edit_frame(stocked.people["mia"], uow, stocked.clock, F1, body, tag, stocked.key(body))
        shown, opened = told()
        if body["edit"] == how:
            assert (shown["review"]["state"], opened) == ("closed", None)
            assert shown["ended"]["why"] == "never sold so" and "waits_days" not in shown
            assert len(shown["ended"].get("ask_instead", [])) == {"merge": 1, "divide": 2, "withdraw": 0}[how]
        else:
            assert shown == before
            assert opened is not None and (opened.opened_on, opened.reasons) == (case.opened_on, case.reasons)


def test_a_refused_proposal_leaves_the_queue_and_its_author_is_told_why(shop: Shop) -> None:
    body: dict[str, Any] = {"make": {"name": "Tarnvale"}, "model": {"name": "Holm"}, "years": {"from": 2025},
                            "ends": ["upper", "lower"]}  # fmt: skip
    with shop.storage.writing() as uow:
        sent = submit.propose_frame(shop.people["ann"], uow, shop.clock, body, shop.key(body)).body
    no = {"edit": "withdraw", "why": "this is a model of another year"}
    with shop.storage.writing() as uow:
        stored = uow.catalogue.frame(sent["frame"]["id"])
        assert stored is not None
        edit.edit_frame(shop.people["mia"], uow, shop.clock, stored.frame.id, no, edit.frame_tag(stored), shop.key(no))
    with shop.storage.reading() as uow:
        assert sent["review"]["id"] not in {c.id for c in uow.cases.page("open", None, 50)}
        (told,) = own_claims.own_proposals(shop.people["ann"], uow)
        assert (told["listed"], told["ended"]["why"]) == (False, "this is a model of another year")
        assert own_claims.own_proposals(shop.people["mia"], uow) == []


def test_undoing_an_account_rules_for_nobodys_own_claim(stocked: Shop) -> None:
    """Taking out whoever contradicts an own claim would rule for it; somebody else has to."""
    own = submitted(stocked, "mia").body["claim"]["id"]
    rival = submitted(stocked, "ben", width="24", document="example.org/b").body["claim"]["id"]
    elsewhere = submitted(stocked, "ben", subject="lower", document="example.org/b").body["claim"]["id"]
    ben = person(stocked, "ben")

    def states() -> dict[str, str]:
        with stocked.storage.reading() as uow:
            return {c.id: c.state for c in uow.statements.claims(F1) if c.id in (own, rival, elsewhere)}

    with stocked.storage.writing() as uow:
        found = undo_account(stocked.people["mia"], uow, stocked.clock, ben, "spoilt on purpose")
    assert [(entry["what"], "yourself" in entry["why"]) for entry in found["left"]] == [(F1, True)]
    assert states() == {own: "submitted", rival: "submitted", elsewhere: "refused"}
    with stocked.storage.writing() as uow:
        assert undo_account(stocked.people["max"], uow, stocked.clock, ben, "the rest too")["left"] == []
    assert states()[rival] == "refused"


def test_a_contributor_whose_claim_was_not_followed_is_told_so(shop: Shop) -> None:
    right = submitted(shop).body["claim"]["id"]
    other = submitted(shop, "ben", width="24", document="example.org/b").body["claim"]["id"]
    settle_as(shop, "mia", F1, "upper", [right])
    with shop.storage.reading() as uow:
        told = {
            who: claim_receipts.claim(shop.people[who], uow, shop.clock, claim)
            for who, claim in (("ann", right), ("ben", other))
        }
    assert {who: t["claim"]["state"] for who, t in told.items()} == {"ann": "accepted", "ben": "accepted"}
    assert {who: t["decision"]["followed"] for who, t in told.items()} == {"ann": True, "ben": False}
    assert told["ben"]["decision"]["value"] == told["ann"]["decision"]["value"]
    assert told["ben"]["decision"]["why"]
