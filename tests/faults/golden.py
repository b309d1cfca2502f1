"""A long seeded run of the use cases, and everything that can be seen of a storage afterwards."""

from __future__ import annotations

import itertools
import pathlib
import random
import types
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, Final

import pytest

from boltspan.dataset.files import read_dataset, write_dataset
from boltspan.dataset.locate import dataset_folder
from boltspan.domain import ids
from boltspan.domain.errors import BoltspanError, InvalidInput
from boltspan.domain.ids import ALPHABET
from boltspan.domain.jsontext import dumps
from boltspan.services import accounts, claim_receipts, edit, lookup, review, submit
from boltspan.services.cases import case_tag
from boltspan.services.datasets import export_dataset, fill
from boltspan.services.once import OnceKey, Receipt, once_key
from boltspan.services.permissions import ANYBODY, COMMAND_LINE, Actor
from boltspan.services.protocols import FrameQuery, StoredFrame, UnitOfWork
from boltspan.services.publish import build_release
from boltspan.storage import SqlStorage
from tests.services.conftest import StandingClock

ACTIONS: Final = 240
ROLES: Final = {"ann": "contributor", "ben": "contributor", "cam": "contributor", "mia": "maintainer",
                "max": "maintainer"}  # fmt: skip
NAMES: Final = ("Zeta", "alpha", "Ångmar", "Éclar", "Fjäll 5", "Beta-2", "beta 10", "ñandu", "Ömle", "x")
QUESTIONS: Final = ("skerry", "skery 2022", "zeta", "angmar", "fjall", "150", "nothing like it")


def seed_secrets(monkeypatch: pytest.MonkeyPatch, seed: int) -> None:
    """Let ids and tokens come from a seed, so that two runs mint the same."""
    chance = random.Random(seed)

    def text(size: int) -> str:
        return "".join(chance.choice(ALPHABET) for _ in range(43)) if size else ""

    seeded = types.SimpleNamespace(choice=chance.choice, token_urlsafe=text)
    for module in (ids, accounts):
        monkeypatch.setattr(module, "secrets", seeded)


