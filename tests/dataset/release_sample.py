"""A small invented dataset with every kind of record, mount and standing, and the answers for it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

from boltspan.dataset.contents import FrameEntry, ShockEntry, frame_order
from boltspan.dataset.locate import dataset_folder
from boltspan.dataset.releasing.head import ReleaseHead
from boltspan.dataset.releasing.tables import TABLES
from boltspan.dataset.releasing.writing import ReleasedFrame, ReleasedShocks, write_release
from boltspan.domain.claims import Claim
from boltspan.domain.findings import find
from boltspan.domain.frames import Frame, Make, Model
from boltspan.domain.review import Decision
from boltspan.domain.shock_values import ShockSize, ShockSizes
from boltspan.services.answers import encode, frame_answer
from boltspan.services.protocols import StoredFrame
from boltspan.services.shocks import FoundShock, shock_answer
from tests.dataset.sample import with_shock
from tests.domain.builders import BEN, RAE, SIZE, frame, measured, page, ruling

CSV_FILES = tuple(table.file for table in TABLES)
DATA_FILES = (*CSV_FILES, "frames.jsonl", "shocks.jsonl", "answers.jsonl", "shock_answers.jsonl")
FILES = {*DATA_FILES, "datapackage.json", "CHANGES.json", "LICENSE", "README.txt", "release.json", "SHA256SUMS"}
"""Every file of a release."""

MAKES = (Make("tarnvale", "Tarnvale", ("Tarn Vale",)),)
MODELS = (Model("tarnvale", "skerry", "Skerry"),)
SERIAL = {"kind": "serial", "ask": "=What does the serial number start with?"}


def frames() -> list[Frame]:
    """Return six frames: three that answer (two told apart by their serial), and one of each other record."""
    return [
        frame(1),
        frame(2, start=2024, end=None, qualifier=SERIAL | {"from": "=T0001", "to": "T4999"}),
        frame(3, start=2024, end=None, qualifier=SERIAL | {"from": "T5000"}),
        frame(4, record="merged", into="f-0000000001"),
        frame(5, record="divided", into=["f-0000000002", "f-0000000003"], start=2024, end=None),
        frame(6, record="withdrawn", withdrawn_on="2026-02-01", why="=it was never made"),
    ]


def claims() -> list[Claim]:
    """Return claims of every kind the tables tell apart, one each for the states."""
    first, second, third, *_ = frames()
    return [
        page(1, SIZE, of=first),
        measured(2, bolt=("sleeve_bore", "8.06"), width=("hardware_width", "22.18 22.19"), of=first),
        page(3, {"mount": "trunnion"}, of=first, subject="lower", document='=HYPERLINK("example.org")'),
        page(4, {"eye_to_eye_mm": 210, "stroke_mm": 55}, of=first, subject="shock_size"),
        page(5, SIZE, of=second, seen_on="2026-01-01", years={"from": 2024, "to": 2025}),
        page(6, {**SIZE, "width_mm": "25.4"}, of=second, seen_on="2026-01-01"),
        page(7, {"mount": "open_eyelet", "eyelet_bore_mm": "12.7"}, of=second, subject="lower", seen_on="2026-01-01"),
        page(8, {"mount": "bearing"}, of=third, subject="lower", seen_on="2026-01-01"),
        page(9, {"width_mm": "30"}, of=third, seen_on="2026-01-02", kind="retailer_chart", by=BEN),
        page(10, {**SIZE, "bearing_compatible": True, "bolt_mm": "12.7"}, of=third, state="refused"),
        page(11, SIZE, of=third, state="withdrawn"),
    ]


def decisions() -> list[Decision]:
    """Return a settled end, one on hold, and a refusal."""
    return [
        ruling(1, "settle", value={**SIZE, "width_mm": "22.225"}, rests_on=[1, 2]),
        ruling(2, "withhold", subject="lower"),
        ruling(3, "refuse_claims", refuses=[10], by=RAE),
    ]


DECIDED = {"d-0000000001": 0, "d-0000000002": 2, "d-0000000003": 2}
"""Place in ``frames`` of the frame that each decision is about."""


def entries() -> list[FrameEntry]:
    """Return the frames with all that is said and ruled about them, in order."""
    every = frames()
    ruled = [replace(d, frame=every[DECIDED[d.id]].id) for d in decisions()]
    found = [
        FrameEntry(f, tuple(c for c in claims() if c.frame == f.id), tuple(d for d in ruled if d.frame == f.id))
        for f in every
    ]
    return sorted(found, key=lambda e: frame_order(e.frame))


def answer(entry: FrameEntry, *, demo: bool = True, event: int = 40) -> bytes:
    """Return the encoded answer for a frame, as the look-up gives it."""
    findings = [find(entry.frame, s, entry.claims_on(s), entry.decisions_on(s)) for s in entry.frame.subjects]
    stored = StoredFrame(entry.frame, sequence=event)
    return encode(frame_answer(stored, MAKES[0], MODELS[0], findings, demo=demo))


def released(of: Sequence[FrameEntry], *, demo: bool = True, event: int = 40) -> Iterator[ReleasedFrame]:
    """Yield the frames as a release takes them."""
    for entry in of:
        yield ReleasedFrame(entry, answer(entry, demo=demo, event=event) if entry.frame.live else None)


def released_shocks(*, demo: bool = True) -> ReleasedShocks:
    """Return a shock that answers, with sizes and an end, one that does not, and hardware sizes."""
    whole = with_shock()
    (entry,) = whole.shocks
    (claim,) = entry.claims
    made = ShockSizes((ShockSize(Decimal(210), Decimal("52.5")), ShockSize(Decimal(230), Decimal(65))), only=True)
    sizes = replace(claim, id="c-0000000088", subject="sizes", value=made)
    live = replace(entry, claims=(sizes, claim))
    gone = ShockEntry(
        replace(entry.shock, id="s-0000000002", record="withdrawn", withdrawn_on="2026-05-01", why="=never sold")
    )
    findings = {s: find(live.shock, s, live.claims_on(s), ()) for s in live.shock.subjects}
    (model,) = whole.shock_models
    answer = shock_answer(FoundShock(live.shock, MAKES[0], model, findings, 9), demo=demo)
    return ReleasedShocks(whole.shock_models, ((live, answer), (gone, None)), whole.hardware)


def head(version: str = "2026.03.1", *, demo: bool = True, previous: str | None = None) -> ReleaseHead:
    """Return the head of a release."""
    return ReleaseHead(version, 40, "2026-03-04", "Demo: invented frames", "CC0-1.0", demo, previous)


def write(folder: Path, of: Sequence[FrameEntry] | None = None, **more: Any) -> dict[str, Any]:
    """Write a release into ``folder``, which is made, and return its manifest."""
    folder.mkdir(parents=True)
    licence = (dataset_folder() / "LICENSE").read_text("utf-8")
    previous = more.pop("previous_folder", None)
    made = more.pop("makes", MAKES)
    models = more.pop("models", MODELS)
    shocks = more.pop("shocks", None)
    wanted = head(**more)
    shocks = released_shocks(demo=wanted.demo) if shocks is None else shocks
    taken = released(entries() if of is None else of, demo=wanted.demo)
    return write_release(folder, wanted, made, models, taken, licence, previous, shocks)
