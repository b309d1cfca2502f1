"""People and their tokens."""

from __future__ import annotations

from dataclasses import replace

import pytest

from boltspan.domain.errors import Clash
from boltspan.services.protocols import Account, StoredSession, StoredToken
from boltspan.storage import SqlStorage
from tests.storage.samples import OTHER_PERSON, PERSON

TOKEN = StoredToken("abcd2345", PERSON, "a" * 64, ("submit_claim", "see_own"), "2026-05-01T10:00:00.000000Z")


def test_nobody_at_first(storage: SqlStorage) -> None:
    with storage.reading() as unit:
        assert unit.accounts.accounts() == []
        assert unit.accounts.account(PERSON) is None
        assert unit.accounts.token("abcd2345") is None
        assert unit.accounts.tokens_of(PERSON) == []


def test_accounts_are_kept_replaced_and_listed_by_id(storage: SqlStorage) -> None:
    other = Account(OTHER_PERSON, "contributor", None, "2026-05-02")
    changed = Account(PERSON, "maintainer", "fork & “crown”", "2026-05-01", blocked=True)
    with storage.writing() as unit:
        unit.accounts.put_account(other)
        unit.accounts.put_account(Account(PERSON, "contributor"))
        unit.accounts.put_account(changed)
    with storage.reading() as unit:
        assert unit.accounts.accounts() == [changed, other]
        assert unit.accounts.account(PERSON) == changed
        assert unit.accounts.account(OTHER_PERSON) == other


def test_tokens_are_kept_replaced_and_listed_by_issue(storage: SqlStorage) -> None:
    used = replace(TOKEN, expires_at="2027-05-01T10:00:00.000000Z", revoked_at="2026-06-01T10:00:00.000000Z",
                   last_used_on="2026-05-30", scopes=())  # fmt: skip
    earlier = replace(TOKEN, id="zzzz2345", issued_at="2026-04-30T10:00:00.000000Z")
    with storage.writing() as unit:
        unit.accounts.put_account(Account(PERSON, "contributor"))
        unit.accounts.put_account(Account(OTHER_PERSON, "contributor"))
        for token in (TOKEN, used, earlier, replace(TOKEN, id="other234", account=OTHER_PERSON)):
            unit.accounts.put_token(token)
    with storage.reading() as unit:
        assert unit.accounts.token(TOKEN.id) == used
        assert unit.accounts.tokens_of(PERSON) == [earlier, used]


def test_a_token_needs_its_account(storage: SqlStorage) -> None:
    with pytest.raises(Clash), storage.writing() as unit:
        unit.accounts.put_token(TOKEN)


def test_handles_are_found_whatever_their_case_and_stand_once(storage: SqlStorage) -> None:
    first = Account(PERSON, "contributor", "Straße", "2026-05-01", False, "2026-05-02", "1")
    with storage.writing() as unit:
        unit.accounts.put_account(first)
        unit.accounts.put_account(Account(OTHER_PERSON, "contributor"))
    with storage.reading() as unit:
        assert unit.accounts.by_handle("STRASSE") == first
        assert unit.accounts.by_handle("strass") is None
    with pytest.raises(Clash), storage.writing() as unit:
        unit.accounts.put_account(Account(OTHER_PERSON, "contributor", "strasse"))
    with storage.writing() as unit:
        unit.accounts.put_account(replace(first, handle=None, left_on="2026-06-01"))
        unit.accounts.put_account(Account(OTHER_PERSON, "contributor", "strasse"))


def test_sessions_are_kept_and_dropped_by_id_by_person_and_by_time(storage: SqlStorage) -> None:
    at = "2026-05-01T10:00:00.000000Z"
    sessions = [
        StoredSession("a" * 64, PERSON, at, "2026-06-01T10:00:00.000000Z"),
        StoredSession("b" * 64, PERSON, at, "2026-07-01T10:00:00.000000Z", ("see_own",)),
        StoredSession("c" * 64, OTHER_PERSON, at, "2026-07-01T10:00:00.000000Z", ()),
        StoredSession("d" * 64, OTHER_PERSON, at, "2026-08-01T10:00:00.000000Z"),
    ]

    def left() -> list[StoredSession | None]:
        with storage.reading() as unit:
            return [unit.accounts.session(s.id) for s in sessions]

    with storage.writing() as unit:
        unit.accounts.put_account(Account(PERSON, "contributor"))
        unit.accounts.put_account(Account(OTHER_PERSON, "contributor"))
        for session in sessions:
            unit.accounts.add_session(session)
    assert left() == sessions
    with storage.writing() as unit:
        unit.accounts.end_sessions_before("2026-06-01T10:00:00.000000Z")
        unit.accounts.end_session("c" * 64)
        unit.accounts.end_session("e" * 64)
    assert left() == [None, sessions[1], None, sessions[3]]
    with storage.writing() as unit:
        unit.accounts.end_sessions(PERSON)
    assert left() == [None, None, None, sessions[3]]


def test_handles_that_look_alike_are_found(storage: SqlStorage) -> None:
    with storage.writing() as unit:
        unit.accounts.put_account(Account("p-0000000002", "contributor", "соре-1"))  # all Cyrillic
        unit.accounts.put_account(Account("p-0000000001", "contributor", "North Bench"))
    with storage.reading() as unit:
        found = {
            name: unit.accounts.looking_like(name) for name in ("cope-l", "north_bench", "North Bench 2", "kope-1")
        }
    assert {name: account and account.id for name, account in found.items()} == {
        "cope-l": "p-0000000002", "north_bench": "p-0000000001", "North Bench 2": None, "kope-1": None,
    }  # fmt: skip