@dataclass
class Run:
    """One run: who acts, what was done, and what came of it."""

    storage: SqlStorage
    clock: StandingClock
    chance: random.Random
    people: dict[str, Actor] = field(default_factory=dict)
    told: list[tuple[str, ...]] = field(default_factory=list)
    done: Counter[str] = field(default_factory=Counter)
    numbers: Any = field(default_factory=lambda: itertools.count(1))
    keys: list[OnceKey] = field(default_factory=list)

    def start(self) -> None:
        """Fill the storage from the shipped dataset and give everybody a token."""
        with self.storage.writing() as uow:
            fill(uow, read_dataset(dataset_folder()), self.clock)
            for handle, role in ROLES.items():
                token = accounts.issue_token(uow, self.clock, role=role, handle=handle)
                self.people[handle] = accounts.authenticate(uow, self.clock, token.text)

    def key(self, data: Any) -> OnceKey:
        """Return a fresh key, or now and then one that was used."""
        if self.keys and self.chance.random() < 0.05:
            return self.chance.choice(self.keys)
        made = once_key("p-golden", "route", f"key-{next(self.numbers)}", dumps(data).encode())
        self.keys.append(made)
        return made

    def play(self) -> None:
        """Do one action after the other, each in a transaction of its own, minutes apart."""
        actions: list[Callable[[UnitOfWork], Receipt]] = [
            self.submit, self.submit, self.submit, self.measure, self.withdraw, self.decide, self.decide, self.reverse,
            self.open_review, self.propose, self.edit, self.edit,
        ]  # fmt: skip
        for number in range(ACTIONS):
            minutes = number * 7
            self.clock.instant = (
                f"2026-06-{1 + minutes // 1440:02d}T{minutes // 60 % 24:02d}:{minutes % 60:02d}:00.000000Z"
            )
            action = self.chance.choice(actions)
            try:
                with self.storage.writing() as uow:
                    receipt = action(uow)
            except BoltspanError as e:
                problems = repr(e.problems) if isinstance(e, InvalidInput) else ""
                self.told.append((action.__name__, type(e).__name__, str(e), problems))
            else:
                self.done[action.__name__] += not receipt.replayed
                self.told.append((action.__name__, str(receipt.status), receipt.location, dumps(receipt.body)))

    def frame(self, uow: UnitOfWork) -> StoredFrame:
        """Return any frame, often one of a few, so that claims meet."""
        every = list(uow.catalogue.every_frame())
        return self.chance.choice(every[:12] if self.chance.random() < 0.7 else every)

    def value(self) -> dict[str, Any]:
        """Return what somebody says about an end, sometimes in part or what cannot be."""
        width = self.chance.choice([Decimal(t) for t in ("22", "22.2", "22.225", "25.4", "30.01", "0.396875", "900")])
        bolt = self.chance.choice([6, 8, Decimal("8"), 10, 7])
        return self.chance.choice([
            {"mount": "hardware", "bolt_mm": bolt, "width_mm": width},
            {"mount": "hardware", "width_mm": width},
            {"mount": "bearing", "bolt_mm": bolt, "width_mm": width},
            {"mount": "trunnion"},
            {"width_mm": width},
        ])  # fmt: skip

    def submit(self, uow: UnitOfWork) -> Receipt:
        stored = self.frame(uow)
        subject = self.chance.choice([*stored.frame.ends, *stored.frame.ends, "shock_size", "middle"])
        value = {"eye_to_eye_mm": 210, "stroke_mm": 55} if subject == "shock_size" else self.value()
        kind = self.chance.choice(["spec_page", "manual", "maker_reply", "retailer_chart"])
        source = {"kind": kind, "document": f"example.org/{self.chance.randrange(6)}", "seen_on": "2026-05-01"}
        data = {"frame": stored.frame.id, "subject": subject, "value": value, "source": source}
        who = self.people[self.chance.choice(("ann", "ben", "cam"))]
        return submit.submit_claim(who, uow, self.clock, data, self.key(data))

    def measure(self, uow: UnitOfWork) -> Receipt:
        stored = self.frame(uow)
        read = [Decimal(self.chance.randrange(2000, 3000)) / 100 for _ in range(self.chance.randrange(1, 4))]
        source = {
            "kind": "measured",
            "seen_on": "2026-05-02",
            "instrument": {"kind": "digital_caliper", "resolution_mm": Decimal("0.01")},
            "features": {"bolt": "sleeve_bore", "width": "hardware_width"},
            "readings_mm": {"bolt": [Decimal("8.06")], "width": read},
        }
        data = {"frame": stored.frame.id, "subject": stored.frame.ends[0], "source": source}
        return submit.submit_claim(self.people["cam"], uow, self.clock, data, self.key(data))

    def withdraw(self, uow: UnitOfWork) -> Receipt:
        who = self.people[self.chance.choice(("ann", "ben", "cam"))]
        own = uow.statements.claims_by(str(who.person))
        claim_id = self.chance.choice(own).id if own else "c-0000000000"
        return submit.withdraw_claim(who, uow, self.clock, claim_id, "the wrong page", self.key(claim_id))

    def decide(self, uow: UnitOfWork) -> Receipt:
        cases = uow.cases.page(self.chance.choice(["open", None]), None, 30)
        case = self.chance.choice(cases)
        said = [c for c in uow.statements.claims(case.frame) if c.subject == case.subject]
        some = [c.id for c in said if self.chance.random() < 0.5]
        stated = [c for c in said if c.value is not None and c.value.complete and c.counts]
        data: dict[str, Any] = self.chance.choice([
            {"ruling": "leave_open", "why": "cannot tell"},
            {"ruling": "withhold", "why": "a recall"},
            {"ruling": "refuse_claims", "refuses": some, "reason": "wrong_size", "why": "a misprint"},
        ])  # fmt: skip
        if stated and self.chance.random() < 0.6:
            chosen = self.chance.choice(stated)
            value = claim_receipts.claim(self.people["mia"], uow, self.clock, chosen.id)["claim"]["value"]
            data = {"ruling": "settle", "value": value, "rests_on": [chosen.id], "why": "the page says so"}
        tag = case_tag(case) if self.chance.random() < 0.95 else '"stale"'
        who = self.people[self.chance.choice(("mia", "max"))]
        return review.decide(who, uow, self.clock, case.id, data, tag, self.key(data))

    def reverse(self, uow: UnitOfWork) -> Receipt:
        made = [d for s in uow.catalogue.every_frame() for d in uow.statements.decisions(s.frame.id)]
        with_case = [d for d in made if uow.cases.of_subject(d.frame, d.subject) is not None]
        decision = self.chance.choice(with_case or made)
        case = uow.cases.of_subject(decision.frame, decision.subject)
        tag = None if case is None else case_tag(case)
        return review.reverse(
            self.people["mia"], uow, self.clock, decision.id, "seen wrongly", tag, self.key(decision.id)
        )

    def open_review(self, uow: UnitOfWork) -> Receipt:
        stored = self.frame(uow)
        data = {"frame": stored.frame.id, "subject": self.chance.choice(stored.frame.ends), "why": "a customer asked"}
        return review.open_review(self.people["max"], uow, self.clock, data, self.key(data))

    def propose(self, uow: UnitOfWork) -> Receipt:
        start = self.chance.randrange(2018, 2026)
        data = {
            "make": {"name": self.chance.choice(NAMES)},
            "model": {"name": self.chance.choice(NAMES)},
            "years": {"from": start, "to": start + self.chance.randrange(3)},
            "ends": self.chance.choice([["upper", "lower"], ["front", "rear"]]),
        }
        who = self.people[self.chance.choice(("ann", "mia"))]
        return submit.propose_frame(who, uow, self.clock, data, self.key(data))

    def edit(self, uow: UnitOfWork) -> Receipt:
        proposed = [s for s in uow.catalogue.every_frame() if not s.listed]
        stored = self.chance.choice(proposed) if proposed and self.chance.random() < 0.5 else self.frame(uow)
        other = self.frame(uow).frame.id
        ask = "Which letter does the serial number start with?"
        parts = [{"qualifier": {"kind": "serial", "to": "K4", "ask": ask}},
                 {"qualifier": {"kind": "serial", "from": "K5", "ask": ask}}]  # fmt: skip
        data: dict[str, Any] = {"why": "the maker's archive"} | self.chance.choice([
            {"edit": "accept"},
            {"edit": "accept"},
            {"edit": "years", "years": {"from": self.chance.randrange(2015, 2024), "to": 2026}},
            {"edit": "names", "name": self.chance.choice(NAMES)},
            {"edit": "merge", "into": other},
            {"edit": "divide", "parts": parts},
            {"edit": "withdraw"},
        ])  # fmt: skip
        who = self.people[self.chance.choice(("mia", "max"))]
        return edit.edit_frame(who, uow, self.clock, stored.frame.id, data, edit.frame_tag(stored), self.key(data))


