"""Tokens: shown once, kept as a hash, refused in the same words whatever is wrong."""

from __future__ import annotations

import re

import pytest

from boltspan.domain.errors import InvalidInput, NotAuthenticated, NotFound
from boltspan.services.accounts import authenticate, issue_token, revoke_token
from boltspan.services.permissions import ROLES
from boltspan.services.protocols import Storage
from tests.services.conftest import StandingClock


def test_a_token_speaks_for_its_person(storage: Storage, clock: StandingClock) -> None:
    with storage.writing() as uow:
        token = issue_token(uow, clock, role="contributor", handle="ann-1")
    assert re.fullmatch(r"bs_[0-9a-z]{8}_[A-Za-z0-9_-]{43}_[0-9a-f]{6}", token.text)
    with storage.reading() as uow:
        actor = authenticate(uow, clock, token.text)
        stored = uow.accounts.token(token.id)
    assert actor.person == token.person
    assert actor.may == ROLES["contributor"]
    assert stored is not None
    assert token.text not in repr(stored)


def test_scopes_narrow_and_never_widen(storage: Storage, clock: StandingClock) -> None:
    with storage.writing() as uow:
        token = issue_token(uow, clock, role="maintainer", scopes=["see_reviews"])
        with pytest.raises(InvalidInput) as caught:
            issue_token(uow, clock, role="contributor", scopes=["settle_review"])
        assert authenticate(uow, clock, token.text).may == {"see_reviews"}
    assert caught.value.problems[0].pointer == "/scopes/0"


def test_whatever_is_wrong_is_refused_in_the_same_words(storage: Storage, clock: StandingClock) -> None:
    with storage.writing() as uow:
        good = issue_token(uow, clock, role="contributor", days=1)
        other = issue_token(uow, clock, role="contributor", days=1)
        revoked = issue_token(uow, clock, role="contributor")
        revoke_token(uow, clock, revoked.id)
        with pytest.raises(NotFound):
            revoke_token(uow, clock, "zzzzzzzz")
    swapped = good.text[:12] + other.text[12:]
    bad = [
        "",
        "bs_",
        "hello",
        good.text[:-1],
        good.text[:-1] + "!",
        swapped,
        revoked.text,
        good.text + "\n",
        good.text.replace("bs_", "BS_"),
    ]
    words = set()
    with storage.reading() as uow:
        for text in bad:
            with pytest.raises(NotAuthenticated) as caught:
                authenticate(uow, clock, text)
            words.add(str(caught.value))
        assert authenticate(uow, clock, good.text).person
        clock.instant = "2026-06-03T08:00:00.000000Z"
        with pytest.raises(NotAuthenticated) as caught:
            authenticate(uow, clock, good.text)
        words.add(str(caught.value))
    assert words == {"the token is wrong, expired or revoked"}
