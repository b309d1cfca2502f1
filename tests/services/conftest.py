"""A small planted catalogue, people with tokens, and a clock that stands still."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import pytest

from boltspan.domain import jsontext
from boltspan.domain.claims import Claim
from boltspan.domain.frames import Frame, Make, Model
from boltspan.domain.records import frame_json, make_json, model_json
from boltspan.services.accounts import authenticate, issue_token
from boltspan.services.once import OnceKey, Receipt, once_key
from boltspan.services.permissions import Actor
from boltspan.services.protocols import Storage, StoredFrame, UnitOfWork
from boltspan.services.publishing import republish
from tests.domain.builders import frame

if TYPE_CHECKING:
    from tests.services.dataset_world import People


class StandingClock:
    """A clock that shows one instant until it is set."""

    instant = "2026-06-01T08:00:00.000000Z"

    def now(self) -> str:
        """Return the instant."""
        return self.instant

    def today(self) -> str:
        """Return its date."""
        return self.instant[:10]


@dataclass
class Shop:
    """A storage with people in it, and short ways to do what a request does."""

    storage: Storage
    clock: StandingClock
    people: dict[str, Actor]
    numbers: Iterator[int]

    def key(self, body: Mapping[str, Any] | None = None, name: str | None = None) -> OnceKey:
        """Return a fresh Idempotency-Key, or the one of that name, over ``body``."""
        return once_key("p-test", "route", name or f"key-{next(self.numbers)}", jsontext.dumps(body or {}).encode())

    def plant(self, *frames: Frame, claims: tuple[Claim, ...] = ()) -> None:
        """Store frames with their make, model and claims, as a filled dataset would."""
        with self.storage.writing() as uow:
            plant(uow, *frames, claims=claims)


def plant(uow: UnitOfWork, *frames: Frame, claims: tuple[Claim, ...] = ()) -> None:
    """Store frames with their make, model and accepted claims, each frame with one event."""
    for f in frames:
        if uow.catalogue.make(f.make) is None:
            make = Make(f.make, f.make.title())
            uow.events.record(None, "make_added", payload={"make": make_json(make)})
            uow.catalogue.put_make(make)
        if uow.catalogue.model(f.make, f.model) is None:
            model = Model(f.make, f.model, f.model.title())
            uow.events.record(None, "model_added", payload={"make_slug": f.make, "model": model_json(model)})
            uow.catalogue.put_model(model)
        sequence = uow.events.record(None, "frame_added", frame=f.id, payload={"frame": frame_json(f)})
        uow.catalogue.put_frame(StoredFrame(f, sequence=sequence))
        uow.statements.add_claims(replace(c, sequence=sequence) for c in claims if c.frame == f.id)
    republish(uow, [f.id for f in frames])


@pytest.fixture
def clock() -> StandingClock:
    """Return a clock that stands still."""
    return StandingClock()


@pytest.fixture
def shop(storage: Storage, clock: StandingClock) -> Shop:
    """Return a storage with one planted frame and four people."""
    people = {}
    with storage.writing() as uow:
        for handle, role in (
            ("ann", "contributor"),
            ("ben", "contributor"),
            ("mia", "maintainer"),
            ("max", "maintainer"),
        ):
            token = issue_token(uow, clock, role=role, handle=handle)
            people[handle] = authenticate(uow, clock, token.text)
    found = Shop(storage, clock, people, itertools.count(1))
    found.plant(frame())
    return found


@pytest.fixture
def filled(storage: Storage, clock: StandingClock) -> Storage:
    """Return a storage with the shipped dataset in it."""
    from boltspan.services.datasets import fill
    from tests.services.dataset_world import shipped

    with storage.writing() as uow:
        fill(uow, shipped(), clock)
    return storage


@pytest.fixture
def people(filled: Storage, clock: StandingClock) -> People:
    """Return a contributor and a maintainer of the filled storage."""
    from tests.services.dataset_world import People

    return People(filled, clock)


def page_claim(
    of: str = "f-0000000001", *, width: Any = "22.2", document: str = "example.org/a", **more: Any
) -> dict[str, Any]:
    """Return the body of a claim read from a page, as a contributor sends it."""
    from decimal import Decimal

    return {
        "frame": of,
        "subject": "upper",
        "value": {"mount": "hardware", "bolt_mm": 8, "width_mm": Decimal(width)},
        "source": {"kind": "spec_page", "document": document, "seen_on": "2026-05-01"},
    } | more


def submitted(shop: Shop, who: str = "ann", **more: Any) -> Receipt:
    """Submit a claim from a page and return the receipt."""
    from boltspan.services.submit import submit_claim

    body = page_claim(**more)
    with shop.storage.writing() as uow:
        return submit_claim(shop.people[who], uow, shop.clock, body, shop.key(body))