def seen(storage: SqlStorage) -> dict[str, Any]:
    """Return all that can be asked of a storage."""
    with storage.reading() as uow:
        index = lookup.name_index(uow)
        every = list(uow.catalogue.every_frame())
        sized = FrameQuery(bolt_mm=Decimal(8), width_mm=Decimal("22.2"), limit=500)
        queries = (
            FrameQuery(limit=500),
            sized,
            FrameQuery(standing="disputed"),
            FrameQuery(mount="trunnion", year=2022),
        )
        return {
            "makes": [lookup.make(uow, m["slug"]) for m in lookup.makes(uow)["makes"]],
            "frames": [lookup.frames(uow, query, index) for query in queries],
            "by name": [lookup.frames(uow, FrameQuery(limit=20), index, q) for q in QUESTIONS],
            "claims": [lookup.claims(uow, COMMAND_LINE, s.frame.id) for s in every],
            "history": [lookup.history(uow, COMMAND_LINE, s.frame.id) for s in every],
            "events": uow.events.page(0, 10**6),
            "published": list(uow.published.since(-1)),
            "standings": uow.findings.count_by_standing(),
            "cases": uow.cases.page(None, None, 10**4),
            "people": uow.accounts.accounts(),
            "counts": uow.catalogue.count(),
            "changes": lookup.changes(uow, 0, 10**6),
            "anybody's claims": [
                lookup.claims(uow, ANYBODY, s.frame.id) for s in uow.catalogue.every_frame() if s.listed
            ],
        }


def written(storage: SqlStorage, folder: pathlib.Path) -> dict[str, bytes]:
    """Return every file of an export and of a release."""
    with storage.reading() as uow:
        write_dataset(export_dataset(uow), folder / "export")
    build_release(COMMAND_LINE, storage, folder)
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}
