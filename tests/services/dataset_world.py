"""The shipped dataset in a database, and short ways to edit files and to do what people's requests do."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

from boltspan.dataset.contents import Dataset, FrameEntry
from boltspan.dataset.documents import documents_in
from boltspan.dataset.files import read_dataset, write_dataset
from boltspan.dataset.locate import dataset_folder
from boltspan.domain.frames import Frame, Make, Model, Years
from boltspan.domain.jsontext import loads
from boltspan.domain.statements import claim_from, decision_from
from boltspan.services.accounts import authenticate, issue_token
from boltspan.services.datasets import ImportReport, export_dataset, import_dataset
from boltspan.services.edit import edit_frame, frame_tag
from boltspan.services.once import OnceKey, once_key
from boltspan.services.permissions import COMMAND_LINE, Actor
from boltspan.services.protocols import Storage, StoredFrame
from boltspan.services.submit import propose_frame, submit_claim
from tests.services.conftest import StandingClock

SKERRY, SKERRY_NEXT = "f-7k3m9q2dxw", "f-1vnd9y6ssc"
SWAPPED, CONTRADICTED, BUSHING = "f-ez83tbaffe", "f-sx9bvpcdwq", "f-qnzqwugmvj"
SIZE = {"mount": "hardware", "bolt_mm": 8, "width_mm": Decimal("22.2")}
PERSON = "p-000000000a"


def shipped() -> Dataset:
    """Return the shipped dataset."""
    return read_dataset(dataset_folder())


def export_to(storage: Storage, root: Path) -> dict[str, bytes]:
    """Export to a folder and return its record files by path."""
    with storage.reading() as uow:
        dataset = export_dataset(uow)
    write_dataset(dataset, root)
    return {d.path: d.raw for d in documents_in(root)}


def bring(storage: Storage, dataset: Dataset, clock: StandingClock, *, preview: bool = False) -> ImportReport:
    """Import a dataset as the command line does."""
    with storage.writing() as uow:
        return import_dataset(COMMAND_LINE, uow, dataset, clock, preview=preview)


def entry(dataset: Dataset, frame: str) -> FrameEntry:
    """Return the frame's entry."""
    return next(e for e in dataset.entries if e.frame.id == frame)


def with_entry(dataset: Dataset, changed: FrameEntry) -> Dataset:
    """Return the dataset with the entry in the place of the one with its frame's id."""
    entries = tuple(changed if e.frame.id == changed.frame.id else e for e in dataset.entries)
    return replace(dataset, entries=entries)


def with_frame(dataset: Dataset, frame: str, **fields: Any) -> Dataset:
    """Return the dataset with fields of a frame's record changed."""
    old = entry(dataset, frame)
    return with_entry(dataset, replace(old, frame=replace(old.frame, **fields)))


def page(of: Frame, subject: str, number: int, width: str = "22.2", document: str = "example.org/new") -> Any:
    """Return a new claim from a page."""
    data = {
        "id": f"c-{number:010d}",
        "value": SIZE | {"width_mm": Decimal(width)},
        "source": {"kind": "spec_page", "document": document, "seen_on": "2026-05-02", "by": PERSON},
    }
    return claim_from(of, subject, data)


def ruling(of: Frame, subject: str, number: int, kind: str = "withhold", **more: Any) -> Any:
    """Return a new decision."""
    data = {"id": f"d-{number:010d}", "on": "2026-05-03", "by": PERSON, "ruling": kind, "why": "for a test"}
    return decision_from(of, subject, data | more)


def answer(storage: Storage, frame: str) -> Any:
    """Return the published answer of a frame, or None."""
    with storage.reading() as uow:
        found = uow.published.get(f"/v1/frames/{frame}")
    return None if found is None or found.body is None else loads(found.body)


def year_answer(storage: Storage, path: str) -> Any:
    """Return the published answer of a make, model and year, or None."""
    with storage.reading() as uow:
        found = uow.published.get(f"/v1/makes/{path}")
    return None if found is None or found.body is None else loads(found.body)


class People:
    """A contributor and a maintainer, and short ways to do what their requests do."""

    def __init__(self, storage: Storage, clock: StandingClock) -> None:
        self._clock, self._count = clock, 0
        with storage.writing() as uow:
            for role in ("contributor", "maintainer"):
                setattr(self, role, authenticate(uow, clock, issue_token(uow, clock, role=role).text))

    contributor: Actor
    maintainer: Actor

    def key(self) -> OnceKey:
        """Return a fresh key."""
        self._count += 1
        return once_key("p-test", "route", f"key-{self._count}", b"")

    def claim(self, storage: Storage, frame: str, subject: str, width: str = "24") -> str:
        """Submit a claim and return its id."""
        body = {
            "frame": frame,
            "subject": subject,
            "value": SIZE | {"width_mm": Decimal(width)},
            "source": {"kind": "spec_page", "document": "example.org/seen", "seen_on": "2026-05-01"},
        }
        with storage.writing() as uow:
            return str(submit_claim(self.contributor, uow, self._clock, body, self.key()).body["claim"]["id"])

    def proposal(self, storage: Storage, model: str, make: str, year: int) -> str:
        """Propose a frame and return its id."""
        body = {
            "make": {"name": make.title(), "slug": make},
            "model": {"name": model},
            "years": {"from": year, "to": year},
            "ends": ["frame", "link"],
        }
        with storage.writing() as uow:
            receipt = propose_frame(self.contributor, uow, self._clock, body, self.key())
        return receipt.location.rpartition("/")[2]

    def edit(self, storage: Storage, frame: str, body: dict[str, Any]) -> None:
        """Edit a frame's record."""
        with storage.writing() as uow:
            stored = uow.catalogue.frame(frame)
            assert isinstance(stored, StoredFrame)
            edit = {"why": "for a test", **body}
            edit_frame(self.maintainer, uow, self._clock, frame, edit, frame_tag(stored), self.key())


def edited(dataset: Dataset) -> Dataset:
    """Return the dataset after an afternoon with an editor: every kind of thing that may be added or changed."""
    skerry, swapped = entry(dataset, SKERRY), entry(dataset, SWAPPED)
    claim = page(skerry.frame, "lower", 1, "30")
    settled = ruling(skerry.frame, "lower", 1, "settle", value=SIZE | {"width_mm": 30}, rests_on=[claim.id])
    skerry = replace(
        skerry, claims=(*skerry.claims, claim), decisions=(*skerry.decisions, settled),
        frame=replace(skerry.frame, years=Years(2020, 2023)),
    )  # fmt: skip
    taken_back = replace(
        swapped.claims_on("upper")[0], state="withdrawn", withdrawn_on="2026-05-04", withdrawn_why="misread"
    )
    swapped = replace(swapped, claims=tuple(taken_back if c.id == taken_back.id else c for c in swapped.claims))
    new = Frame("f-0000000001", "osbrae", "holm", "frame", Years(2019), ("upper", "lower"))
    changed = replace(
        dataset,
        title="Invented frames, edited",
        makes=(
            *(replace(m, aliases=()) if m.slug == "tarnvale" else m for m in dataset.makes),
            Make("osbrae", "Osbrae"),
        ),
        models=(*(replace(m, name="Skerry 27") if m.slug == "skerry" else m for m in dataset.models),
                Model("osbrae", "holm", "Holm")),
        entries=(*dataset.entries, FrameEntry(new, (page(new, "upper", 2),))),
    )  # fmt: skip
    return with_entry(with_entry(changed, skerry), swapped)
